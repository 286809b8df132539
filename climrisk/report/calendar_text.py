"""The move calendar as words for a terminal."""

from __future__ import annotations

from datetime import date

from climrisk.report.agenda import summary
from climrisk.report.tables import table
from climrisk.report.text import weather_text
from climrisk.result.assess import Move
from climrisk.result.calendar import CalendarResult
from climrisk.seasons import MONTH_NAMES


def calendar_text(result: CalendarResult) -> str:
    """Return the calendar: sentence, month states, dates, entries, cautions."""
    months = list(result.months[0].states)
    states = table(
        ["plant", "spot", *(MONTH_NAMES[int(m) - 1][:3] for m in months)],
        [(r.label, r.spot, *r.states.values()) for r in result.months],
    )
    dates = table(
        ["plant", "spot", "below °C", "inside by", "out from"],
        [
            (r.label, r.spot, f"{r.preferred_c:g}", words(r.move_in), words(r.move_out))
            for r in result.months
        ],
    )
    entries = [
        f"{date.fromisoformat(e.date):%a %d %b %Y}  {summary(e)}"
        + (f": {', '.join(e.plants)}" if len(e.plants) > 1 else "")
        for e in result.entries
    ]
    parts = [result.sentence, states, dates]
    if entries:
        parts.append("\n".join(entries))
    parts += [f"Written: {path}" for path in result.files]
    parts.append("\n".join(f"Caution, {c.topic}: {c.text}" for c in result.cautions))
    parts.append(weather_text(result.weather))
    return "\n\n".join(parts)


def words(row: Move) -> str:
    """Return a moving date as 12 October, or why there is none, short."""
    if row.month_day is not None:
        month, day = row.month_day.split("-")
        return f"{int(day)} {MONTH_NAMES[int(month) - 1]}"
    return {
        "never": "no need",
        "always": "cold all year",
        "too rare": "no date: too few winters for this risk",
        "few": "no date: fewer than 3 winters",
        "typical year": "no date: typical year",
    }.get(row.status, "no date")
