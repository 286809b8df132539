"""Quality checks of a station's measured hours.

An archive of hourly reports holds errors of transmission and of sensors that no limit
of what weather can be finds: an hour of -10 °C amid hours of 14 °C, a value that stays
for days. The checks are those of a published archive of checked station reports (Dunn
et al. 2012, Clim. Past 8:1649, thresholds as in that archive's code), with the least
tolerances of WMO (1993, Guide on the Global Data-processing System, WMO-No. 305).

A flag takes out one hour of one variable. Values of models are not checked: they have
no sensor. Humidity is not checked for spikes: at New York's airports, dry air that
mixes down for an hour passes for one.
"""

from __future__ import annotations

import numpy as np

from climrisk.core.arrays import Bool, Float, Int
from climrisk.core.variables import VARIABLES
from climrisk.weather.quality_flags import Mark, Marks

#: Least change of air over 1, 2 and 3 hours that is doubtful (WMO-No. 305, VI.21). [K]
LEAST_STEP_K = (4.0, 7.0, 9.0)
#: A change beyond so many interquartile ranges of such changes, and beyond so many
#: steps of rounding, is doubtful (Dunn et al. 2012); from so many changes on.
_RANGES, _ROUNDINGS, _LEAST_CHANGES = 6.0, 5.0, 100
#: Hours of the longest spike.
_LONGEST_SPIKE = 3
#: Rounding, then reports in a row of one value, and days that one value may last (Dunn
#: et al. 2012; humidity by their numbers for the dew point).
_STREAKS = {
    "air_temp_c": ((0.75, 40, 14), (0.3, 30, 10), (0.0, 24, 7)),
    "rel_humidity_pct": ((0.75, 80, 14), (0.3, 60, 10), (0.0, 48, 7)),
}
#: Reports that a streak has at least, however long it lasts (Dunn et al. 2012).
_LEAST_STREAK = 10
#: Fog may hold a saturated sensor for days (our estimate).
_SATURATED_PCT = 99.0


def checked(
    values: dict[str, Float], measured: Bool, hour: Int, marks: Marks
) -> dict[str, Float]:
    """Return a station's hours with flagged ones as NaN.

    Parameters
    ----------
    values : dict of str to ndarray, shape (time,)
        By names of `climrisk.core.variables`; NaN where unknown.
    measured : ndarray of bool, shape (time,)
        Hours that are readings.
    hour : ndarray of int, shape (time,)
        UTC, in hours since 1970-01-01; one apart.
    marks : Marks
        Counts are added.
    """
    out = {name: _possible(name, x, marks) for name, x in values.items()}
    known = {name: np.where(measured, x, np.nan) for name, x in out.items()}
    air = known["air_temp_c"]
    # Two or three hours may be weather; one hour alone is held to the calmer changes
    # of its quarter of the day (ours: nights change less than mornings).
    spikes = spiked(air, hour) | spiked(air, hour, longest=1, quarters=4)
    _take_out(out, "air_temp_c", spikes, "step", marks)
    for name, streaks in _STREAKS.items():
        if name in out:
            left = np.where(np.isnan(out[name]), np.nan, known[name])
            stuck = standing(left, streaks)
            if name == "rel_humidity_pct":
                stuck &= known[name] < _SATURATED_PCT
            _take_out(out, name, stuck, "stuck", marks)
    return out


def _take_out(
    out: dict[str, Float], name: str, wrong: Bool, mark: Mark, marks: Marks
) -> None:
    marks.add(name, mark, int(wrong.sum()))
    out[name] = np.where(wrong, np.nan, out[name])


def _possible(name: str, values: Float, marks: Marks) -> Float:
    """Return values with those that no weather can have as NaN."""
    variable = VARIABLES[name]
    with np.errstate(invalid="ignore"):
        bad = (values < variable.lowest) | (values > variable.highest)
    marks.add(name, "range", int(bad.sum()))
    return np.where(bad, np.nan, values)


def spiked(
    air_c: Float, hour: Int, *, longest: int = _LONGEST_SPIKE, quarters: int = 1
) -> Bool:
    """Return the hours of spikes: far off on the same side for up to three hours.

    Both the change into a spike and the one out of it exceed a tolerance; those within
    it and those just before and after stay below half of theirs (Dunn et al. 2012). The
    tolerance is six times the interquartile range of such changes in the same month,
    at least `LEAST_STEP_K` and five times the rounding. Changes over more than three
    hours are not judged.

    Parameters
    ----------
    air_c : ndarray of float, shape (time,)
        NaN where unknown.
    hour : ndarray of int, shape (time,)
        In hours since 1970-01-01.
    longest : int
        Hours of the longest spike.
    quarters : int
        Parts of the day whose changes are taken apart, 1 to 24.
    """
    out = np.zeros(len(air_c), dtype=bool)
    rows = np.flatnonzero(np.isfinite(air_c))
    if len(rows) < _LEAST_CHANGES:
        return out
    x = air_c[rows]
    change, apart = np.diff(x), np.diff(hour[rows])
    part = hour[rows[1:]] % 24 * quarters // 24
    group = _month(hour[rows[1:]]) * 24 + part
    limit = _tolerances(change, apart, group, _rounding(x))
    far = np.abs(change) >= limit
    # Unknown neighbors, at the ends and over gaps, do not speak against a spike.
    calm = np.concatenate([[True], np.abs(change) <= limit / 2, [True]])
    for length in range(1, longest + 1):
        into = np.flatnonzero(far[:-length] & far[length:])
        if not len(into):
            continue
        there, back = change[into], change[into + length]
        found = np.sign(there) != np.sign(back)
        found &= calm[into] & calm[into + length + 2]
        for within in range(1, length):
            found &= calm[into + within + 1]
        for step in range(length):
            out[rows[into[found] + 1 + step]] = True
    return out


def _month(hour: Int) -> Int:
    """Return the month of hours since 1970-01-01, from 0."""
    day = (hour // 24).astype("datetime64[D]")
    return np.asarray(day.astype("datetime64[M]").astype(np.int64) % 12)


def _tolerances(change: Float, apart: Int, group: Int, rounding: float) -> Float:
    """Return the change that is doubtful at each; infinite where it is not known."""
    out = np.full(len(change), np.inf)
    for hours, tolerance in enumerate(LEAST_STEP_K, start=1):
        for name in np.unique(group[apart == hours]):
            rows = (apart == hours) & (group == name)
            if rows.sum() < _LEAST_CHANGES:
                continue
            low, high = np.percentile(change[rows], [25, 75])
            usual = _RANGES * (high - low)
            out[rows] = max(usual, tolerance, _ROUNDINGS * rounding)
    return out


def standing(values: Float, streaks: tuple[tuple[float, int, int], ...]) -> Bool:
    """Return readings in runs of one value that last too long for their rounding.

    Parameters
    ----------
    values : ndarray of float, shape (time,)
        Hours; NaN where unknown, which does not end a run.
    streaks : tuple of (float, int, int)
        Rounding from which on it holds, reports in a row, and days.
    """
    out = np.zeros(len(values), dtype=bool)
    rows = np.flatnonzero(np.isfinite(values))
    if len(rows) < _LEAST_STREAK:
        return out
    x = values[rows]
    rounding = _rounding(x)
    reports, days = next((n, d) for least, n, d in streaks if rounding >= least)
    edges = np.concatenate([[0], np.flatnonzero(np.diff(x) != 0) + 1, [len(x)]])
    first, count = edges[:-1], np.diff(edges)
    lasts = rows[edges[1:] - 1] - rows[first]
    long = (count >= reports) | ((lasts >= 24 * days) & (count >= _LEAST_STREAK))
    for a, n in zip(first[long], count[long], strict=True):
        out[rows[a : a + n]] = True
    return out


def _rounding(x: Float) -> float:
    """Return the usual step between the values that come."""
    steps = np.diff(np.unique(np.round(x, 2)))
    return float(np.median(steps)) if len(steps) else 1.0
