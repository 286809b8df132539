"""What is seen first of a cold event: the short answer, with three facts beside it."""

from __future__ import annotations

from datetime import date

from climrisk.commands.event.result import EventResult, PlantMet
from climrisk.commands.event.text import event_answer
from climrisk.commands.shared.facts import UNKNOWN, on_spot, temperature
from climrisk.core.typed_text import Viewer
from climrisk.plants.registry import short_name
from climrisk.render.answer import Answer, day_of
from climrisk.render.charts.ranges import RangeRow, ranges_html
from climrisk.render.summary import Summary, SummaryChart, Tile, summary

#: Plants in the chart; the others are in the tables.
_MOST = 8


def event_summary(result: EventResult, _: date) -> Summary:
    """Return how cold it was and what to expect of which plants."""
    known = [s for s in result.spots if s.lowest_c.mid is not None]
    coldest = min(known, key=lambda s: s.lowest_c.mid or 0.0, default=None)
    total = sum(p.count for p in result.plants)

    def counted(outlook: str) -> str:
        found = sum(p.count for p in result.plants if p.outlook == outlook)
        return f"{found} of {total}" if total else "no plant there"

    tiles = [
        Tile(
            "Lowest",
            UNKNOWN if coldest is None else temperature(coldest.lowest_c),
            "" if coldest is None else on_spot(coldest.name, coldest.kind),
        ),
        Tile("Expect damage", counted("expect damage"), "by what is reported"),
        Tile("Watch", counted("watch"), "for weeks, see below"),
    ]
    event = result.told
    days = day_of(event.first) if event.first == event.last else ""
    days = days or f"{day_of(event.first)} to {day_of(event.last)}"
    typed = not result.hours
    answer = event_answer(result)
    if typed:
        # The question is repeated above the answer.
        answer = Answer(
            answer.headline, answer.parts[:-1], answer.details, answer.cautions
        )
    return summary(
        answer,
        [days, event.words or "by the record"],
        tiles=tiles,
        drawing=SummaryChart(
            "The lowest, beside what each plant takes",
            lambda viewer: _limits_html(result, viewer),
        )
        if typed
        else None,
    )


def _limits_html(result: EventResult, viewer: Viewer) -> str:
    """Return plants that stand there, the one furthest below its limit first."""
    return ranges_html(
        [row for p in sorted(result.plants, key=_margin_k) if (row := _row(p))][:_MOST],
        viewer,
        bar="lowest there",
        mark="prefers, tolerates",
    )


def _margin_k(plant: PlantMet) -> float:
    limit = plant.tolerated or plant.preferred
    lowest = plant.lowest_c.mid
    return 0.0 if limit is None or lowest is None else lowest - limit.limit_c


def _row(plant: PlantMet) -> RangeRow | None:
    low, mid, high = plant.lowest_c.low, plant.lowest_c.mid, plant.lowest_c.high
    if mid is None:
        return None
    limits = [x.limit_c for x in (plant.tolerated, plant.preferred) if x is not None]
    return RangeRow(
        short_name(plant.label),
        "",
        mid if low is None else low,
        mid,
        mid if high is None else high,
        limits,
        said="",
    )
