"""Readings at any step become hours: a mean by time, labelled by the hour's start."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.core.calendar import standard_offset_min
from climrisk.weather.series import Place

Seconds = NDArray[np.int64]
Stamps = NDArray[np.datetime64]

#: Share of an hour that readings must stand for.
_HOUR_COVERAGE = 0.8
#: A reading stands until the next one, at most so many usual steps or so many seconds,
#: whichever is more (our estimate: a quarter of an hour loses no night).
_STANDS_STEPS, _STANDS_S = 1.5, 900


@dataclass(frozen=True)
class Hours:
    """A gapless grid of hours.

    Parameters
    ----------
    time : ndarray of datetime64[m], shape (hour,)
        UTC start of each hour.
    values : dict of str to ndarray, shape (hour,)
        Means by time; NaN where less than 80 % of the hour is known.
    lowest : dict of str to ndarray, shape (hour,)
        Lowest single reading of each hour; NaN where there is none.
    step_s : float
        Usual step of the readings.
    notes : list of str
    """

    time: Stamps
    values: dict[str, Float]
    lowest: dict[str, Float]
    step_s: float
    notes: list[str]


def hourly(seconds: Seconds, values: Mapping[str, Float], place: Place) -> Hours:
    """Return readings as hours.

    Hourly readings keep their own hour, whatever quarter of the clock it begins on.
    Closer or irregular ones become the mean of their hour by time: a reading stands
    until the next one, at most one and a half usual steps or a quarter of an hour;
    80 % of the hour must be known. Those hours begin on the place's own clock.

    Parameters
    ----------
    seconds : ndarray of int, shape (reading,)
        UTC, rising, each time once.
    values : mapping of str to ndarray, shape (reading,)
    place : Place
    """
    notes = []
    step = float(np.median(np.diff(seconds))) if len(seconds) > 1 else 3600.0
    own = _own_shift_s(seconds, step)
    shift = _shift_s(place, seconds) if own is None else own
    apart = own is not None or step > 3600
    first = int((seconds[0] - shift) // 3600)
    count = int((seconds[-1] - shift) // 3600) - first + 1
    origin = first * 3600 + shift
    out, lowest = {}, {}
    for name, column in values.items():
        known = np.isfinite(column)
        at, x = seconds[known] - origin, column[known]
        if apart:
            out[name] = _own_hour(at, x, count)
        else:
            out[name] = _time_mean(at, x, step, count)
        least = np.full(count, np.inf)
        np.minimum.at(least, at // 3600, x)
        lowest[name] = np.where(np.isinf(least), np.nan, least)
    time = np.datetime64(origin, "s").astype("datetime64[m]")
    time = time + np.arange(count) * np.timedelta64(60, "m")
    if step > 3600:
        notes.append(
            f"readings are {step / 3600:g} h apart: the hours between are unknown"
        )
    elif not apart:
        notes.append(f"readings every {step / 60:g} min became hourly means")
    return Hours(time, out, lowest, step, notes)


def _own_hour(at: Seconds, x: Float, count: int) -> Float:
    """Return each hour's own reading, or the mean of several."""
    number = np.bincount(at // 3600, minlength=count)
    total = np.bincount(at // 3600, x, count)
    return np.where(number > 0, _clean(total / np.maximum(number, 1)), np.nan)


def _time_mean(at: Seconds, x: Float, step: float, count: int) -> Float:
    """Return means by time: a reading stands until the next, within bounds."""
    longest = max(int(_STANDS_STEPS * step), _STANDS_S)
    stands = np.full(len(at), min(longest, int(step)))
    stands[:-1] = np.minimum(np.diff(at), longest)
    total, known = np.zeros(count), np.zeros(count)
    start, left = at.copy(), stands.copy()
    # Steps below an hour and a half touch three hours at most.
    for _ in range(3):
        hour = start // 3600
        inside = np.minimum(left, (hour + 1) * 3600 - start)
        good = (inside > 0) & (hour < count)
        total += np.bincount(hour[good], (x * inside)[good], count)
        known += np.bincount(hour[good], inside[good], count)
        start, left = start + inside, left - inside
    enough = known >= _HOUR_COVERAGE * 3600 - 1e-6
    return np.where(enough, _clean(total / np.maximum(known, 1)), np.nan)


def _clean(mean: Float) -> Float:
    """Return means without the dust of decimals, which would move a threshold."""
    return np.round(mean, 6)


def _own_shift_s(seconds: Seconds, step: float) -> int | None:
    """Return the quarter of the hour at which all hourly readings lie, or None."""
    within = seconds % 3600
    if step < 3600 or (within != within[0]).any() or within[0] % 900:
        return None
    return int(within[0])


def _shift_s(place: Place, seconds: Seconds) -> int:
    """Return by how many seconds the place's hours begin after UTC's."""
    middle = np.datetime64(int(seconds[len(seconds) // 2]), "s")
    year = int(middle.astype("datetime64[Y]").astype(int)) + 1970
    return -(standard_offset_min(place.zone, year) % 60) * 60 % 3600
