"""What each winter would do to a plant left at the spot, beside published reports."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from climrisk.advice.cold_nights import ColdNights
from climrisk.advice.dose import WORDS, Met, graded
from climrisk.result.dose import DoseInfo, DoseReport, DoseWinters
from climrisk.simulate.judge import Judged
from climrisk.simulate.summary import middle_world
from climrisk.spot.transfer import Prepared

if TYPE_CHECKING:
    from climrisk.plants.model import Profile


def dose_info(
    judged: Judged, cold: ColdNights, prepared: Prepared, plant: Profile, state: str
) -> DoseInfo:
    """Return how many winters reach each grade of dose, by the middle world's air.

    Parameters
    ----------
    judged : Judged
    cold : ColdNights
        Names the winters that count.
    prepared : Prepared
    plant : Profile
    state : str
    """
    if prepared.weather.typical:
        why = "A typical year has no winters to lay beside reports."
        return DoseInfo(winters=[], reports=[], words=why)
    air = middle_world(judged.climate.air_c)
    seasons = prepared.seasons
    count: dict[str, int] = {}
    met: dict[tuple[str, float, str], DoseReport] = {}
    for year in cold.winters:
        rows = np.flatnonzero(seasons.growing_year == year)
        # From noon on, so that a day of 24 hours holds one night.
        noon = rows[np.flatnonzero(seasons.hour[rows] >= 12)[0]]
        hours = air[noon : rows[-1] + 1]
        told = graded(plant, Met.of(hours), judged.limits.preferred_c, state)
        count[told.grade] = count.get(told.grade, 0) + 1
        for row in told.reports:
            key = (row.outcome, row.at_or_below_c, row.told)
            before = met.get(key)
            met[key] = DoseReport(
                outcome=row.outcome,
                at_or_below_c=row.at_or_below_c,
                hours=row.hours,
                nights=row.nights,
                told=row.told,
                sources=list(row.sources),
                winters=1 if before is None else before.winters + 1,
            )
    winters = [
        DoseWinters(grade=grade, winters=count[grade], words=words)
        for grade, words in WORDS.items()
        if grade in count
    ]
    return DoseInfo(
        winters=winters,
        reports=sorted(met.values(), key=lambda r: -r.winters),
        words=_words(winters, len(cold.winters)),
    )


def _words(rows: list[DoseWinters], n: int) -> str:
    if not rows:
        return "No winter counts, so no dose can be told."
    parts = [f"{r.winters} of {n} winters {r.words}" for r in rows]
    return f"Left there all winter, by the air of the middle world: {'; '.join(parts)}."
