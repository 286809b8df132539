"""Words put together as a sentence has them."""

from __future__ import annotations

from collections.abc import Sequence


def listed(words: Sequence[str], last: str = "and") -> str:
    """Return words as a list: "a", "a and b", "a, b and c"."""
    *most, end = words
    return f"{', '.join(most)} {last} {end}" if most else end
