"""What an assessment leans on, what would change it, and what would serve better."""

from __future__ import annotations

from typing import Literal

from climrisk.advice.verdict import Word
from climrisk.render.document import Frozen

Need = Literal["cool spell", "warm nights", "humidity"]


class Lack(Frozen):
    """Something that the plant wants and the spot does not give, with both numbers."""

    need: Need
    wanted: float | None
    had: float | None
    unit: str
    words: str


class Weak(Frozen):
    """A part of the evidence that is weak."""

    what: Literal[
        "limit from memory",
        "limit of its class",
        "estimated limit",
        "few winters",
        "far station",
        "model hours",
        "gaps",
        "spot prior",
        "assumed weather",
        "drifting climate",
    ]
    words: str


class OtherLimit(Frozen):
    """The word if the night minimum were another; societies differ by 3 to 5 K."""

    preferred_c: float
    word: str
    months_out: int


class WouldChange(Frozen):
    """What would change the answer."""

    other_limits: list[OtherLimit]
    words: list[str]


class BetterSpot(Frozen):
    """A spot by the median member of the last growing years."""

    spot: str
    words: str
    word: Word
    harmful_nights_per_year: float
    cold_nights_per_year: float
    hot_hours_per_year: float | None


class BetterPot(Frozen):
    """A pot at the asked spot, by the same measure."""

    pot: str
    medium: str
    root_hours_below_preferred_per_year: float


class Serving(Frozen):
    """Which spot and which pot would serve best; the first of each list."""

    growing_years: int
    spots: list[BetterSpot]
    pots: list[BetterPot]
    words: str
