"""What helps most, as words, page and files."""

from __future__ import annotations

from climrisk.commands.remedies.chart import remedy_dots
from climrisk.commands.remedies.result import RemediesResult, Remedy
from climrisk.core.wording import plural
from climrisk.plants.registry import short_name
from climrisk.render.answer import Answer, Part, Rows, Words
from climrisk.render.display_units import temperature
from climrisk.render.page import Page, Picture, Section, Table, render, weather_footer
from climrisk.render.tables import table
from climrisk.render.text import span, weather_text

HEADER = (
    "cost",
    "remedy",
    "saves, h a year",
    "then roots, h a year",
    "then air, h a year",
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


_SHORT_COSTS = {"free": "Free", "cheap": "Cheap", "move": "Move"}
#: Remedies of each cost in a short answer.
_EACH = 3


def remedies_answer(result: RemediesResult) -> Answer:
    """Return how cold the roots are, and what helps most at each cost."""
    hours = result.root_hours_typical_year.mid
    name = short_name(result.plant)
    cold = (
        "unknown"
        if hours is None
        else f"cold roots for about {plural(hours / 24, 'day')} a year"
    )
    rows: list[tuple[str, str, str]] = []
    left = 0
    for cost, words in _SHORT_COSTS.items():
        found = [r for r in result.remedies if r.cost == cost]
        for n, r in enumerate(found[:_EACH]):
            rows.append((words if n == 0 else "", saves(r), r.name))
        left += len(found[_EACH:])
    parts: list[Part] = [
        Rows(rows, rank=1, least=5, left_out=left, what="more remedy"),
        Words(
            f"Cold: below the {temperature(result.preferred.value)} it prefers.", rank=2
        ),
        Words(f"As it is: {result.verdict}.", rank=2, tight=True),
    ]
    if not rows:
        parts = [Words("Nothing we can compute makes a clear difference.")]
    return Answer(
        f"{name} {result.spot.at}: {cold}",
        parts,
        "every remedy with its range",
        result.cautions,
        result.files,
    )


def saves(remedy: Remedy) -> str:
    """Return what a remedy saves, in days or hours a year."""
    saved = remedy.saved_per_year
    if saved is None or saved.mid is None:
        return remedy.words
    if remedy.clear is False:
        return "no clear difference"
    days = saved.mid / 24
    more = "fewer" if days >= 0 else "more"
    if abs(days) >= 1:
        return f"{plural(abs(days), 'day')} {more}"
    return f"{plural(abs(saved.mid), 'hour')} {more}"


def remedies_text(result: RemediesResult) -> str:
    """Return in full the ranked remedies for a terminal."""
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
        f"As it is, below {temperature(result.preferred.value)}: roots "
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
        figures=[Picture("remedies1", remedy_dots(result), WORDS)],
        tables=[
            Table(f"{words}, each alone", HEADER[1:], rows)
            for cost, words in COSTS.items()
            if (rows := [row(r)[1:] for r in result.remedies if r.cost == cost])
        ],
        beside=[f"as it is: {result.verdict}"],
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
