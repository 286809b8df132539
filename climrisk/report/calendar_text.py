"""The move calendar as words for a terminal."""

from __future__ import annotations

from datetime import date

from climrisk.report.agenda import coming_entries, load_lines, summary
from climrisk.report.tables import table
from climrisk.report.text import weather_text
from climrisk.result.assess import Move
from climrisk.result.calendar import CalendarResult, PlantMonths
from climrisk.result.wanted import WantedInfo
from climrisk.seasons import MONTH_NAMES


def calendar_text(result: CalendarResult) -> str:
    """Return the calendar: sentence, month states, dates, entries, cautions."""
    months = list(result.months[0].states)
    states = table(
        ["plant", "spot", *(MONTH_NAMES[int(m) - 1][:3] for m in months)],
        [(r.label, r.spot, *r.states.values()) for r in result.months],
    )
    dates = table(
        [
            *("plant", "spot", "tolerates °C", "inside by", "trip in"),
            *("out from", "trip out", "room"),
        ],
        [
            (
                *(r.label, r.spot, f"{r.tolerated_c:g}"),
                *(words(r.move_in), spoken(r.trip_in)),
                *(words(r.move_out), spoken(r.trip_out), room(r)),
            )
            for r in result.months
        ],
    )
    entries = [
        "\n".join(
            [
                f"{date.fromisoformat(e.date):%a %d %b %Y}  {summary(e)}",
                *(f"    {line}" for line in load_lines(e)),
            ]
        )
        for e in coming_entries(result)
    ]
    wanted = [r.wanted.sentence for r in result.months if r.wanted is not None]
    notes = [
        f"{r.label}, {r.spot}: {'; '.join(r.notes)}." for r in result.months if r.notes
    ]
    parts = [result.sentence, states, dates, "\n".join(notes), "\n".join(wanted)]
    if entries:
        parts.append("\n".join(entries))
    parts += [f"Written: {path}" for path in result.files]
    parts.append("\n".join(f"Caution, {c.topic}: {c.text}" for c in result.cautions))
    parts.append(weather_text(result.weather))
    return "\n\n".join(part for part in parts if part)


def spoken(month_day: str | None) -> str:
    """Return MM-DD as 12 October; None as a dash."""
    if month_day is None:
        return "–"
    month, day = month_day.split("-")
    return f"{int(day)} {MONTH_NAMES[int(month) - 1]}"


def wish(wanted: WantedInfo) -> str:
    """Return the cold that is wanted, short."""
    count = "" if wanted.nights_wanted is None else f"{wanted.nights_wanted} "
    return f"{count}{wanted.counted}s of {wanted.low_c:g} to {wanted.high_c:g} °C"


def room(row: PlantMonths) -> str:
    """Return the winter room, and whether it serves."""
    if row.room is None:
        return "stays"
    return row.room if row.room_serves else f"{row.room} ({row.room_why})"


def words(row: Move) -> str:
    """Return a moving date as 12 October, or why there is none, short."""
    if row.month_day is not None:
        month, day = row.month_day.split("-")
        return f"{int(day)} {MONTH_NAMES[int(month) - 1]}"
    return {
        "never": "stays out",
        "always": "cold all year",
        "few": "no date: fewer than 3 winters",
        "typical year": "no date: typical year",
    }.get(row.status, "no date")
