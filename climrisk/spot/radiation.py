"""Sky, surroundings and sun as a pot and a leaf see them from a spot."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from climrisk.physics.longwave import black_flux_w_m2, sky_emissivity
from climrisk.physics.slabs import columns
from climrisk.spot.kinds import SpotKind
from climrisk.spot.means import running_mean
from climrisk.spot.nightly import Nightly
from climrisk.spot.sky import Sky

Float = NDArray[np.floating]

# Our estimates. Under a roof or before a wall the visible sky is its low, warmer part:
# half of what a clear zenith sky lacks in emissivity.
_LOW_SKY = 0.5
# A building's surface follows half the air and half the day's mean, and gives back
# some of the day's sun.
_AIR_SHARE = 0.5
_STORED_SUN_K_PER_W_M2 = 0.010
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
    sky: Sky,
    nightly: Nightly,
    without: frozenset[str] = frozenset(),
) -> Surfaces:
    """Return the temperature of what stands around the plant and of its floor.

    Parameters
    ----------
    kind : SpotKind
    station_c : ndarray, shape (time, 1)
        Air temperature of the station.
    spot_c : ndarray, shape (time, case)
        Air temperature at the plant.
    sky, nightly : Sky, Nightly
    without : frozenset of str
        Of `SURROUNDINGS`: taken to be as warm as the air.
    """
    if kind.indoors:
        return Surfaces(spot_c, spot_c)
    day_mean = running_mean(station_c, 24, center=False)
    day_mean = np.where(np.isnan(day_mean), station_c, day_mean)
    sunlight = kind.beam_frac * sky.beam_w_m2 * columns(sky.sun.sin_elevation)
    stored = running_mean(
        sunlight + kind.diffuse_frac * sky.diffuse_w_m2, 24, center=False
    )
    stored = np.nan_to_num(stored) * _STORED_SUN_K_PER_W_M2
    slow = (
        (1 - _AIR_SHARE) * (day_mean - station_c)
        + stored
        + kind.leak_k * nightly.winter
    )
    still = columns(nightly.regimes.weight.astype(np.float32))[nightly.index]
    ground = -_GROUND_COOLING_K * still * nightly.window
    built = 1.0 - min(2 * kind.sky_wall, 1.0)
    wall = 0.0 * slow if "building surface" in without else slow
    around = spot_c + (built * wall + (1 - built) * ground).astype(np.float32)
    floor_built = 1.0 if kind.sky_top < 0.5 else 0.0
    floor = spot_c + (floor_built * slow + (1 - floor_built) * ground).astype(
        np.float32
    )
    if "floor" in without:
        floor = spot_c
    return Surfaces(around, floor)


def longwave(
    kind: SpotKind,
    station_c: Float,
    sky: Sky,
    around_c: Float,
    without: frozenset[str] = frozenset(),
) -> tuple[Float, Float]:
    """Return longwave arriving on wall and top, shape (time, case). [W/m²]

    The sky is that of the station: its flux comes from far above the spot.
    """
    emissivity = sky_emissivity(sky.dew_point_c, sky.cloud_frac)
    if kind.sky_top < 0.5 and "low sky" not in without:
        emissivity = 1.0 - (1.0 - _LOW_SKY) * (1.0 - emissivity)
    from_sky = (emissivity * black_flux_w_m2(station_c)).astype(np.float32)
    around = black_flux_w_m2(around_c).astype(np.float32)
    wall = kind.sky_wall * from_sky + (1 - kind.sky_wall) * around
    top = kind.sky_top * from_sky + (1 - kind.sky_top) * around
    return wall.astype(np.float32), top.astype(np.float32)
