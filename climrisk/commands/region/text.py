"""Maps and cells as words for a terminal."""

from __future__ import annotations

from climrisk.commands.region.result import (
    CellPlant,
    MappedPlant,
    PickedCell,
    RegionResult,
)
from climrisk.core.days import MONTH_NAMES
from climrisk.core.quantities import DEGREES, DISTANCE, TEMPERATURE
from climrisk.plants.registry import short_name
from climrisk.render.answer import Answer, Part, Rows, Words, spoken
from climrisk.render.display_units import day, number, quantity, temperature
from climrisk.render.tables import table

_NO_DATE = {
    "never": "no need",
    "always": "never safe",
    "few": "too few winters",
}
#: What a spot allows, before the rooms of a home are looked at.
YEAR = {
    "out all year": "out all year",
    "watch": "out, carried in on single nights",
    "in up to 6 months": "in for up to 6 months",
    "in 7 to 10 months": "in for 7 to 10 months",
    "too cold": "too cold",
    "too hot": "too hot",
    "cannot say": "too few years",
}
_SIGNS = {"out": "out", "in": "in", "watch": "watch", "unknown": "-", None: "-"}


def region_answer(result: RegionResult) -> Answer:
    """Return how a map spreads, or what a plant meets in the cells picked out."""
    parts: list[Part] = []
    rows = [
        (
            short_name(p.name),
            f"{_whole(p.hours_per_year_least)} to {_whole(p.hours_per_year_most)} h a "
            f"year below {temperature(p.preferred_c)}; {_most_cells(p)}",
        )
        for p in result.plants
    ]
    parts.append(Rows(rows, rank=1, least=3, what="more plant"))
    cells = [
        (
            f"{c.latitude_deg:g},{c.longitude_deg:g}",
            short_name(p.plant),
            f"{YEAR.get(p.verdict_at_spot or '', '?')}; in "
            f"{_cell_date(p.move_in, p.move_in_status)}, out "
            f"{_cell_date(p.move_out, p.move_out_status)}",
        )
        for c in result.at
        for p in c.plants
    ]
    parts.append(Rows(cells, rank=1, least=3, what="more cell"))
    if result.out:
        parts.append(Words("The verdict of a cell is for outdoors, without any room."))
    return Answer(
        sentence(result),
        parts,
        "hours, months, assumptions",
        result.cautions,
        result.files,
    )


def _cell_date(day: str | None, status: str | None) -> str:
    return spoken(day) if day else _NO_DATE.get(status or "", "?")


def _most_cells(plant: MappedPlant) -> str:
    """Return what the year is in most cells."""
    counts = {k: n for k, n in plant.cells_by_verdict.items() if n}
    if not counts:
        return "too few years for a verdict"
    most = max(counts, key=lambda k: counts[k])
    return f"{YEAR[most]} in {counts[most] / sum(counts.values()):.0%} of cells"


def region_text(result: RegionResult) -> str:
    """Return everything: plants, cells, cautions and what was assumed."""
    parts = [sentence(result)]
    if result.plants:
        parts.append(table(PLANT_HEADER, plant_rows(result)))
        parts.append("\n".join(year_lines(result)))
    for one in result.at:
        parts.append(cell_line(one))
        parts.append(table(CELL_HEADER, [cell_row(p) for p in one.plants]))
        parts.append(
            table(
                ["months", *(m[:3] for m in MONTH_NAMES)],
                [
                    [p.plant, *(_SIGNS[p.months[str(m)]] for m in range(1, 13))]
                    for p in one.plants
                ],
            )
        )
    parts += [f"Written: {path}" for path in result.files]
    parts += ["\n".join(f"Caution, {c.topic}: {c.text}" for c in result.cautions)]
    parts.append(weather_lines(result))
    return "\n\n".join(p for p in parts if p)


def sentence(result: RegionResult) -> str:
    """Return what was done in a sentence."""
    text = (
        f"{result.cells:,} cell{'s' * (result.cells != 1)} of {result.hours:,} hours, "
        f"{result.spot_at}, in {result.pot} with {result.medium}"
    )
    empty = result.cells_without_hours
    return f"{text}; {empty:,} without hours." if empty else f"{text}."


PLANT_HEADER = (
    "plant",
    f"minimum {DEGREES}",
    "hours below a year: least",
    "middle cell",
    "most",
    "cells never below",
    "months out, middle cell",
    "months indoors",
)


def plant_rows(result: RegionResult) -> list[list[object]]:
    """Return a row a plant: how its map spreads."""
    return [
        [
            p.name,
            number(TEMPERATURE, p.preferred_c),
            _whole(p.hours_per_year_least),
            _whole(p.hours_per_year_median),
            _whole(p.hours_per_year_most),
            "?"
            if p.cells_never_below_share is None
            else f"{p.cells_never_below_share:.1%}",
            "?" if p.months_out_median is None else f"{p.months_out_median:g}",
            "?" if p.months_indoors_median is None else f"{p.months_indoors_median:g}",
        ]
        for p in result.plants
    ]


def year_lines(result: RegionResult) -> list[str]:
    """Return in how many cells each plant may stay outdoors, and for how long."""
    return [
        f"{p.name}: "
        + "; ".join(
            f"{YEAR[k]} in {n:,} cell{'s' * (n != 1)}"
            for k, n in p.cells_by_verdict.items()
            if n
        )
        for p in result.plants
        if any(p.cells_by_verdict.values())
    ]


CELL_HEADER = (
    "plant",
    "hours below",
    "a year",
    "tolerated",
    "longest run, nights",
    "roots, hours below",
    "years with a cold night",
    "be in by",
    "be out from",
    "the year here",
)


def cell_row(plant: CellPlant) -> list[object]:
    """Return what a plant meets in a cell."""
    share = plant.share_of_years_with_cold_night
    return [
        plant.plant,
        _whole(plant.hours_below_preferred),
        _whole(plant.hours_below_preferred_per_year),
        _whole(plant.hours_below_tolerated),
        _whole(plant.longest_run_nights),
        _whole(plant.root_zone_hours_below_preferred),
        "?" if share is None else f"{share:.0%} of {plant.winters}",
        plant.move_in or _NO_DATE.get(plant.move_in_status or "", "?"),
        plant.move_out or _NO_DATE.get(plant.move_out_status or "", "?"),
        YEAR.get(plant.verdict_at_spot or "", "?"),
    ]


def cell_line(cell: PickedCell) -> str:
    """Return which cell was picked, and its coldest hours."""
    text = (
        f"{cell.asked_latitude_deg:g},{cell.asked_longitude_deg:g}: cell "
        f"{cell.latitude_deg:g},{cell.longitude_deg:g}, "
        f"{quantity(DISTANCE, cell.distance_km)} away"
    )
    if cell.known_hours is None:
        return f"{text}; it has no hours."
    lowest = [
        (cell.lowest_air_temperature_c, "air"),
        (cell.lowest_root_zone_temperature_c, "root zone"),
    ]
    minima = ", ".join(
        f"{name} {temperature(v, 1)}" for v, name in lowest if v is not None
    )
    return f"{text}; {cell.known_hours:,.0f} hours, lowest {minima}."


def weather_lines(result: RegionResult) -> str:
    """Return where the hours come from and what was taken for granted."""
    lines = [f"Weather: {result.input}, {day(result.first)} to {day(result.last)}."]
    lines += [
        f"Assumed {a.variable}: {a.value} ({a.spread}), {a.why}."
        for a in result.assumed
    ]
    lines += [f"Note: {note}." for note in result.notes]
    return "\n".join(lines)


def _whole(value: float | None) -> str:
    return "?" if value is None else f"{value:,.0f}"
