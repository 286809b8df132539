"""Words put together as a sentence has them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from climrisk.core.days import MONTH_NAMES


def listed(words: Sequence[str], last: str = "and") -> str:
    """Return words as a list: "a", "a and b", "a, b and c"."""
    *most, end = words
    return f"{', '.join(most)} {last} {end}" if most else end


def plural(count: float, one: str, many: str | None = None) -> str:
    """Return a count with its noun: 1 night, 2 nights."""
    number = f"{count:,.0f}"
    if number == "1":
        return f"1 {one}"
    return f"{number} {many or (one[:-1] + 'ies' if one.endswith('dy') else one + 's')}"


def one_in(risk: float) -> str:
    """Return a share of years as "1 year in 10", else as "12 years in 100"."""
    if risk > 0 and abs(1 / risk - round(1 / risk)) < 0.02:
        return f"1 year in {round(1 / risk)}"
    return f"{round(100 * risk)} years in 100"


def month_heads(months: Iterable[int | str]) -> list[str]:
    """Return months as heads of columns: Jan, Feb."""
    return [MONTH_NAMES[int(m) - 1][:3] for m in months]
