"""Cold dose of each winter at the spot, beside published reports."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from climrisk.advice.cold_dose import CONCERN, WORDS, Grade, Met, graded
from climrisk.advice.cold_nights import ColdNights
from climrisk.commands.assess.result import DoseInfo, DoseReport, DoseWinters
from climrisk.commands.shared.exposure_info import middle_member
from climrisk.commands.shared.exposures import Judged
from climrisk.spot.transfer import Prepared

if TYPE_CHECKING:
    from climrisk.plants.model import Profile


def dose_info(
    judged: Judged, cold: ColdNights, prepared: Prepared, plant: Profile, state: str
) -> DoseInfo:
    """Return how many winters reach each grade of dose, by the median member's air.

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
        why = "A typical year has no real winters to compare with reports."
        return DoseInfo(winters=[], reports=[], words=why)
    air = middle_member(judged.climate.air_c)
    seasons = prepared.seasons
    count: dict[str, int] = {}
    met: dict[tuple[str, float, str], DoseReport] = {}
    for year in cold.winters:
        rows = np.flatnonzero(seasons.growing_year == year)
        # From noon on, so that a day of 24 hours holds one night.
        noon = rows[np.flatnonzero(seasons.hour[rows] >= 12)[0]]
        hours = air[noon : rows[-1] + 1]
        dose = graded(
            plant,
            Met.of(hours),
            judged.limits.preferred_c,
            state,
            judged.limits.tolerated_c,
        )
        count[dose.grade] = count.get(dose.grade, 0) + 1
        for row in dose.reports:
            key = (row.outcome, row.at_or_below_c, row.wording)
            before = met.get(key)
            met[key] = DoseReport(
                outcome=row.outcome,
                at_or_below_c=row.at_or_below_c,
                hours=row.hours,
                nights=row.nights,
                told=row.wording,
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


#: The grades of a winter, after "10 of 30 winters" or "every one of the 30 winters".
_WINTERS: dict[Grade, str] = {
    "within": "no night below the minimum it prefers",
    "endured": "no colder than others are reported to have come through",
    "effect": "cold enough to slow growth; no lasting damage reported",
    "open": "colder than it should be, and no report says what follows",
    "conflict": "so cold that some saw damage and others none",
    "beyond": "colder or longer than any report we know: expect damage",
    "harm": "as cold as is reported to have done harm: expect damage",
    "unknown": "not known well enough",
}


def _order(grade: Grade) -> int:
    return CONCERN.index(grade) if grade in CONCERN else len(CONCERN)


def _words(rows: list[DoseWinters], n: int) -> str:
    if not rows:
        return "No complete winter, so no cold dose can be given."
    if len(rows) == 1:
        return f"Left out all winter, all {n} winters: {_WINTERS[rows[0].grade]}."
    worst_first = sorted(rows, key=lambda r: _order(r.grade))
    parts = [f"{r.winters} winters {_WINTERS[r.grade]}" for r in worst_first]
    return f"Left out all winter, of {n} winters: {'; '.join(parts)}."
