"""What a logger's file is, as words for a terminal."""

from __future__ import annotations

from climrisk.commands.logger.result import LoggerResult
from climrisk.core.quantities import DEGREES, TEMPERATURE
from climrisk.core.wording import plural
from climrisk.render.answer import Answer, Part, Words, sentence_case
from climrisk.render.display_units import day_in_words, number, temperature
from climrisk.render.tables import table
from climrisk.render.text import weather_text

MONTH_HEADER = (
    "month",
    "hours known",
    "nights that count",
    f"lowest {DEGREES}",
    f"highest {DEGREES}",
    "marked",
)
COLUMN_HEADER = ("column", "read as", "unit", "readings")


_NAMES = {"air_temp_c": "temperature", "rel_humidity_pct": "humidity"}


def logger_answer(result: LoggerResult) -> Answer:
    """Return whether the file is usable, what it holds and what is left out."""
    weather = result.weather
    names = [
        _NAMES.get(c.variable, c.variable.replace("_", " ")) for c in result.columns
    ]
    first, last = weather.first[:10], weather.last[:10]
    years = " to ".join(day_in_words(d, year=True) for d in (first, last))
    lead = (
        f"{', '.join(dict.fromkeys(names)).capitalize()}, {years}; "
        f"{100 * weather.coverage_frac:.0f} % of hours known, "
        f"{result.nights_counted} of {plural(result.nights, 'night')} count. "
        f"Lowest {temperature(result.lowest_c, 1)}, highest "
        f"{temperature(result.highest_c, 1)}."
    )
    units = {c.unit for c in result.columns if c.variable == "air_temp_c" and c.unit}
    if units:
        lead += f" Read in °{units.pop().upper()}."
    parts: list[Part] = [Words(lead)]
    parts.append(Words(f"Clock: {result.table.clock}.", rank=1))
    flagged = sum(m.readings for m in weather.marks)
    if flagged:
        text = f"{plural(flagged, 'reading')} look wrong and are left out."
        parts.append(Words(text, tight=True, rank=1))
    parts += [Words(sentence_case(line), tight=True, rank=2) for line in result.worth]
    return Answer(
        f"{weather.source} is usable.",
        parts,
        "columns, months, flagged readings",
        (),
        result.files,
    )


def logger_text(result: LoggerResult) -> str:
    """Return in full the sentence, what it is worth, columns, months and marks."""
    about = result.table
    parts = [
        result.sentence,
        "\n".join(f"- {line}" for line in result.worth),
        f"{about.rows:,} rows from line {about.first_line}, fields separated by "
        f"{about.delimiter}, decimal {about.decimal}, a reading every "
        f"{about.step_minutes:g} min; clock: {about.clock}.",
        table(COLUMN_HEADER, column_rows(result)),
        table(MONTH_HEADER, month_rows(result)),
    ]
    if result.lowest_reading_c is not None:
        parts.append(
            f"Lowest hour {temperature(result.lowest_c, 1)}, lowest single reading "
            f"{temperature(result.lowest_reading_c, 1)}."
        )
    parts += [f"Written: {path}" for path in result.files]
    parts.append(weather_text(result.weather))
    return "\n\n".join(parts)


def column_rows(result: LoggerResult) -> list[tuple[str, str, str, str]]:
    """Return the columns that are read."""
    return [
        (c.header or "(no name)", c.variable, c.unit or "", f"{c.readings:,}")
        for c in result.columns
    ]


def month_rows(result: LoggerResult) -> list[tuple[str, ...]]:
    """Return what is known of each month."""
    return [
        (
            m.month,
            f"{m.hours_known:,} of {m.hours:,}",
            f"{m.nights_counted} of {m.nights}",
            "?" if m.lowest_c is None else number(TEMPERATURE, m.lowest_c, 1),
            "?" if m.highest_c is None else number(TEMPERATURE, m.highest_c, 1),
            f"{m.marked:,}" if m.marked else "",
        )
        for m in result.months
    ]
