"""One plant at one spot in one pot: exposure of air, leaf and root zone."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.judged import ColdNights
from climrisk.exposure.hours import Exposure, expose
from climrisk.pot.setups import Setup
from climrisk.spot.climate import SpotClimate
from climrisk.spot.kinds import SpotKind
from climrisk.spot.transfer import Prepared, spot_climate

if TYPE_CHECKING:
    from climrisk.pot.model import Pot

Float = NDArray[np.floating]


@dataclass(frozen=True)
class Limits:
    """The limits of a plant that are judged; None where it has none. [°C, %]"""

    preferred_c: float | None
    tolerated_c: float | None
    hot_c: float | None
    warm_night_c: float | None
    humidity_low_pct: float | None


@dataclass(frozen=True)
class Judged:
    """What one plant meets at one spot, every world of the spread.

    Parameters
    ----------
    climate : SpotClimate
    air, leaf, root : Exposure
        Below the preferred and the tolerated limit, in the order of `thresholds`.
    hot : Exposure
        Of the turned sign: hours above the advised top.
    root_lowest_k : ndarray, shape (night, member)
        Night's lowest root zone minus that of the reference pot. [K]
    limits : Limits
    """

    climate: SpotClimate
    air: Exposure
    leaf: Exposure
    root: Exposure
    hot: Exposure
    root_lowest_k: Float
    limits: Limits

    def cold(self, limit_c: float, *, with_root: bool = False) -> ColdNights:
        """Return the nights below a limit by spot air.

        With `with_root`, a pot whose root zone falls lower than that of the reference
        pot lowers the night by the difference; a warmer one lowers nothing.
        """
        lowest = self.air.nights.lowest_c
        if with_root:
            lowest = lowest + np.minimum(np.nan_to_num(self.root_lowest_k), 0)
        return ColdNights.of(self.air.nights, limit_c, lowest)


@dataclass(frozen=True)
class Scene:
    """A spot and a pot, before any plant: what several plants may be judged by.

    Parameters
    ----------
    prepared : Prepared
    climate : SpotClimate
    root_c : ndarray, shape (time, case)
        Mean of the root zone. [°C]
    root_lowest_k : ndarray, shape (night, member)
        Night's lowest root zone minus that of the reference pot. [K]
    """

    prepared: Prepared
    climate: SpotClimate
    root_c: Float
    root_lowest_k: Float

    @classmethod
    def of(
        cls, prepared: Prepared, kind: SpotKind, pot: Pot, setup: Setup = "screening"
    ) -> Scene:
        """Compute the climate of a spot and the root zone of a pot there."""
        from climrisk.pot.root_zone import REFERENCE_POT, root_zone

        climate = spot_climate(prepared, kind)
        root = root_zone(climate, pot, setup=setup)
        if pot == REFERENCE_POT:
            nights = prepared.seasons.stretches.nights
            difference: Float = np.zeros((nights, root.mean_c.shape[1]))
        else:
            lowest = sweep(prepared, root.mean_c, []).nights.lowest_c
            alike = replace(REFERENCE_POT, stand=pot.stand)
            reference = root_zone(climate, alike, setup=setup)
            usual = sweep(prepared, reference.mean_c, [])
            difference = lowest - usual.nights.lowest_c
        return cls(prepared, climate, root.mean_c, difference)

    def judged(self, limits: Limits) -> Judged:
        """Return what a plant of these limits meets."""
        prepared, climate = self.prepared, self.climate
        cold = [t for t in (limits.preferred_c, limits.tolerated_c) if t is not None]
        top = [] if limits.hot_c is None else [-limits.hot_c]
        return Judged(
            climate,
            sweep(prepared, climate.air_c, cold),
            sweep(prepared, climate.leaf_c, cold),
            sweep(prepared, self.root_c, cold),
            sweep(prepared, -climate.air_c, top),
            self.root_lowest_k,
            limits,
        )


def judge(
    prepared: Prepared,
    kind: SpotKind,
    pot: Pot,
    limits: Limits,
    setup: Setup = "screening",
) -> Judged:
    """Return what a plant meets at a spot.

    Parameters
    ----------
    prepared : Prepared
    kind : SpotKind
    pot : Pot
    limits : Limits
    setup : {"screening", "full"}
    """
    return Scene.of(prepared, kind, pot, setup).judged(limits)


def sweep(prepared: Prepared, values: Float, thresholds: list[float]) -> Exposure:
    """Sweep hourly values of a spot below thresholds."""
    return expose(values, prepared.seasons, prepared.dark, np.array(thresholds))


def warm_nights(judged: Judged) -> NDArray[np.bool_]:
    """Return the counted nights that stay above the warm-night limit."""
    nights = judged.air.nights
    limit = judged.limits.warm_night_c
    if limit is None:
        return np.zeros(nights.lowest_c.shape, dtype=bool)
    return (nights.lowest_c > limit) & nights.valid
