"""Doses of cold beside published reports, as part of a result."""

from __future__ import annotations

from typing import Literal

from climrisk.advice.cold_dose import Grade
from climrisk.render.document import Frozen


class DoseWinters(Frozen):
    """Winters whose cold at the spot reaches a grade; no promise of harm or safety."""

    grade: Grade
    winters: int
    words: str


class DoseReport(Frozen):
    """A report that the cold reaches, or that covers it, and in how many winters.

    `hours` are those of one stretch, or of each of `nights`; null where the source does
    not say how long.
    """

    outcome: Literal["endured", "effect", "harm"]
    at_or_below_c: float
    hours: float | None
    nights: int | None
    told: str
    sources: list[str]
    winters: int


class DoseInfo(Frozen):
    """Temperature, hours and nights in a row of each winter, beside reports."""

    winters: list[DoseWinters]
    reports: list[DoseReport]
    words: str
