"""Readings at any step become hours: a mean by time, labelled by the hour's start."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from climrisk.seasons import standard_offset_min
from climrisk.weather.series import Place

Float = NDArray[np.floating]
Stamps = NDArray[np.datetime64]

#: Share of an hour's usual readings that must be there.
_HOUR_COVERAGE = 0.8


def hourly(
    stamps: Stamps, values: Mapping[str, Float], place: Place
) -> tuple[Stamps, dict[str, Float], list[str]]:
    """Return a gapless grid of hours, their values and what was noted.

    Hourly readings keep their own hour, whatever quarter of the clock it begins on.
    Closer ones become the mean of their hour, if 80 % of the usual number are there;
    those hours begin on the place's own clock (on UTC's half hours in a half-hour
    zone). Of readings with the same stamp the first counts.

    Parameters
    ----------
    stamps : ndarray of datetime64[s], shape (reading,)
        UTC, in any order.
    values : mapping of str to ndarray, shape (reading,)
    place : Place
    """
    notes = []
    seconds = stamps.astype("datetime64[s]").astype(np.int64)
    if (np.diff(seconds) < 0).any():
        notes.append(f"{int((np.diff(seconds) < 0).sum()):,} rows out of order, sorted")
    order = np.argsort(seconds, kind="stable")
    seconds = seconds[order]
    fresh = np.concatenate([[True], np.diff(seconds) > 0])
    if not fresh.all():
        notes.append(
            f"{int((~fresh).sum()):,} readings with a repeated time left aside"
        )
    rows, seconds = order[fresh], seconds[fresh]
    step = float(np.median(np.diff(seconds))) if len(seconds) > 1 else 3600.0
    shift = _own_shift_s(seconds, step)
    if shift is None:
        shift = _shift_s(place, stamps)
    hour = (seconds - shift) // 3600
    first, count = int(hour[0]), int(hour[-1] - hour[0]) + 1
    where = hour - first
    need = max(1.0, _HOUR_COVERAGE * 3600.0 / step) if step < 3600 else 1.0
    out = {}
    for name, column in values.items():
        known = np.isfinite(column[rows])
        number = np.bincount(where[known], minlength=count)
        total = np.bincount(where[known], column[rows][known], count)
        enough = number >= need - 1e-9
        mean = total / np.maximum(number, 1)
        # Sums of decimals leave dust that would move a reading off a threshold.
        out[name] = np.where(enough, np.round(mean, 6), np.nan)
    start = np.datetime64(first * 3600 + shift, "s").astype("datetime64[m]")
    time = start + np.arange(count) * np.timedelta64(60, "m")
    if step < 3600:
        notes.append(f"readings every {step / 60:g} min became hourly means")
    elif step > 3600:
        notes.append(
            f"readings are {step / 3600:g} h apart: the hours between are unknown"
        )
    return time, out, notes


def _own_shift_s(seconds: NDArray[np.int64], step: float) -> int | None:
    """Return the quarter of the hour at which all hourly readings lie, or None."""
    within = seconds % 3600
    if step < 3600 or (within != within[0]).any() or within[0] % 900:
        return None
    return int(within[0])


def _shift_s(place: Place, stamps: Stamps) -> int:
    """Return by how many seconds the place's hours begin after UTC's."""
    middle = stamps[len(stamps) // 2].astype("datetime64[Y]").astype(int) + 1970
    return -(standard_offset_min(place.zone, int(middle)) % 60) * 60 % 3600
