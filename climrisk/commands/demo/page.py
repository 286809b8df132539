"""The whole job on one page."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from climrisk.commands.assess.page import assess_section
from climrisk.commands.assess.result import AssessResult
from climrisk.commands.calendar.page import calendar_section
from climrisk.commands.calendar.result import CalendarResult
from climrisk.commands.winter.page import winter_section
from climrisk.commands.winter.result import WinterResult
from climrisk.render.document import Caution
from climrisk.render.page import Page, render, weather_footer


def home_page(
    title: str,
    calendar: CalendarResult,
    assessed: Sequence[AssessResult],
    winter: WinterResult,
    today: date,
) -> str:
    """Return the whole job on one page."""
    cautions: dict[str, Caution] = {}
    every = [r.cautions for r in assessed] + [winter.cautions, calendar.cautions]
    for caution in (c for some in every for c in some):
        cautions.setdefault(caution.topic, caution)
    sections = [
        calendar_section(calendar),
        *(assess_section(r, i + 1, today) for i, r in enumerate(assessed)),
        winter_section(winter, 1),
    ]
    return render(
        Page(
            title,
            calendar.weather.source,
            sections,
            list(cautions.values()),
            weather_footer(calendar.weather, calendar.version),
        )
    )
