"""The shape of a learned night: how the spot departs from the station by the hour."""

from __future__ import annotations

import numpy as np

from climrisk.core.arrays import Float, Int
from climrisk.spot.calibration import FittedOffsets

#: An hour of the day is learned from so many nights at least.
LEAST_NIGHTS = 5
#: How far an hour is believed to depart from its night's offset before any night is
#: seen, and how its single nights scatter (our estimates). [K]
PRIOR_SHAPE_K, HOUR_NOISE_K = 1.0, 1.0
_MOST_K = 4.0


def by_hour(
    difference_k: Float, hour: Int, night: Int, weight: Float, found: FittedOffsets
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return each hour's departure from its night's offset, still and windy. [K]

    For each hour of the day the differences of logger and station, less the fitted
    offset of their night, are split by regime weight with a normal prior around
    nothing.

    Parameters
    ----------
    difference_k : ndarray, shape (time,)
        Logger minus station in the dark hours; NaN elsewhere and where unknown.
    hour : ndarray of int, shape (time,)
        Of the local standard clock.
    night : ndarray of int, shape (time,)
        Row of each hour's night in `weight`; -1 for nights left aside.
    weight : ndarray, shape (night,)
    found : FittedOffsets

    Returns
    -------
    (still, windy) : tuple of float, length 24
        Empty where fewer than six hours could be learned.
    """
    use = np.isfinite(difference_k) & (night >= 0)
    w = weight[night[use]]
    rest = difference_k[use] - (w * found.mean[0] + (1 - w) * found.mean[1])
    rest = np.clip(rest, -_MOST_K, _MOST_K)
    at = hour[use]
    still, windy = np.zeros(24), np.zeros(24)
    learned = 0
    for h in range(24):
        mine = at == h
        if mine.sum() < LEAST_NIGHTS:
            continue
        x = np.stack([w[mine], 1 - w[mine]], axis=1) / HOUR_NOISE_K
        a = x.T @ x + np.eye(2) / PRIOR_SHAPE_K**2
        still[h], windy[h] = np.linalg.solve(a, x.T @ (rest[mine] / HOUR_NOISE_K))
        learned += 1
    if learned < 6:
        return (), ()
    return _as_tuple(still), _as_tuple(windy)


def centered(
    shape: tuple[tuple[float, ...], tuple[float, ...]],
    station_c: Float,
    hour: Int,
    night: Int,
    weight: Float,
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return the shape moved so that it leaves the minima where the offsets put them.

    The lowest hour of a night moves with the shape; what it adds to the minima on
    average, on still and on windy nights, is taken from all hours.

    Parameters
    ----------
    shape : pair of tuple of float
        From `by_hour`.
    station_c : ndarray, shape (time,)
        Station air in the dark hours; NaN elsewhere.
    hour, night, weight
        As in `by_hour`.
    """
    if not shape[0]:
        return shape
    still, windy = (np.array(s) for s in shape)
    use = np.isfinite(station_c) & (night >= 0)
    w, at = weight[night[use]], hour[use]
    moved = station_c[use] + w * still[at] + (1 - w) * windy[at]
    plain = _lowest(station_c[use], night[use], len(weight))
    shifted = _lowest(moved, night[use], len(weight))
    known = np.isfinite(plain)
    x = np.stack([weight[known], 1 - weight[known]], axis=1)
    a = x.T @ x + 1e-6 * np.eye(2)
    extra = np.linalg.solve(a, x.T @ (shifted - plain)[known])
    return _as_tuple(still - extra[0]), _as_tuple(windy - extra[1])


def _lowest(values: Float, night: Int, count: int) -> Float:
    out = np.full(count, np.inf)
    np.minimum.at(out, night, values)
    out[np.isinf(out)] = np.nan
    return out


def _as_tuple(values: Float) -> tuple[float, ...]:
    return tuple(round(float(v), 2) + 0.0 for v in values)
