"""Night drop: how far nights fall, where that is wanted, and where it strains."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from climrisk.advice.chilling import large_drop_k, sudden_nights
from climrisk.advice.flowering import DROP_SHARE
from climrisk.commands.shared.exposure_info import year_counts
from climrisk.commands.shared.exposures import Judged
from climrisk.commands.shared.exposures_result import Drop
from climrisk.core.calendar import GROWING_MONTHS
from climrisk.core.quantities import difference, differences
from climrisk.spot.transfer import Prepared

if TYPE_CHECKING:
    from climrisk.plants.model import Profile


def drop_info(judged: Judged, prepared: Prepared, plant: Profile) -> Drop:
    """Return the night drop at a spot against what the plant wants."""
    nights = judged.air.nights
    drop = nights.drop_k
    known = np.isfinite(drop).all(axis=1)
    middle = np.median(drop[known], axis=1)
    required = plant.night_drop_required_k
    wanted = None if required is None else required[0]
    large_k, sudden_k = large_drop_k()
    some = middle.size > 0
    share = met = None
    growing = known & np.isin(nights.month, GROWING_MONTHS[nights.north])
    if wanted is not None and growing.any():
        share = round(float((drop[growing] < wanted).mean()), 3)
        met = bool(np.median(drop[growing]) >= DROP_SHARE * wanted)
    with np.errstate(invalid="ignore"):
        large = year_counts(drop > large_k, judged, prepared)
    sudden = year_counts(sudden_nights(nights, sudden_k), judged, prepared)
    needed = _needed(plant)
    return Drop(
        mean_k=round(float(middle.mean()), 2) if some else None,
        p95_k=round(float(np.percentile(middle, 95)), 2) if some else None,
        wanted_k=wanted,
        met=met,
        needed=needed,
        share_below_wanted=share,
        large_k=large_k,
        large_nights_per_growing_year=large,
        sudden_k=sudden_k,
        sudden_nights_per_growing_year=sudden,
        words=_words(needed, wanted),
    )


def _needed(plant: Profile) -> bool | None:
    """Return whether a source asks for a fall; False where one found none needed."""
    rows = [r for r in plant.limits.night_drop if r.meaning == "advised_fall"]
    rows = [r for r in rows if r.basis != "memory"]
    if not rows:
        return None
    return any(row.value > 0 for row in rows)


def _words(needed: bool | None, wanted: float | None) -> str:  # noqa: FBT001
    if needed is False:
        return "experiments found no need of colder nights; growers often say otherwise"
    if wanted is not None:
        return f"its sources ask for nights {difference(wanted)} colder at least"
    return (
        f"no source of its own asks for a fall; nights {differences(5, 8)} colder are "
        "common "
        "practice"
    )
