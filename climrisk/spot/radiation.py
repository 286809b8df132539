"""Sky, surroundings and sun as a pot and a leaf see them from a spot."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from climrisk.physics.longwave import black_flux_w_m2, sky_emissivity
from climrisk.physics.slabs import columns, several_by_slabs
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
    lit_w_m2: Float,
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
    lit_w_m2 : ndarray, shape (time, 1 or case)
        Sunlight on level ground at the spot, of which the building stores some.
    nightly : Nightly
    without : frozenset of str
        Of `SURROUNDINGS`: taken to be as warm as the air.
    """
    if kind.indoors:
        return Surfaces(spot_c, spot_c)
    day_mean = running_mean(station_c, 24, center=False)
    np.copyto(day_mean, station_c, where=np.isnan(day_mean), casting="same_kind")
    stored = running_mean(lit_w_m2, 24, center=False)
    stored *= np.float32(_STORED_SUN_K_PER_W_M2)
    np.copyto(stored, np.float32(0), where=np.isnan(stored))
    weight = columns(nightly.regimes.weight.astype(np.float32))
    built = 1.0 - min(2 * kind.sky_wall, 1.0)
    floor_built = 1.0 if kind.sky_top < 0.5 else 0.0

    def parts(
        spot: Float, station: Float, mean: Float, sun: Float, winter: Float,
        window: Float, night: NDArray[np.int64],
    ) -> tuple[Float, Float]:  # fmt: skip
        slow = (1 - _AIR_SHARE) * (mean - station) + sun + kind.leak_k * winter
        ground = -_GROUND_COOLING_K * weight[night[:, 0]] * window
        wall = 0.0 * slow if "building surface" in without else slow
        around = spot + (built * wall + (1 - built) * ground).astype(np.float32)
        below = floor_built * slow + (1 - floor_built) * ground
        return around, spot + below.astype(np.float32)

    given = (spot_c, station_c, day_mean, stored, nightly.winter, nightly.window)
    around, floor = several_by_slabs(parts, 2, *given, columns(nightly.index))
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

    def parts(
        station: Float, dew: Float, cloud: Float, around: Float
    ) -> tuple[Float, Float]:
        emissivity = sky_emissivity(dew, cloud)
        if kind.sky_top < 0.5 and "low sky" not in without:
            emissivity = 1.0 - (1.0 - _LOW_SKY) * (1.0 - emissivity)
        from_sky = (emissivity * black_flux_w_m2(station)).astype(np.float32)
        from_around = black_flux_w_m2(around)
        wall = kind.sky_wall * from_sky + (1 - kind.sky_wall) * from_around
        top = kind.sky_top * from_sky + (1 - kind.sky_top) * from_around
        return wall, top

    given = (station_c, sky.dew_point_c, sky.cloud_frac, around_c)
    wall, top = several_by_slabs(parts, 2, *given)
    return wall, top
