"""What helps most, as words, page and files."""

from __future__ import annotations

from climrisk.commands.remedies.result import RemediesResult, Remedy
from climrisk.core.wording import plural
from climrisk.plants.registry import short_name
from climrisk.render.answer import Answer, Part, Rows, Words, some
from climrisk.render.display_units import temperature
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
    colder = [r for r in result.remedies if r.words == "harms"]
    for cost, words in _SHORT_COSTS.items():
        found = [r for r in result.remedies if r.cost == cost and r not in colder]
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
    if colder:
        names = some([f"{r.name} ({saves(r)})" for r in colder], 2)
        parts.insert(1, Words(f"Makes it colder: {names}.", rank=3))
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
