"""The verdict before buying: one word with its reasons.

suits                all months out, and heat, rest and wanted drop met
suits with moves     up to three separate short cold spells a year to carry it through
indoors in winter    one block of up to six months indoors (and up to two that are
                     unsure, at its ends), and an indoor spot that serves
poor match           otherwise, and where it is too hot in any case
cannot say           fewer than three winters, or the word changes within the band
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from climrisk.advice.dates import LEAST_WINTERS
from climrisk.advice.months import Block, Month, indoor_block

Word = Literal[
    "suits", "suits with moves", "indoors in winter", "poor match", "cannot say"
]

MOST_SPELLS = 3
#: Longest spell that is "carried through" and not a stay indoors (our estimate).
LONGEST_CARRY_NIGHTS = 10
LONGEST_BLOCK_MONTHS, MOST_UNSURE_MONTHS = 6, 2
#: Heat is met in a typical growing year with at most this many hours above a stated
#: ceiling, hours above an advised top, and nights above the warm-night limit (our
#: estimates: six afternoons, forty afternoons, a week).
MOST_HOURS = {"ceiling": 30.0, "advised_top": 200.0}
MOST_WARM_NIGHTS = 7.0
#: Beyond these no shade or breeze helps, and the place is too hot (our estimates: a
#: month of hot afternoons, a whole summer of them, a month of warm nights).
TOO_MANY_HOURS = {"ceiling": 200.0, "advised_top": 600.0}
TOO_MANY_WARM_NIGHTS = 30.0
TOO_HOT = "too hot"
#: A cool rest needs winter nights typically at or below this (our estimate).
COOL_REST_C = 14.0


@dataclass(frozen=True)
class Needs:
    """What a place gives a plant beyond its cold limit; None where not judged.

    Parameters
    ----------
    hot_hours, warm_nights : float or None
        In a typical growing year; None where the plant has no such limit.
    hot_meaning : str
        What the heat limit is: ``ceiling`` or ``advised_top``.
    winter_night_c : float or None
        Typical lowest of winter nights where the plant would rest.
    wants_cool_rest : bool
    drop_k, wanted_drop_k : float or None
        Typical night drop, and the least that the plant's sources ask for.
    """

    hot_hours: float | None = None
    hot_meaning: str = "ceiling"
    warm_nights: float | None = None
    winter_night_c: float | None = None
    wants_cool_rest: bool = False
    drop_k: float | None = None
    wanted_drop_k: float | None = None

    @property
    def heat_met(self) -> bool:
        """Whether summers stay within the plant's heat limits."""
        return not self._hotter_than(MOST_HOURS, MOST_WARM_NIGHTS)

    @property
    def too_hot(self) -> bool:
        """Whether the heat limits are passed too often for shade and air to help."""
        return self._hotter_than(TOO_MANY_HOURS, TOO_MANY_WARM_NIGHTS)

    def _hotter_than(self, hours: dict[str, float], nights: float) -> bool:
        most = hours.get(self.hot_meaning, hours["ceiling"])
        return (self.hot_hours or 0.0) > most or (self.warm_nights or 0.0) > nights

    @property
    def rest_met(self) -> bool:
        """Whether a wanted cool rest is had."""
        if not self.wants_cool_rest or self.winter_night_c is None:
            return True
        return self.winter_night_c <= COOL_REST_C

    @property
    def drop_met(self) -> bool:
        """Whether a wanted night drop is had."""
        if self.wanted_drop_k is None or self.drop_k is None:
            return True
        return self.drop_k >= self.wanted_drop_k


@dataclass(frozen=True)
class Indoors:
    """An indoor spot tried for the cold months.

    Parameters
    ----------
    name : str
        Kind of spot.
    words : str
        As a keeper would say it, with what is to be done to it.
    cold_share : float
        Share of winters with a cold night there.
    needs : Needs
        As met there in winter.
    """

    name: str
    words: str
    cold_share: float
    needs: Needs


@dataclass(frozen=True)
class Verdict:
    """A word and its reasons."""

    word: Word
    reasons: tuple[str, ...] = field(default=())
    indoors: Indoors | None = None


@dataclass(frozen=True)
class World:
    """What a verdict is made from, for all worlds pooled or for one alone.

    Parameters
    ----------
    months : dict of int to Month
    spells, longest_spell : float
        Of a typical winter: separate cold spells, and nights of the longest.
    winters : int
    needs : Needs
    """

    months: dict[int, Month]
    spells: float
    longest_spell: float
    winters: int
    needs: Needs


def verdict(
    pooled: World, edges: tuple[World, World], indoors: tuple[Indoors, ...], risk: float
) -> Verdict:
    """Return the verdict of a plant at a spot.

    Parameters
    ----------
    pooled : World
        All members together.
    edges : tuple of World
        The cold (10 %) and the warm (90 %) edge of the band.
    indoors : tuple of Indoors
        Indoor spots of the home, or the usual kinds.
    risk : float
    """
    if pooled.winters < LEAST_WINTERS:
        n = pooled.winters
        why = f"only {n} winter{'s' * (n != 1)} known, at least {LEAST_WINTERS} needed"
        return Verdict("cannot say", (why,))
    if any(row.state == "unknown" for row in pooled.months.values()):
        return Verdict("cannot say", ("some months are known in fewer than 3 years",))
    middle = _word(pooled, indoors, risk)
    low, high = (_word(world, indoors, risk) for world in edges)
    if low.word == middle.word == high.word:
        return middle
    between = dict.fromkeys((low.word, middle.word, high.word))
    words = " or ".join(f"“{w}”" for w in between)
    why = f"within the spread of this spot it is {words}"
    cure = "a logger at the spot for four to six weeks of winter would narrow it"
    return Verdict("cannot say", (why, cure, *middle.reasons), middle.indoors)


def _word(world: World, indoors: tuple[Indoors, ...], risk: float) -> Verdict:
    needs = world.needs
    block = indoor_block(world.months)
    if needs.too_hot:
        return Verdict("poor match", (f"{TOO_HOT}: {_hot(needs)}",))
    if block.whole + block.partly == 0:
        return _all_out(needs)
    if world.spells <= MOST_SPELLS and world.longest_spell <= LONGEST_CARRY_NIGHTS:
        why = (
            f"{_about(world.spells)} cold spell{'s' * (round(world.spells) != 1)} in a "
            f"typical winter, the longest {world.longest_spell:.0f} nights"
        )
        return Verdict("suits with moves", (why, *_unmet(needs)))
    if not block.together:
        return Verdict("poor match", ("its cold months do not form one block",))
    return _winter_indoors(block, world, indoors, risk)


def _all_out(needs: Needs) -> Verdict:
    unmet = _unmet(needs)
    if unmet:
        return Verdict("poor match", ("no month is too cold", *unmet))
    if not needs.heat_met:
        # No cold spell at all is "up to three": what it is carried from is the sun.
        return Verdict("suits with moves", ("no month is too cold", _hot(needs)))
    return Verdict("suits", ("no month is too cold, and its needs are met",))


def _winter_indoors(
    block: Block, world: World, indoors: tuple[Indoors, ...], risk: float
) -> Verdict:
    away = f"{block.whole} months of the year are too cold"
    if block.partly:
        away += f" and {block.partly} unsure"
    if block.whole > LONGEST_BLOCK_MONTHS or block.partly > MOST_UNSURE_MONTHS:
        limit = f"more than the {LONGEST_BLOCK_MONTHS} of a winter"
        return Verdict("poor match", (f"{away}, {limit}",))
    for spot in indoors:
        if spot.cold_share <= risk and spot.needs.rest_met:
            return Verdict("indoors in winter", (away, *_unmet_drop(world.needs)), spot)
    tried = ", ".join(spot.words for spot in indoors) or "none"
    why = f"no indoor spot meets its limits and rest in winter (tried: {tried})"
    return Verdict("poor match", (why, away))


def _hot(needs: Needs) -> str:
    parts = []
    if needs.hot_hours and needs.hot_hours > MOST_HOURS.get(needs.hot_meaning, 0):
        top = "ceiling" if needs.hot_meaning == "ceiling" else "advised top"
        parts.append(f"{needs.hot_hours:.0f} hours above its {top}")
    if needs.warm_nights and needs.warm_nights > MOST_WARM_NIGHTS:
        parts.append(f"{needs.warm_nights:.0f} nights too warm for it")
    return " and ".join(parts) + " in a typical year"


def _unmet(needs: Needs) -> tuple[str, ...]:
    out = []
    if not needs.rest_met:
        out.append(
            f"its cool rest is not had: winter nights are about "
            f"{needs.winter_night_c:.0f} °C"
        )
    return (*out, *_unmet_drop(needs))


def _unmet_drop(needs: Needs) -> tuple[str, ...]:
    if needs.drop_met:
        return ()
    return (
        f"nights fall by about {needs.drop_k:.0f} K, its sources ask for "
        f"{needs.wanted_drop_k:g} K",
    )


def _about(x: float) -> str:
    return str(int(np.floor(x + 0.5)))
