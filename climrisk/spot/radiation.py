"""Sky, surroundings and sun as a pot and a leaf see them from a spot."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from climrisk.core.arrays import Float
from climrisk.core.chunked import columns
from climrisk.physics.longwave import black_flux_w_m2, sky_emissivity
from climrisk.physics.pointwise import Pointwise
from climrisk.physics.surface import pane_temp_c
from climrisk.spot.ensemble import Share
from climrisk.spot.kinds import SpotKind
from climrisk.spot.means import running_mean
from climrisk.spot.nightly import Nightly
from climrisk.spot.rooms import pane_radiation
from climrisk.spot.sky import Sky

# Our estimates. Under a roof or before a wall the visible sky is its low, warmer part:
# half of what a clear zenith sky lacks in emissivity.
_LOW_SKY = 0.5
# A plant that sees less sky than this above it stands under a roof.
_ROOFED_VIEW = 0.5
# A building's surface follows half the air and half the day's mean, and gives back
# some of the day's sun.
_AIR_SHARE = 0.5
_STORED_SUN_K_PER_W_M2 = 0.010
# Wind before panes over that at 10 m.
_PANE_WIND = 0.4
# Open ground on a clear still night is colder than the air above it.
_GROUND_COOLING_K = 1.5
#: What may be switched off, to see whether it matters: the warmth of the building, that
#: of the floor, and that the sky seen from under a roof is its low, warmer part.
SURROUNDINGS = ("building surface", "floor", "low sky")


@dataclass(frozen=True)
class Surfaces:
    """Temperatures around the plant, shape (time, case). [°C]"""

    surroundings_c: Float
    floor_c: Float


def surfaces(
    kind: SpotKind,
    station_c: Float,
    spot_c: Float,
    lit_w_m2: Float,
    nightly: Nightly,
    without: frozenset[str] = frozenset(),
    *,
    open_share: Share | None = None,
) -> Surfaces:
    """Return the temperature of what stands around the plant and of its floor.

    Parameters
    ----------
    kind : SpotKind
    station_c : ndarray, shape (time, 1 or case)
        Air temperature outdoors, at the height of the home.
    spot_c : ndarray, shape (time, case)
        Air temperature at the plant.
    lit_w_m2 : ndarray, shape (time, 1 or case)
        Sunlight on level ground at the spot, of which the building stores some.
    nightly : Nightly
    without : frozenset of str
        Of `SURROUNDINGS`: taken to be as warm as the air.
    open_share : array_like, shape (1, case), optional
        Of `open_to`; that of the middle member where not given.
    """
    if kind.group == "room":
        return Surfaces(spot_c, spot_c)
    day_mean = running_mean(station_c, 24, center=False)
    np.copyto(day_mean, station_c, where=np.isnan(day_mean), casting="same_kind")
    lit_mean = running_mean(lit_w_m2, 24, center=False)
    np.copyto(lit_mean, np.float32(0), where=np.isnan(lit_mean))
    shares = surroundings_shares(kind, open_share)
    if "building surface" in without:
        shares = replace(shares, wall_slow=0.0)

    around, floor = AROUND.of(
        *(columns(nightly.regimes.weight), spot_c, station_c, day_mean, lit_mean),
        *(nightly.winter, nightly.window, shares.leak_k),
        *(shares.wall_slow, shares.wall_ground),
        *(shares.floor_slow, shares.floor_ground),
        *(shares.pane, shares.pane_by_night),
        night=nightly.index,
    )
    if "floor" in without:
        floor = spot_c
    return Surfaces(around, floor)


@dataclass(frozen=True)
class Shares:
    """How what stands around and below departs from the air: of what, and how much.

    Parameters
    ----------
    leak_k : float
        What the building's heat adds in the depth of winter. [K]
    wall_slow, wall_ground : float
        Of the building's surface and of open ground, in what stands around.
    floor_slow, floor_ground : float
        The same of the floor.
    pane, pane_by_night : float
        What a window adds to what is seen around, by day and besides by night, as
        shares of how far the plant's air is from the air outdoors.
    """

    leak_k: float
    wall_slow: Share
    wall_ground: Share
    floor_slow: Share
    floor_ground: Share
    pane: float = 0.0
    pane_by_night: float = 0.0


def sky_seen(kind: SpotKind, open_share: Share | None = None) -> tuple[Share, Share]:
    """Return the views of the sky from wall and top."""
    share = kind.open_share[0] if open_share is None else open_share
    return kind.sky_wall * share, kind.sky_top * share


def surroundings_shares(kind: SpotKind, open_share: Share | None = None) -> Shares:
    """Return them for a kind; in a room all is as warm as the air."""
    if kind.indoors:
        by_day, by_night = pane_radiation(kind)
        return Shares(0.0, 0.0, 0.0, 0.0, 0.0, by_day, by_night - by_day)
    wall, top = sky_seen(kind, open_share)
    built = 1.0 - np.minimum(2 * wall, 1.0)
    floor = np.where(np.less(top, _ROOFED_VIEW), np.float32(1), np.float32(0))
    slow = kind.massive_frac * built
    return Shares(kind.leak_k, slow, 1.0 - built, floor, 1.0 - floor)


def slow_excess_k(
    station_c: Float,
    day_mean_c: Float,
    lit_mean_w_m2: Float,
    winter: Float,
    leak_k: float,
) -> Float:
    """Return how much warmer than the air a building is. [K]

    It follows half the air and half the mean of the last 24 h, and gives back some of
    their light.
    """
    slow_k = (1.0 - _AIR_SHARE) * (day_mean_c - station_c)
    out: Float = slow_k + _STORED_SUN_K_PER_W_M2 * lit_mean_w_m2 + leak_k * winter
    return out


def ground_excess_k(weight: Float, window: Float) -> Float:
    """Return how much warmer than the air open ground is, never positive. [K]"""
    return -_GROUND_COOLING_K * weight * window


def beside_air(
    spot_c: Float, slow_k: Float, ground_k: Float, slow: Share, ground: Share
) -> Float:
    """Return the temperature of what is in part building and in part ground. [°C]"""
    return spot_c + (slow * slow_k + ground * ground_k)


def pane_excess_k(
    spot_c: Float, station_c: Float, window: Float, pane: float, pane_by_night: float
) -> Float:
    """Return what a window adds to the temperature seen around the plant. [K]"""
    return (pane + window * pane_by_night) * (spot_c - station_c)


def around_and_floor(  # noqa: PLR0913
    weight: Float,
    spot_c: Float,
    station_c: Float,
    day_mean_c: Float,
    lit_mean_w_m2: Float,
    winter: Float,
    window: Float,
    leak_k: float,
    wall_slow: Share,
    wall_ground: Share,
    floor_slow: Share,
    floor_ground: Share,
    pane: float,
    pane_by_night: float,
) -> tuple[Float, Float]:
    """Return the temperatures of `surfaces`; shares are those of `Shares`. [°C]"""
    slow_k = slow_excess_k(station_c, day_mean_c, lit_mean_w_m2, winter, leak_k)
    ground_k = ground_excess_k(weight, window)
    around = beside_air(spot_c, slow_k, ground_k, wall_slow, wall_ground)
    around = around + pane_excess_k(spot_c, station_c, window, pane, pane_by_night)
    return around, beside_air(spot_c, slow_k, ground_k, floor_slow, floor_ground)


AROUND = Pointwise(around_and_floor, "nfppfhpccccccc", 2)


def longwave(
    kind: SpotKind,
    station_c: Float,
    spot_c: Float,
    sky: Sky,
    around_c: Float,
    without: frozenset[str] = frozenset(),
    *,
    open_share: Share | None = None,
) -> tuple[Float, Float]:
    """Return longwave arriving on wall and top, shape (time, case). [W/m²]

    The sky's flux comes from far above: it follows the open air at the height of the
    home, not the air at the spot. Glass is as warm as its own balance leaves it.
    """
    from_sky = (station_c, sky.dew_point_c, sky.cloud_frac)
    lacking = 1.0 if "low sky" in without else sky_lacking(kind, open_share)
    wall, top = LONGWAVE.of(*from_sky, around_c, *sky_seen(kind, open_share), lacking)
    if kind.glass_wall or kind.glass_top:
        given = (spot_c, *from_sky, sky.wind_m_s, around_c, kind.glass_sky)
        (more,) = PANES.of(*given)
        wall += np.float32(kind.glass_wall) * more
        top += np.float32(kind.glass_top) * more
    return wall, top


def sky_lacking(kind: SpotKind, open_share: Share | None = None) -> Share:
    """Return how much of what the sky lacks in emissivity the plant sees lacking."""
    roofed = np.less(sky_seen(kind, open_share)[1], _ROOFED_VIEW)
    return np.where(roofed, np.float32(_LOW_SKY), np.float32(1))


def longwave_at_spot(
    station_c: Float,
    dew_point_c: Float,
    cloud_frac: Float,
    around_c: Float,
    sky_wall: Share,
    sky_top: Share,
    lacking: Share,
) -> tuple[Float, Float]:
    """Return longwave arriving on wall and top. [W/m²]"""
    emissivity = sky_emissivity(dew_point_c, cloud_frac)
    emissivity = 1.0 - lacking * (1.0 - emissivity)
    from_sky = emissivity * black_flux_w_m2(station_c)
    from_around = black_flux_w_m2(around_c)
    wall = sky_wall * from_sky + (1.0 - sky_wall) * from_around
    return wall, sky_top * from_sky + (1.0 - sky_top) * from_around


def pane_excess_w_m2(
    spot_c: Float,
    station_c: Float,
    dew_point_c: Float,
    cloud_frac: Float,
    wind_m_s: Float,
    around_c: Float,
    sky_view: float,
) -> Float:
    """Return longwave of glass less that of what else stands around. [W/m²]

    Parameters
    ----------
    spot_c, station_c : ndarray
        Air behind the glass and outdoors.
    dew_point_c, cloud_frac : ndarray
        Of the sky.
    wind_m_s : ndarray
        At 10 m.
    around_c : ndarray
        Of what stands around.
    sky_view : float
        Of the glass.
    """
    from_sky = sky_emissivity(dew_point_c, cloud_frac) * black_flux_w_m2(station_c)
    wind = _PANE_WIND * wind_m_s
    pane = pane_temp_c(spot_c, station_c, wind, from_sky, sky_view)
    return black_flux_w_m2(pane) - black_flux_w_m2(around_c)


_SOURCES = (
    *("climrisk.physics.longwave", "climrisk.physics.surface"),
    "climrisk.core.constants",
)
LONGWAVE = Pointwise(longwave_at_spot, "pppfccc", 2, sources=_SOURCES)
PANES = Pointwise(pane_excess_w_m2, "fppppfc", sources=_SOURCES)
