"""How clear and still, or windy and overcast, each night is.

Most differences between spots exist on clear still nights and vanish in wind. The
regime weight is 1 on the former and 0 on the latter.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.core.chunked import columns, is_known, night_sums
from climrisk.physics.pointwise import where
from climrisk.spot.ensemble import Ensemble

NightKind = Literal["still", "mixed", "windy"]
NIGHT_KINDS: tuple[NightKind, ...] = ("still", "mixed", "windy")

#: A weight from which a night counts as clear and still, and up to which as windy.
STILL, WINDY = 2 / 3, 1 / 3
# Wind: 1 up to 2 m/s, 0 from 8 m/s on (Lopes et al. 2013: strong heat islands vanish
# above 8 m/s; the straight line between is our estimate). Cloud: half under broken,
# a tenth under overcast (our estimate).
STILL_M_S, WINDY_M_S = 2.0, 8.0
_SOME, _BROKEN, _WHOLE = 0.25, 0.6, 1.0
_UNDER_BROKEN, _UNDER_WHOLE = 0.5, 0.1
# In stronger wind than leaves this share a night tells nothing of its cloud.
_LEAST_TELLING = 0.2
#: Evening cooling: a clear still night loses about so much in the first dark hours (our
#: estimate); it stands in where wind or cloud is unknown. [h, K]
FALL_H = 5
_COOLING_K = 5.0


@dataclass(frozen=True)
class Regimes:
    """The regime weight of every night.

    Parameters
    ----------
    weight : ndarray of float, shape (night,), or (night, case) for many places
        1 clear and still, 0 windy or overcast; 0.5 where nothing is known.
    spread : ndarray of float, shape as `weight`
        Standard deviation of the weight by what it was told from.
    wind_m_s, cloud_frac : ndarray of float, shape as `weight`
        Means over the dark hours; NaN where unknown.
    """

    weight: Float
    spread: Float
    wind_m_s: Float
    cloud_frac: Float


def regimes(
    night: NDArray[np.int64],
    dark: NDArray[np.bool_],
    air_c: Float,
    wind_m_s: Float | None,
    cloud_frac: Float | None,
) -> Regimes:
    """Return the regime of every night.

    Parameters
    ----------
    night : ndarray of int, shape (time,)
        Index of each hour's night, from 0.
    dark : ndarray of bool, shape (time,), or (time, case) for many places
    air_c : ndarray of float, shape (time, 1), or (time, case) for many places
    wind_m_s, cloud_frac : ndarray of float, shape as air, or None
        10 m wind and cloud cover; NaN where unknown.

    Returns
    -------
    Regimes
        Of shape (night,), or (night, case) for many places.
    """
    if dark.ndim == 1:
        air_c, wind_m_s, cloud_frac = air_c[:, 0], _one(wind_m_s), _one(cloud_frac)
    first = np.searchsorted(night, np.arange(int(night[-1]) + 1))
    wind = _night_mean(wind_m_s, first, dark, air_c.shape)
    cloud = _night_mean(cloud_frac, first, dark, air_c.shape)
    no_wind, no_cloud = np.isnan(wind), np.isnan(cloud)
    fall = np.full(wind.shape, np.nan)
    if no_wind.any() or no_cloud.any():
        fall = _falls_k(night, dark, air_c, wind.shape)
    weight = weight_at(wind, cloud, fall)
    spread = np.where(no_wind | no_cloud, 0.20, 0.10)
    spread[no_wind & no_cloud] = 0.25
    spread[(no_wind | no_cloud) & np.isnan(fall)] = 0.35
    return Regimes(weight, spread, wind, cloud)


def weight_at(wind_m_s: Float, cloud_frac: Float, fall_k: Float) -> Float:
    """Return the regime weight of nights, from what is known of each.

    Parameters
    ----------
    wind_m_s, cloud_frac : ndarray of float
        Means over the dark hours; NaN where unknown.
    fall_k : ndarray of float
        How far the air falls in the first `FALL_H` dark hours, which tells of what else
        is unknown; NaN where unknown.
    """
    by_wind, by_cloud = wind_weight(wind_m_s), cloud_weight(cloud_frac)
    by_cooling = np.minimum(np.maximum(fall_k / _COOLING_K, 0.0), 1.0)
    # Wind alone leaves the cloud open, and the cooling tells of it, and so on.
    beside = np.sqrt(by_cooling)
    no_wind, no_cloud = np.isnan(by_wind), np.isnan(by_cloud)
    without_wind = where(no_cloud, by_cooling, by_cloud * beside)
    with_wind = where(no_cloud, by_wind * beside, by_wind * by_cloud)
    weight = where(no_wind, without_wind, with_wind)
    out: Float = where(np.isnan(weight), 0.5, weight)
    return out


def member_weights(regimes: Regimes, ensemble: Ensemble) -> Float:
    """Return the regime weight of each night and member, shape (night, case)."""
    spread = columns(regimes.spread) * ensemble.scores["regime"]
    return np.asarray(np.clip(columns(regimes.weight) + spread, 0.0, 1.0))


def cloud_of_nights(regimes: Regimes, ensemble: Ensemble) -> Float:
    """Return the cloud cover of nights whose cloud is not known, (night, case).

    Of what a night's weight lacks, the wind explains what `wind_weight` takes and cloud
    the rest, by the inverse of `cloud_weight`; where the wind is not known either, both
    explain the same. NaN where too strong a wind hides what cloud there is.
    """
    weight = member_weights(regimes, ensemble)
    by_wind = columns(wind_weight(regimes.wind_m_s))
    with np.errstate(divide="ignore", invalid="ignore"):
        left = np.where(np.isnan(by_wind), np.sqrt(weight), weight / by_wind)
    left = np.where(by_wind < _LEAST_TELLING, np.nan, np.minimum(left, 1.0))
    # Nothing tells apart skies with less cloud than changes the weight: half of that.
    shares = (_UNDER_WHOLE, _UNDER_BROKEN, 1.0)
    return np.asarray(np.interp(left, shares, (_WHOLE, _BROKEN, 0.5 * _SOME)))


def night_kind(weight: float) -> NightKind:
    """Return the kind of a night by its regime weight."""
    if weight >= STILL:
        return "still"
    return "windy" if weight <= WINDY else "mixed"


def of_kind(weight: Float, kind: NightKind) -> NDArray[np.bool_]:
    """Return which nights are of a kind, by their regime weights, as `night_kind`."""
    still, windy = weight >= STILL, weight <= WINDY
    return {"still": still, "windy": windy, "mixed": ~still & ~windy}[kind]


def wind_weight(wind_m_s: Float) -> Float:
    """Return what wind leaves of the differences between spots; NaN stays NaN."""
    share = (WINDY_M_S - wind_m_s) / (WINDY_M_S - STILL_M_S)
    out: Float = np.minimum(np.maximum(share, 0.0), 1.0)
    return out


def cloud_weight(cloud_frac: Float) -> Float:
    """Return what cloud cover leaves of them; NaN stays NaN."""
    # Straight lines between the points, written out: `np.interp` looks each value up.
    past = (cloud_frac - _SOME) / (_BROKEN - _SOME)
    first = np.minimum(1.0 - (1.0 - _UNDER_BROKEN) * past, 1.0)
    past = (cloud_frac - _BROKEN) / (_WHOLE - _BROKEN)
    second = _UNDER_BROKEN - (_UNDER_BROKEN - _UNDER_WHOLE) * past
    share = where(cloud_frac < _BROKEN, first, second)
    out: Float = np.maximum(share, _UNDER_WHOLE)
    return out


def _one(x: Float | None) -> Float | None:
    return None if x is None else x[:, 0]


def _night_mean(
    values: Float | None,
    first: NDArray[np.int64],
    dark: NDArray[np.bool_],
    shape: tuple[int, ...],
) -> Float:
    """Return means over the dark hours of nights that begin at some rows."""
    if values is None:
        return np.full((len(first), *shape[1:]), np.nan)
    use = columns(dark if is_known(values) else dark & np.isfinite(values))
    hours = night_sums(use, first)
    total = night_sums(np.where(use, columns(values), np.float32(0)), first)
    with np.errstate(invalid="ignore"):
        mean = np.where(hours > 0, total / hours, np.nan)
    return mean.reshape(len(first), *shape[1:]).astype(float)


def _falls_k(
    night: NDArray[np.int64],
    dark: NDArray[np.bool_],
    air_c: Float,
    shape: tuple[int, ...],
) -> Float:
    """Return how far the air falls in the first dark hours of each night. [K]"""
    start = np.zeros_like(dark)
    start[1:] = dark[1:] & ~dark[:-1]
    start[max(0, len(air_c) - FALL_H) :] = False
    # One pass over the flat array: over two axes it takes much longer.
    flat = np.flatnonzero(start)
    rows, *case = np.unravel_index(flat, start.shape)
    fall = air_c[(rows, *case)] - air_c[(rows + FALL_H, *case)]
    out = np.full(shape, np.nan)
    out[(night[rows], *case)] = fall
    return out
