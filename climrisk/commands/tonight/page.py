"""Pages of what a keeper asks: tonight, after a cold event, the year looked back on."""

from __future__ import annotations

from climrisk.commands.tonight.result import PlantTonight, TonightResult
from climrisk.commands.tonight.text import SPOT_HEADER, forecast_text, spot_rows, way
from climrisk.core.quantities import of_unit
from climrisk.render.display_units import day_in_words
from climrisk.render.page import Page, Section, Table

_PLANT_HEADER = ("", "plant", "way", "because")


def tonight_sheet(result: TonightResult) -> Page:
    """Return tonight as a page: three lists to be read outdoors."""
    tables = [
        Table(name, _PLANT_HEADER, [_plant_row(r) for r in rows])
        for name, rows in (
            ("Carry in what is outside", result.carry),
            ("Cover", result.cover),
            ("Leave", result.leave),
            ("Inside by your notes", result.inside),
        )
        if rows
    ]
    tables.append(Table("Spots, the coldest first", SPOT_HEADER, spot_rows(result)))
    if result.not_judged:
        rows = [(n.label, n.reason) for n in result.not_judged]
        tables.append(Table("Not judged", ("plant", "because"), rows))
    figures = [(f.what, of_unit(f.value, f.unit), f.basis) for f in result.figures]
    tables.append(
        Table("What this rests on", ("figure", "", "basis"), figures, folded=True)
    )
    # What was typed comes first: a number read in the other unit turns all around.
    read = result.forecast.understood
    reasons = [f"Your forecast was read as {read}."] if read else []
    reasons += result.first
    if result.cover or not result.cover_helps:
        reasons.append(result.cover_words)
    if result.rooms_words:
        reasons.append(result.rooms_words)
    word = "wind first" if result.wind_first else result.night.kind
    footer = [forecast_text(result)]
    footer += [
        f"Assumed {a.variable}: {a.value} ({a.spread}), {a.why}."
        for a in result.assumed
    ]
    return Page(
        f"Tonight, {day_in_words(result.night.evening, year=True)}",
        f"{result.home}; {result.forecast.place}",
        [Section("Tonight", result.sentence, word, reasons, (), tables)],
        result.cautions,
        [*footer, f"climrisk {result.version}"],
    )


def _plant_row(row: PlantTonight) -> tuple[object, ...]:
    count = f"{row.count} x " if row.count > 1 else ""
    return (
        "[ ]",
        f"{count}{row.label}",
        way(row),
        row.why,
    )
