"""What a logger's file is, as words for a terminal."""

from __future__ import annotations

from climrisk.report.tables import table
from climrisk.report.text import weather_text
from climrisk.result.logger import LoggerResult

MONTH_HEADER = (
    "month",
    "hours known",
    "nights that count",
    "lowest °C",
    "highest °C",
    "marked",
)
COLUMN_HEADER = ("column", "read as", "unit", "readings")


def logger_text(result: LoggerResult) -> str:
    """Return the sentence, what it is worth, columns, months and marks."""
    about = result.table
    parts = [
        result.sentence,
        "\n".join(f"- {line}" for line in result.worth),
        f"{about.rows:,} rows from line {about.first_line}, fields set apart by "
        f"{about.delimiter}, decimal {about.decimal}, a reading every "
        f"{about.step_minutes:g} min; clock: {about.clock}.",
        table(COLUMN_HEADER, column_rows(result)),
        table(MONTH_HEADER, month_rows(result)),
    ]
    if result.lowest_reading_c is not None:
        parts.append(
            f"Lowest hour {result.lowest_c:.1f} °C, lowest single reading "
            f"{result.lowest_reading_c:.1f} °C."
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
            "?" if m.lowest_c is None else f"{m.lowest_c:.1f}",
            "?" if m.highest_c is None else f"{m.highest_c:.1f}",
            f"{m.marked:,}" if m.marked else "",
        )
        for m in result.months
    ]
