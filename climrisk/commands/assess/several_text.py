"""Answers side by side as words for a terminal."""

from __future__ import annotations

from collections.abc import Callable

from climrisk.commands.assess.result import AssessSeveral, Choice
from climrisk.commands.shared.dates_text import words
from climrisk.core.quantities import DEGREES, TEMPERATURE
from climrisk.core.references import by
from climrisk.plants.registry import short_name
from climrisk.render.answer import Answer, Part, Rows, Words, brief
from climrisk.render.display_units import temperature
from climrisk.render.tables import table
from climrisk.render.text import percent, span, weather_text

HEADER = (
    "kind",
    "plant",
    "prefers above",
    "verdict",
    "months out",
    "inside by",
    "out from",
    "winters with a harmful night",
    f"coldest {DEGREES}",
)


#: Returns the command as it was typed, but for some of its arguments.
Again = Callable[..., str]


def several_answer(result: AssessSeveral, again: Again) -> Answer:
    """Return the answers side by side, and how to say which is meant."""
    words = {c.result.verdict.word for c in result.choices}
    if len(words) == 1:
        same = words.pop().upper()
        count = {2: "Both", 3: "All three"}.get(
            len(result.choices), f"All {len(result.choices)}"
        )
        headline = f'"{result.asked}" covers several plants. {count}: {same}'
        if result.scenarios:
            headline = f'No plant called "{result.asked}". Sold as any class: {same}'
    elif result.scenarios:
        headline = f'No plant called "{result.asked}". It depends on how it is sold.'
    else:
        headline = f'"{result.asked}" covers several plants, which differ here.'
    rows: list[tuple[str, ...]] = []
    for c in result.choices:
        into, out = c.result.move_in.month_day, c.result.move_out.month_day
        dates = f"{brief(into)} to {brief(out)}" if into and out else ""
        name = "" if result.scenarios else short_name(c.name)
        rows.append((name, c.kind, c.result.verdict.word, dates))
    head: tuple[str, ...] = ("plant", "kind", "verdict", "inside")
    if result.scenarios:
        rows, head = [row[1:] for row in rows], ("sold as", *head[2:])
    parts: list[Part] = [Rows(rows, head, rank=1, least=4, what="more plant")]
    if result.nearest:
        near = "; ".join(result.nearest[:3])
        parts.append(Words(f"Did you mean: {near}?", rank=1))
    step, command = _next(result, again)[0]
    step = by(cli=f"{step[:1].upper()}{step[1:]}:")
    parts += [Words(step), Rows([(by(cli=command),)], tight=True)]
    return Answer(
        headline,
        parts,
        "how to tell them apart",
        result.cautions,
        result.files,
    )


def several_text(result: AssessSeveral, again: Again) -> str:
    """Return in full the question, the answers side by side, and what to do next."""
    kinds = dict.fromkeys((c.kind, c.line) for c in result.choices)
    parts = [
        f"{result.sentence}\n{result.question}",
        "\n".join(f"- {kind}: {line}" for kind, line in kinds),
        table(HEADER, [several_row(c) for c in result.choices]),
        "\n".join(f"{step}: {command}" for step, command in _next(result, again)),
    ]
    if result.form:
        parts.append(f"A profile of your own, to fill in:\n\n{result.form}")
    parts += [f"Written: {path}" for path in result.files]
    parts.append("\n".join(f"Caution, {c.topic}: {c.text}" for c in result.cautions))
    parts.append(weather_text(result.weather))
    return "\n\n".join(parts)


def _next(result: AssessSeveral, again: Again) -> list[tuple[str, str]]:
    """Return the next steps, each with its command."""
    first = short_name(result.choices[0].name)
    commands = [again(plant=first), again(home="FILE", means=first)]
    if result.scenarios:
        sold = again(plant=result.choices[-1].name)
        own = again(preferred="DEGREES", limit_source="WHERE")
        commands = [sold, own, "see below"]
    return list(zip(result.next_steps, commands, strict=True))


def several_row(choice: Choice) -> tuple[str, ...]:
    """Return one answer as a row of the table."""
    result = choice.result
    limit = result.plant.limits["preferred"]
    return (
        choice.kind,
        choice.name,
        "?" if limit is None else f"{temperature(limit.value)}",
        result.verdict.word,
        str(sum(state == "out" for state in result.months.values())),
        words(result.move_in),
        words(result.move_out),
        f"{span(result.winters.with_harmful_night, 0)} of {result.winters.n}",
        span(result.air.lowest_c, 1, TEMPERATURE),
    )


def month_row(choice: Choice, months: list[str]) -> tuple[str, ...]:
    """Return the shares of years with a harmful night, month by month."""
    rows = choice.result.month_details
    return (
        choice.name,
        *(percent(rows[m].share_with_harmful_night) for m in months),
    )
