"""What a place gives a plant beyond its cold limit, and what a room gives in winter."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.judged import ColdNights
from climrisk.advice.verdict import Indoors, Needs
from climrisk.simulate import summary
from climrisk.simulate.judge import Judged, Limits, sweep, warm_nights
from climrisk.spot.kinds import SpotKind, spot_kind
from climrisk.spot.transfer import Prepared, spot_air_c

if TYPE_CHECKING:
    from climrisk.plants.model import Profile

_WINTER_CORE = {True: (12, 1, 2), False: (6, 7, 8)}
_GROWING = {True: (5, 6, 7, 8, 9, 10), False: (11, 12, 1, 2, 3, 4)}


def needs_of(
    judged: Judged, plant: Profile, prepared: Prepared, limits: Limits
) -> Needs:
    """Return how far heat, rest and night drop are met at a spot."""
    hot = (
        summary.per_year(judged.hot, 0, prepared) if limits.hot_c is not None else None
    )
    warm = None
    if limits.warm_night_c is not None:
        counted = summary.year_counts(warm_nights(judged), judged, prepared)
        warm = None if counted is None else counted.typical
    nights = judged.air.nights
    winter = np.isin(nights.month, _WINTER_CORE[nights.north])
    growing = np.isin(nights.month, _GROWING[nights.north])
    wanted = plant.night_drop_required_k
    return Needs(
        hot_hours=None if hot is None else hot.typical,
        hot_meaning=_meaning(plant),
        warm_nights=warm,
        winter_night_c=_middle(nights.lowest_c[winter]),
        wants_cool_rest=plant.rest == "cool_dry",
        drop_k=_middle(nights.drop_k[growing]),
        wanted_drop_k=None if wanted is None else wanted[0],
    )


def _meaning(plant: Profile) -> str:
    row = plant.limit("hot_limit")
    return "ceiling" if row is None else row.meaning


def _middle(values: np.ndarray) -> float | None:
    values = values[np.isfinite(values)]
    return float(np.median(values)) if values.size else None


def tried_indoors(
    prepared: Prepared, kinds: Sequence[SpotKind], limits: Limits, plant: Profile
) -> tuple[Indoors, ...]:
    """Return how indoor spots would serve in winter.

    A heated room is also tried turned down to the plant's limit, for a cool rest.
    """
    out = []
    preferred = limits.preferred_c if limits.preferred_c is not None else 0.0
    for kind in kinds:
        air = spot_air_c(prepared, kind)
        tried = _served(prepared, air, kind, kind.at, preferred, plant)
        out.append(tried)
        if kind.set_back_c is not None and not tried.needs.rest_met:
            unheated = spot_air_c(prepared, spot_kind("unheated-room"))
            cool = np.maximum(unheated, np.float32(preferred))
            words = f"{kind.at} turned down to {preferred:g} °C"
            out.append(_served(prepared, cool, kind, words, preferred, plant))
    return tuple(out)


def _served(
    prepared: Prepared,
    air_c: NDArray[np.floating],
    kind: SpotKind,
    words: str,
    preferred: float,
    plant: Profile,
) -> Indoors:
    nights = sweep(prepared, air_c, []).nights
    cold = ColdNights.of(nights, preferred)
    n = max(len(cold.winters), 1)
    winter = np.isin(nights.month, _WINTER_CORE[nights.north])
    needs = Needs(
        winter_night_c=_middle(nights.lowest_c[winter]),
        wants_cool_rest=plant.rest == "cool_dry",
    )
    # By the middle world: a keeper can choose the warmer corner, or shut a door.
    share = float(np.median(cold.winters_with_cold()) / n)
    return Indoors(kind.name, words, share, needs)
