"""Cold that is wanted, as part of a result."""

from __future__ import annotations

from typing import Literal

from climrisk.core.ranges import Band
from climrisk.render.document import Frozen


class EarnedBy(Frozen):
    """Wanted nights earned before an evening, over winters and members."""

    month_day: str
    nights: Band


class SoFar(Frozen):
    """Wanted nights of the growing year that holds today, where its hours are known."""

    label: str
    until: str | None
    nights: Band | None
    why: str


class WantedInfo(Frozen):
    """Nights (or days) that a plant wants cool, and how many a spot gives.

    `before_move_in` counts those before the date advised, `in_room` those in the winter
    room from then on; `done_by` is the evening before which 9 winters in 10 have earned
    what is wanted; `also_too_cold` are wanted nights below the plant's night minimum:
    sources disagree about them.
    """

    purpose: Literal["spikes", "flowers", "rest"]
    counted: Literal["night", "day"]
    low_c: float
    high_c: float
    nights_wanted: int | None
    nights_basis: str
    optional: bool
    told: str
    belief: str
    basis: str
    sources: list[str]
    whole_season: Band | None
    before_move_in: Band | None
    in_room: Band | None
    share_done_before_move_in: float | None
    done_by: str | None
    also_too_cold: Band | None
    earned_by: list[EarnedBy]
    so_far: SoFar
    sentence: str
