"""What helps most, as words, page and files."""

from __future__ import annotations

from functools import partial
from typing import Unpack

from climrisk.bands import Band
from climrisk.report import figures as draw
from climrisk.report.assess_text import span
from climrisk.report.faces import Asked, Faces
from climrisk.report.page import Page, Picture, Section, Table, render, weather_footer
from climrisk.report.tables import table
from climrisk.report.text import weather_text
from climrisk.result.remedies import RemediesResult, Remedy

HEADER = (
    "cost",
    "remedy",
    "saves, h a year",
    "then roots, h",
    "then air, h",
    "",
    "source",
)
#: What each group costs, in the order of the result.
COSTS = {"free": "Free", "cheap": "A small purchase", "move": "A move"}
WORDS = (
    "Hours a year that each remedy alone takes from those in which the roots are "
    "colder than the plant prefers, free ones first: dot, median; line, 8 chances in "
    "10; open dot, no clear difference."
)


def remedies_text(result: RemediesResult) -> str:
    """Return the ranked remedies for a terminal."""
    parts = [
        result.sentence,
        as_it_stands(result),
        table(HEADER, [row(r) for r in result.remedies]),
    ]
    parts += [f"Written: {path}" for path in result.files]
    parts.append("\n".join(f"Caution, {c.topic}: {c.text}" for c in result.cautions))
    parts.append(weather_text(result.weather))
    return "\n\n".join(parts)


def as_it_stands(result: RemediesResult) -> str:
    """Return the hours as it stands, of a typical year and on average."""
    years = f"{result.years:.0f} year{'s' * (round(result.years) != 1)}"
    return (
        f"As it stands, below {result.preferred.value:g} °C: roots "
        f"{span(result.root_hours_typical_year, 0)} and air "
        f"{span(result.air_hours_typical_year, 0)} hours in a typical year. The table "
        f"gives averages over {years}; by these, roots "
        f"{span(result.root_hours_per_year, 0)} and air "
        f"{span(result.air_hours_per_year, 0)} hours a year."
    )


def row(remedy: Remedy) -> tuple[str, ...]:
    """Return a remedy as a row; a dash where hours do not tell."""
    cells = (
        remedy.saved_per_year,
        remedy.root_hours_per_year,
        remedy.air_hours_per_year,
    )
    return (
        remedy.cost,
        remedy.name,
        *("–" if cell is None else span(cell, 0) for cell in cells),
        remedy.words,
        remedy.basis,
    )


def remedies_sheet(result: RemediesResult) -> Page:
    """Return the ranked remedies as a page."""
    section = Section(
        f"{result.plant} {result.spot.at}",
        result.sentence,
        reasons=[as_it_stands(result)],
        figures=[Picture("remedies1", draw.remedy_dots(result), WORDS)],
        tables=[
            Table(f"{words}, each alone", HEADER[1:], rows)
            for cost, words in COSTS.items()
            if (rows := [row(r)[1:] for r in result.remedies if r.cost == cost])
        ],
        beside=[f"as it stands: {result.verdict}"],
    )
    return Page(
        f"What helps most: {result.plant}",
        f"{result.spot.words}, {result.weather.source}",
        [section],
        result.cautions,
        weather_footer(result.weather, result.version),
    )


def remedies_page(result: RemediesResult) -> str:
    """Return what helps as a page in one file."""
    return render(remedies_sheet(result))


def remedies_files(result: RemediesResult, **asked: Unpack[Asked]) -> list[str]:
    """Write the asked files and return their paths."""

    def rows() -> list[tuple[object, ...]]:
        out: list[tuple[object, ...]] = []
        for r in result.remedies:
            saved = r.saved_per_year or Band(None, None, None)
            roots = r.root_hours_per_year or Band(None, None, None)
            air = r.air_hours_per_year or Band(None, None, None)
            hours = (saved.low, saved.mid, saved.high, roots.mid, air.mid)
            night = r.warmer_by_night_k or Band(None, None, None)
            more = (night.mid, r.words, r.basis)
            out.append((r.kind, r.cost, r.name, *hours, *more))
        return out

    return Faces(
        page=partial(remedies_page, result),
        figure=partial(draw.remedy_dots, result),
        title=f"What helps {result.plant} most {result.spot.at}",
        words=WORDS,
        header=[
            *("kind", "cost", "remedy", "saved_low_h", "saved_mid_h", "saved_high_h"),
            *("root_hours_per_year", "air_hours_per_year", "warmer_by_night_k"),
            *("words", "basis"),
        ],
        rows=rows,
        weather=result.weather,
    ).write(asked)
