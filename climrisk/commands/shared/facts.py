"""Words and numbers of the facts that stand beside an answer."""

from __future__ import annotations

from climrisk.commands.shared.subject_result import PotInfo
from climrisk.core import quantities
from climrisk.core.ranges import Band
from climrisk.render.answer import day_of
from climrisk.spot.kinds import spot_kind

#: Shown where a number is not known.
UNKNOWN = "?"


def bare_spot(words: str) -> str:
    """Return the words of a spot without their article."""
    for article in ("a ", "an ", "the "):
        if words.startswith(article):
            words = words.removeprefix(article)
    return words.removesuffix(" in town")


def on_spot(name: str, kind: str) -> str:
    """Return a spot by its own name: "on the balcony", "in the back room".

    Without a name it is called by its kind: "on the open rail".
    """
    called = name.replace("-", " ") if name == kind else name
    return f"{spot_kind(kind).at.split()[0]} the {called}"


def pot_words(pot: PotInfo) -> list[str]:
    """Return a pot in a few words, and its medium."""
    kind, medium = (name.replace("-", " ") for name in (pot.kind, pot.medium))
    size = quantities.quantity(quantities.LENGTH, pot.diameter_cm)
    return [f"{size} {kind}", medium]


def day_words(iso: str | None) -> str:
    """Return a date as 12 October; None as a dash."""
    return "–" if iso is None else day_of(iso)


def temperature(band: Band | None) -> str:
    """Return the middle of a range of temperatures."""
    return (
        UNKNOWN
        if band is None or band.mid is None
        else quantities.temperature(band.mid, 1)
    )


def range_words(band: Band | None) -> str:
    """Return a range of temperatures as words, or nothing where it is unknown."""
    if band is None or band.low is None or band.high is None:
        return ""
    return f"most likely {quantities.temperatures(round(band.low), round(band.high))}"


def count(band: Band) -> str:
    """Return the middle of a range as a whole number."""
    return UNKNOWN if band.mid is None else f"{band.mid:.0f}"


def middle(band: Band | None) -> float:
    """Return the middle of a range; unknown counts as 0."""
    return 0.0 if band is None or band.mid is None else band.mid


def middle_or_last(value: float | None) -> float:
    """Return a value to sort by; unknown comes last."""
    return float("inf") if value is None else value
