"""Readings that cannot be what they say are marked, and left out of what they spoil.

The file itself is never touched. A mark takes out one reading of one variable: a
sun-hit noon says nothing about the night before or after it.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Bool, Float
from climrisk.core.errors import InputError
from climrisk.core.variables import VARIABLES
from climrisk.physics.solar import sun_path
from climrisk.weather.series import MarkCount, Place
from climrisk.weather.spans import spans

Seconds = NDArray[np.int64]
Mark = Literal[
    "text", "range", "step", "stuck", "sun", "wet", "duplicate", "disorder", "stray"
]

#: What a mark says, for people.
WORDS: dict[str, str] = {
    "text": "no number, or a sign for no reading",
    "range": "outside what weather can be",
    "step": "a leap there and back within a few readings",
    "stuck": "the same value for days",
    "sun": "risen faster than air warms, so sun on the sensor",
    "wet": "saturated through a warming, so water on the sensor",
    "duplicate": "a second reading of the same time",
    "disorder": "out of order, sorted",
    "stray": "years away from all others",
}

#: Beyond this share of impossible readings the column is not what it says (estimate).
_MOST_IMPOSSIBLE = 0.02
#: A stamp so far from the rest, and so seldom, is damaged (estimates).
_STRAY_S, _STRAY_SHARE = 2 * 31_557_600, 0.01
#: A leap there and back (estimates; a front takes 10 K in an hour at most).
_LEAP = {"air_temp_c": 10.0, "dew_point_c": 12.0, "rel_humidity_pct": 45.0}
_LEAP_WITHIN_S = 2 * 3600
#: The same reading for so long, at a resolution finer than half a degree, is a sensor
#: that stands still; at whole degrees thrice as long (estimates).
_STUCK_S, _STUCK_READINGS = 36 * 3600, 18
#: Air warms by 5 K in an hour on the clearest mornings (estimate); a sensor in the sun
#: by more, and it is over once it is back within 3 K of where shade would be.
_SUN_RISE_K_H, _SUN_OVER_K, _SHADE_RISE_K_H = 6.0, 3.0, 2.0
#: Saturated while the air warmed by so much: the sensor is wet (estimate).
_SATURATED_PCT, _DRYING_K = 99.0, 6.0


@dataclass
class Marks:
    """How many readings carry a mark, by variable.

    Parameters
    ----------
    counts : Counter of (variable, mark)
    """

    counts: Counter[tuple[str, str]] = field(default_factory=Counter)

    def add(self, variable: str, mark: Mark, count: int) -> None:
        """Count readings with a mark."""
        if count:
            self.counts[variable, mark] += int(count)

    def tallied(self) -> tuple[MarkCount, ...]:
        """Return the counts as a record keeps them."""
        return tuple(MarkCount(v, m, n) for (v, m), n in self.counts.items())

    def notes(self) -> list[str]:
        """Return the marks in words."""
        out = []
        for (variable, mark), count in self.counts.items():
            label = VARIABLES[variable].label if variable in VARIABLES else variable
            readings = "reading" if count == 1 else "readings"
            out.append(f"{count:,} {readings} of {label} marked {mark}: {WORDS[mark]}")
        return out


def together(seconds: Seconds) -> Bool:
    """Return the readings that lie with the others.

    A few that stand years before or after all others have a damaged stamp.
    """
    out = np.ones(len(seconds), dtype=bool)
    breaks = np.flatnonzero(np.diff(seconds) > _STRAY_S) + 1
    few = max(1, int(_STRAY_SHARE * len(seconds)))
    for stop in breaks:
        if stop <= few:
            out[:stop] = False
        elif len(seconds) - stop <= few:
            out[stop:] = False
            break
    return out


def possible_only(name: str, values: Float, marks: Marks, *, where: str) -> Float:
    """Return values with impossible ones as NaN, marked.

    Parameters
    ----------
    name : str
        Of `climrisk.core.variables`; its range decides.
    values : ndarray of float, shape (reading,)
        NaN where missing.
    marks : Marks
    where : str
        File and column, for the message.

    Raises
    ------
    InputError
        Where more than 2 % are impossible: then the unit or the column is wrong.
    """
    known = VARIABLES[name]
    with np.errstate(invalid="ignore"):
        wrong = (values < known.lowest) | (values > known.highest)
    count = int(wrong.sum())
    if count == 0:
        return values
    if count > max(1, _MOST_IMPOSSIBLE * int(np.isfinite(values).sum())):
        raise InputError(
            f"{known.label} outside what weather can be, {count:,} times",
            where=where,
            value=f"first {float(values[int(np.argmax(wrong))]):g} {known.unit}",
            allowed=f"{known.lowest:g} to {known.highest:g} {known.unit}",
            next_step="check the unit and the missing-value marks of the file",
        )
    marks.add(name, "range", count)
    return np.where(wrong, np.nan, values)


def believable(
    seconds: Seconds, values: dict[str, Float], place: Place, marks: Marks
) -> dict[str, Float]:
    """Return readings without those that are marked.

    Parameters
    ----------
    seconds : ndarray of int, shape (reading,)
        UTC, rising.
    values : dict of str to ndarray, shape (reading,)
    place : Place
        For the sun.
    marks : Marks
        Counts are added.
    """
    out = dict(values)
    for name in set(out) & set(_LEAP):
        out[name] = _without(
            out[name], leaps(seconds, out[name], name), name, "step", marks
        )
    for name in ("air_temp_c", "rel_humidity_pct"):
        if name in out:
            stuck = stands_still(seconds, out[name], name)
            out[name] = _without(out[name], stuck, name, "stuck", marks)
    air = out["air_temp_c"]
    if "rel_humidity_pct" in out:
        name = "rel_humidity_pct"
        wet = saturated_while_warming(out[name], air)
        out[name] = _without(out[name], wet, name, "wet", marks)
    sunny = sun_on_sensor(seconds, air, place)
    out["air_temp_c"] = _without(air, sunny, "air_temp_c", "sun", marks)
    return out


def _without(values: Float, wrong: Bool, name: str, mark: Mark, marks: Marks) -> Float:
    marks.add(name, mark, int(wrong.sum()))
    return np.where(wrong, np.nan, values) if wrong.any() else values


def leaps(seconds: Seconds, values: Float, name: str) -> Bool:
    """Return readings far from both neighbors, on the same side."""
    out = np.zeros(len(values), dtype=bool)
    rows = np.flatnonzero(np.isfinite(values))
    if len(rows) < 3:
        return out
    x, t = values[rows], seconds[rows]
    up, down = x[1:-1] - x[:-2], x[1:-1] - x[2:]
    near = (t[2:] - t[:-2]) <= _LEAP_WITHIN_S
    far = np.minimum(np.abs(up), np.abs(down)) > _LEAP[name]
    out[rows[1:-1]] = near & far & (np.sign(up) == np.sign(down))
    return out


def stands_still(seconds: Seconds, values: Float, name: str) -> Bool:
    """Return readings in runs of one value that last too long to be weather."""
    out = np.zeros(len(values), dtype=bool)
    rows = np.flatnonzero(np.isfinite(values))
    if len(rows) < _STUCK_READINGS:
        return out
    x, t = values[rows], seconds[rows]
    edges = np.concatenate([[0], np.flatnonzero(np.diff(x) != 0) + 1, [len(x)]])
    first, last = edges[:-1], edges[1:] - 1
    long = t[last] - t[first] >= _longest_still_s(x, name)
    long &= edges[1:] - first >= _STUCK_READINGS
    if name == "rel_humidity_pct":
        # Fog may stay for days; that is for the wet mark to judge.
        long &= x[first] < _SATURATED_PCT
    for a, b in zip(first[long], last[long], strict=True):
        out[rows[a : b + 1]] = True
    return out


def _longest_still_s(x: Float, name: str) -> float:
    steps = np.abs(np.diff(np.unique(np.round(x, 3))))
    coarse = bool(steps.size) and float(np.median(steps)) >= 0.5
    return _STUCK_S * (3 if coarse and name == "air_temp_c" else 1)


def sun_on_sensor(seconds: Seconds, air_c: Float, place: Place) -> Bool:
    """Return readings that rose by day faster than air can warm.

    They end when the reading is back near what two kelvin an hour from the start of
    the rise would give, or with the sun.
    """
    out = np.zeros(len(air_c), dtype=bool)
    rows = np.flatnonzero(np.isfinite(air_c))
    if len(rows) < 3:
        return out
    t, x = seconds[rows], air_c[rows]
    up = _sun_is_up(t, place)
    # A rise is counted from the start of the last hour.
    before = np.searchsorted(t, t - 3600, side="left")
    hours = np.maximum((t - t[before]) / 3600, 0.5)
    starts = up & (x - x[before] > _SUN_RISE_K_H * hours)
    marked = np.zeros(len(x), dtype=bool)
    at = 0
    for start in np.flatnonzero(starts):
        if start >= at:
            at = _sunny_until(t, x, up, int(before[start]), int(start))
            # A warm front stays; the sun leaves the sensor, and it falls back.
            fallen = at < len(x) and x[start:at].max(initial=-99) - x[at] > _SUN_OVER_K
            marked[start:at] = fallen
    out[rows[marked]] = True
    return out


def _sunny_until(t: Seconds, x: Float, up: Bool, base: int, start: int) -> int:
    """Return the first reading from `start` that the sun on the sensor spares."""
    at = start
    while at < len(x) and up[at]:
        shade = x[base] + _SHADE_RISE_K_H * min((t[at] - t[base]) / 3600, 5.0)
        if x[at] <= shade + _SUN_OVER_K:
            break
        at += 1
    return at


def _sun_is_up(seconds: Seconds, place: Place) -> Bool:
    first = int(seconds[0] // 3600)
    hours = np.arange(first, int(seconds[-1] // 3600) + 1)
    time = (hours * 3600).astype("datetime64[s]").astype("datetime64[m]")
    sun = sun_path(time, place.latitude_deg, place.longitude_deg)
    return np.asarray(sun.elevation_deg[seconds // 3600 - first] > 2.0)


def saturated_while_warming(humidity_pct: Float, air_c: Float) -> Bool:
    """Return saturated readings after the air has warmed since saturation began."""
    out = np.zeros(len(humidity_pct), dtype=bool)
    full = humidity_pct >= _SATURATED_PCT
    for a, b in spans(full):
        run = air_c[a:b]
        if b - a < 3 or not np.isfinite(run).any():
            continue
        coldest = np.fmin.accumulate(run)
        warmed = run - coldest > _DRYING_K
        if warmed.any():
            out[a + int(np.argmax(warmed)) : b] = True
    return out
