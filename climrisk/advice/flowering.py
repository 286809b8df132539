"""Whether a plant is likely to flower where it lives: cold, rest and night drop.

None of these decides whether a plant suits a place; they decide what it does there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

FloweringWord = Literal["likely", "unlikely", "cannot say"]

#: A need is met where this share of winters meets it (our estimate).
MET_SHARE = 0.5
#: Wanted cool nights of a usual winter that are surely too few and surely enough, where
#: no source says how many are needed (our estimates: three nights, three weeks).
TOO_FEW_NIGHTS, ENOUGH_NIGHTS = 3.0, 21.0
#: A night drop counts as given from this share of the advised one on (our estimate).
DROP_SHARE = 2 / 3


@dataclass(frozen=True)
class Need:
    """Something that a plant needs to flower.

    Parameters
    ----------
    met : bool or None
        None where the data cannot tell.
    words : str
        What it needs and gets, as part of a sentence.
    """

    met: bool | None
    words: str


@dataclass(frozen=True)
class Flowering:
    """Whether it is likely to flower, and why."""

    word: FloweringWord
    why: str


def flowering(needs: Sequence[Need]) -> Flowering:
    """Return whether a plant is likely to flower, by all that it needs."""
    if not needs:
        return Flowering("cannot say", "no source says what it needs to flower")
    for met, word in ((False, "unlikely"), (None, "cannot say")):
        rows = [n.words for n in needs if n.met is met]
        if rows:
            return Flowering(word, "; ".join(rows))  # type: ignore[arg-type]
    return Flowering("likely", "; ".join(n.words for n in needs))


def cool_spell_met(
    needed: int | None, share_enough: float | None, usual: float
) -> bool | None:
    """Return whether a plant gets the cool nights it needs; None cannot tell.

    Parameters
    ----------
    needed : int or None
        Nights that a source asks for.
    share_enough : float or None
        Share of winters that have as many.
    usual : float
        Nights of the median winter.
    """
    if needed is not None and share_enough is not None:
        return share_enough >= MET_SHARE
    if usual <= TOO_FEW_NIGHTS:
        return False
    return True if usual >= ENOUGH_NIGHTS else None
