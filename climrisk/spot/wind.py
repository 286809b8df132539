"""Wind and gusts at the plant: height, shelter and screens."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from climrisk.core.arrays import Float
from climrisk.physics.pointwise import Pointwise, where
from climrisk.physics.wind import log_profile_ratio
from climrisk.spot.ensemble import Ensemble
from climrisk.spot.kinds import SpotKind
from climrisk.spot.site import POT_ABOVE_FLOOR_M, STOREY_M
from climrisk.spot.surroundings import table

LEAST_WIND_M_S = 0.1
ROOM_WIND_M_S = 0.15
_LEAST_FACTOR = 0.02
_POWERS = (0.1, 0.9)


def floor_ratio(kind: SpotKind) -> float:
    """Return the wind on the told floor over that on the usual floor of the kind.

    1 where no floor is told, and for kinds without a usual one (``as-measured``,
    rooms). The log law says how floors differ; the shelter itself stays the kind's.
    """
    height = kind.site.height_m
    if height is None or kind.height_m is None:
        return 1.0
    storey = round((kind.height_m - POT_ABOVE_FLOOR_M) / STOREY_M)
    usual_m = STOREY_M * storey + POT_ABOVE_FLOOR_M
    ratio = log_profile_ratio(
        height, usual_m, roughness_m=town_roughness_m(), displacement_m=0.0
    )
    return float(ratio)


def town_roughness_m() -> float:
    """Return the roughness of the ground between houses. [m]"""
    return float(table("roughness_m")["town"])


def screen_pair(open_frac: float | None) -> tuple[float, float]:
    """Return the share of the wind left behind a screen: mean and spread.

    Parameters
    ----------
    open_frac : float or None
        Open share of the screen; None is no screen.

    Notes
    -----
    Denser screens than 35 % open gain nothing more here: the air comes over the top
    in eddies.
    """
    if open_frac is None:
        return 1.0, 0.0
    row = table("screen")
    seen = max(open_frac, float(row["least_open"]))
    mean = float(np.interp(seen, row["open_frac"], row["wind_frac"]))
    # No screen at all, fully open, has no spread.
    return mean, float(row["spread"]) * min(1.0, 2 * (1.0 - seen))


def shelter(kind: SpotKind, ensemble: Ensemble) -> Float:
    """Return the wind at the plant over the 10 m wind, shape (1, case).

    The kind's prior, by the told floor and behind the told screen.
    """
    factor = np.maximum(
        ensemble.value("wind", (kind.wind_mean, kind.wind_sd)), _LEAST_FACTOR
    )
    screen = np.clip(
        ensemble.value("screen", screen_pair(kind.site.screen_open_frac)), 0.05, 1.0
    )
    return np.asarray(factor * floor_ratio(kind) * screen, dtype=np.float32)


def wind_at_spot(
    kind: SpotKind, ensemble: Ensemble, wind_m_s: Float, shape: tuple[int, ...]
) -> Float:
    """Return the mean wind at the plant, float32, never below 0.1 m/s.

    Parameters
    ----------
    kind : SpotKind
    ensemble : Ensemble
    wind_m_s : ndarray, shape (time, 1 or case)
        At 10 m.
    shape : (time, case)
    """
    if kind.indoors:
        return np.full(shape, ROOM_WIND_M_S, dtype=np.float32)
    (at_plant,) = SLOWED.of(
        wind_m_s, np.broadcast_to(shelter(kind, ensemble), (1, shape[1]))
    )
    return at_plant


def slowed(wind_m_s: Float, factor: Float) -> Float:
    """Return the wind at the plant, of that at 10 m and what shelter leaves of it."""
    return np.maximum(factor * wind_m_s, LEAST_WIND_M_S)


SLOWED = Pointwise(slowed, "pc")


def gust_at_spot(
    kind: SpotKind,
    ensemble: Ensemble,
    wind_m_s: Float | None,
    gust_m_s: Float | None,
    shape: tuple[int, ...],
) -> Float:
    """Return the gusts at the plant, float32, shape (time, case). [m/s]

    Parameters
    ----------
    kind : SpotKind
    ensemble : Ensemble
    wind_m_s, gust_m_s : ndarray, shape (time, 1 or case), or None
        Of the record at 10 m, without stand-ins. An hour without a gust takes the mean
        wind times the gust factor; an hour with neither is NaN.
    shape : (time, case)

    Notes
    -----
    Shelter takes less of what a gust adds to the mean wind than of the mean wind: see
    `fluctuation_left`. Of an hour that knows its gust but not its mean wind, the mean
    is the gust over the gust factor.
    """
    if kind.indoors:
        return np.full(shape, ROOM_WIND_M_S, dtype=np.float32)
    row = table("gust")
    by_mean = row["factor"] * np.exp(row["log_sd"] * ensemble.scores["gust"])
    of_mean = shelter(kind, ensemble)
    row = table("gust_shelter")
    power = ensemble.value("fluctuation", (row["power"], row["power_sd"]))
    of_more = fluctuation_left(of_mean, np.clip(power, *_POWERS))
    if kind.group == "glazed":  # no eddies come through closed panes
        of_more = of_mean
    missing = np.full((shape[0], 1), np.nan, dtype=np.float32)
    parts = [missing if x is None else x for x in (wind_m_s, gust_m_s)]
    of_mean = np.broadcast_to(of_mean, (1, shape[1]))
    (gusts,) = GUSTS.of(*parts, by_mean, of_mean, of_more)
    return gusts


def gust_at_plant(
    wind_m_s: Float, gust_m_s: Float, by_mean: Float, of_mean: Float, of_more: Float
) -> Float:
    """Return the gusts at the plant of those at 10 m; see `gust_at_spot`.

    Parameters
    ----------
    wind_m_s, gust_m_s : float or ndarray
        NaN where the record does not know it.
    by_mean : float or ndarray
        Gust factor.
    of_mean, of_more : float or ndarray
        Share left of the mean wind, and of what a gust adds to it.
    """
    mean = where(np.isnan(wind_m_s), gust_m_s / by_mean, wind_m_s)
    # A gust below the mean is a slip of the record.
    known = where(np.isnan(gust_m_s), by_mean * mean, np.maximum(gust_m_s, mean))
    at_spot = of_mean * mean + of_more * (known - mean)
    out: Float = np.maximum(at_spot, LEAST_WIND_M_S)
    return out


GUSTS = Pointwise(gust_at_plant, "ppccc")


def fluctuation_left(mean_left: ArrayLike, power: ArrayLike) -> Float:
    """Return the share that shelter leaves of what a gust adds to the mean wind.

    Parameters
    ----------
    mean_left : array_like
        Share left of the mean wind. Where it is above 1, at a height, the addition
        stays as it is: near the ground its size hardly changes with height.
    power : array_like
        See ``gust_shelter`` of ``data/wind_and_sun.toml``.
    """
    return np.asarray(np.power(np.minimum(mean_left, 1.0), power))


def gust_left(mean_left: float, here: float) -> float:
    """Return the share of the gusts at a spot that more shelter leaves.

    Parameters
    ----------
    mean_left : float
        Share that it leaves of the mean wind at the spot.
    here : float
        Mean wind at the spot over that at 10 m.
    """
    more = float(table("gust")["factor"]) - 1.0
    power = table("gust_shelter")["power"]
    before, after = (
        left + more * float(fluctuation_left(left, power))
        for left in (here, here * mean_left)
    )
    return after / before
