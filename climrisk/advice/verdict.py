"""The verdict before buying: one word about survival and growth, with its reasons.

suits              every month outdoors, and the heat acceptable
suits with moves   no month indoors, but single nights to carry it in, or a summer
                   retreat from the heat
indoors in winter  one stay of up to six months indoors, and an acceptable room
summers outdoors   one stay of seven to ten months indoors, and an acceptable room
poor match         too hot, no acceptable room, several stays, or fewer free months
cannot say         fewer than three winters, or words two or more steps apart within
                   the uncertainty of the spot
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from climrisk.advice.cold_nights import LEAST_WINTERS
from climrisk.advice.heat import HeatCounts
from climrisk.advice.months import Month, indoor_block
from climrisk.core.days import MONTH_NAMES
from climrisk.core.wording import listed

VerdictWord = Literal[
    "suits",
    "suits with moves",
    "indoors in winter",
    "summers outdoors",
    "poor match",
    "cannot say",
]
#: From good to bad; a winter indoors and a summer outdoors count as one step.
STEP: dict[VerdictWord, int] = {
    "suits": 0,
    "suits with moves": 1,
    "indoors in winter": 2,
    "summers outdoors": 2,
    "poor match": 3,
    "cannot say": 4,
}
#: Order of ranking where two words share a step.
RANK: dict[VerdictWord, int] = {word: i for i, word in enumerate(STEP)}
WINTER_MONTHS_MOST, STAY_MONTHS_MOST = 6, 10


@dataclass(frozen=True)
class PlaceYear:
    """A place through the year, for all members pooled or for one alone.

    Parameters
    ----------
    months : mapping of int to Month
        In the order of the growing year.
    heat : HeatCounts
    winters : int
        Winters that count; None for a typical year, which has none to count.
    """

    months: Mapping[int, Month]
    heat: HeatCounts
    winters: int | None

    def acceptable(self, months: Collection[int]) -> bool:
        """Whether a plant may stay there in some months."""
        return not self.too_cold(months) and not self.heat.too_hot(months)

    def too_cold(self, months: Collection[int]) -> tuple[int, ...]:
        """Return the months of these in which it is too cold, or not known."""
        return tuple(m for m in months if self.months[m].state not in ("out", "watch"))

    def lacks(self, months: Sequence[int]) -> str:
        """Return why the place does not serve in some months."""
        cold = self.too_cold(months)
        if cold:
            return f"too cold {when(cold)}"
        hot = self.heat.too_hot(months)
        return f"too hot: {hot[0].words(months)}" if hot else ""


@dataclass(frozen=True)
class Alternative:
    """Another spot or room of the home, where a plant may go for some months.

    Parameters
    ----------
    name : str
        As its keeper calls it.
    at : str
        As part of a sentence: "on a window sill of a heated room".
    year : PlaceYear
    indoors : bool
    order : tuple
        Ranks those that are acceptable, the best first.
    """

    name: str
    at: str
    year: PlaceYear
    indoors: bool
    order: tuple[float, ...] = ()


@dataclass(frozen=True)
class Verdict:
    """A word and its reasons.

    Parameters
    ----------
    word : str
    reasons : tuple of str
    months_in : tuple of int
        Months to be spent indoors, in order.
    room : Alternative or None
        Where it spends them.
    retreat_months : tuple of int
        Months too hot at the spot, in order.
    retreat : Alternative or None
        Where it spends them.
    single_nights : float
        Nights a year on which it is carried in, in months otherwise outdoors.
    may_be : str or None
        The word one step away that the uncertainty of the spot leaves open.
    """

    word: VerdictWord
    reasons: tuple[str, ...] = field(default=())
    months_in: tuple[int, ...] = ()
    room: Alternative | None = None
    retreat_months: tuple[int, ...] = ()
    retreat: Alternative | None = None
    single_nights: float = 0.0
    may_be: VerdictWord | None = None


def verdict(
    pooled: PlaceYear,
    edges: Sequence[PlaceYear],
    alternatives: Sequence[Alternative],
) -> Verdict:
    """Return the verdict of a plant at a place.

    Parameters
    ----------
    pooled : PlaceYear
        All members together: the months that are shown, which stand for the median
        member as well, without its own night-to-night noise.
    edges : sequence of PlaceYear
        The cold (10 %) and the warm (90 %) member.
    alternatives : sequence of Alternative
        Other spots and rooms of the home.
    """
    n = pooled.winters
    if n is not None and n < LEAST_WINTERS:
        why = f"{n} winter{'s' * (n != 1)} on record, at least {LEAST_WINTERS} needed"
        return Verdict("cannot say", (why,))
    if any(row.state == "unknown" for row in pooled.months.values()):
        return Verdict("cannot say", (_not_known(pooled),))
    middle = decided(pooled, alternatives)
    if n is not None and (gaps := _gaps(pooled)):
        why = (
            f"no nights {when(gaps)} on record: taken to be no colder than the months "
            f"around, and the heat then is not known"
        )
        middle = replace(middle, reasons=(*middle.reasons, why))
    words = [decided(year, alternatives).word for year in edges]
    words.insert(1, middle.word)
    steps = [STEP[word] for word in words]
    if max(steps) - min(steps) >= 2:
        why = "the spot is too uncertain: it may be " + " or ".join(
            dict.fromkeys(words)
        )
        cure = "a logger there for four to six weeks of winter would settle it"
        return replace(middle, word="cannot say", reasons=(why, cure, *middle.reasons))
    other = next((w for w in words if STEP[w] != STEP[middle.word]), None)
    return replace(middle, may_be=other)


def _not_known(year: PlaceYear) -> str:
    months = [m for m, row in year.months.items() if row.state == "unknown"]
    return (
        f"nights {when(months)} are known in fewer than {LEAST_WINTERS} years, and "
        f"the months around do not show them to be warm enough"
    )


def _gaps(year: PlaceYear) -> list[int]:
    """Return months of no record that those around them show to be warm enough."""
    return [
        m
        for m, row in year.months.items()
        if row.state == "out" and row.years < LEAST_WINTERS
    ]


def decided(year: PlaceYear, alternatives: Sequence[Alternative]) -> Verdict:
    """Return the verdict of one year's months and heat, without its uncertainty."""
    block = indoor_block(year.months)
    free = [m for m in year.months if m not in block.months]
    watched = [m for m in free if year.months[m].state == "watch"]
    nights = sum(year.months[m].harmful_nights or 0.0 for m in watched)
    base = Verdict("poor match", months_in=block.months, single_nights=nights)
    if len(block.months) == 12:
        return replace(base, reasons=("too cold all year",))
    away, retreat = _retreat(year, free, alternatives)
    if away is None:
        hot = " and ".join(c.words(free) for c in year.heat.too_hot(free))
        return replace(base, reasons=(f"too hot: {hot} in a usual year",))
    base = replace(base, retreat_months=away, retreat=retreat)
    if not block.months:
        word: VerdictWord = "suits with moves" if watched or away else "suits"
        return replace(base, word=word, reasons=_outdoors(year, watched, nights))
    cold = f"too cold {when(block.months)}"
    if not block.together:
        return replace(base, reasons=("its cold months come in several spells",))
    if len(block.months) > STAY_MONTHS_MOST:
        return replace(base, reasons=(cold,))
    room = best_room(alternatives, block.months)
    if room is None:
        tried = ", ".join(a.name for a in alternatives if a.indoors) or "none"
        why = f"no room is warm enough and not too hot then (tried: {tried})"
        return replace(base, reasons=(cold, why))
    word = "summers outdoors"
    if len(block.months) <= WINTER_MONTHS_MOST:
        word = "indoors in winter"
    return replace(base, word=word, reasons=(cold,), room=room)


def best_room(
    alternatives: Sequence[Alternative], months: Collection[int]
) -> Alternative | None:
    """Return the best acceptable room for some months, or None."""
    rooms = [a for a in alternatives if a.indoors and a.year.acceptable(months)]
    return min(rooms, key=lambda a: (_watched(a, months), a.order), default=None)


def _watched(place: Alternative, months: Collection[int]) -> int:
    return sum(place.year.months[m].state == "watch" for m in months)


def _retreat(
    year: PlaceYear, free: Sequence[int], alternatives: Sequence[Alternative]
) -> tuple[tuple[int, ...] | None, Alternative | None]:
    """Return the months to spend elsewhere for the heat, and where.

    No month where the heat is acceptable; None where nothing helps.
    """
    if not year.heat.too_hot(free):
        return (), None
    away = year.heat.retreat(free)
    stay = [m for m in free if m not in away]
    cooler = [
        a
        for a in alternatives
        if away
        and a.year.acceptable(away)
        and not year.heat.too_hot_with(stay, a.year.heat, away)
    ]
    if not cooler:
        return None, None
    return away, min(cooler, key=lambda a: (_watched(a, away), a.order))


def retreat_days(months: Sequence[int]) -> tuple[str, str]:
    """Return the first day of a retreat and the day after its last, as MM-DD."""
    return f"{months[0]:02d}-01", f"{months[-1] % 12 + 1:02d}-01"


def _outdoors(
    year: PlaceYear, watched: Sequence[int], nights: float
) -> tuple[str, ...]:
    if not watched:
        return ("no month is too cold",)
    return (single_nights(year, watched, nights),)


def single_nights(year: PlaceYear, watched: Sequence[int], nights: float) -> str:
    """Return how many single nights it is carried in, or feels cold, as words."""
    if nights >= 0.75:
        count = f"about {nights:.0f} night{'s' * (round(nights) != 1)} a year"
        return f"carry it in on {count} {when(watched)}"
    if nights > 0:
        return f"carry it in on a rare cold night {when(watched)}"
    cold = sum(year.months[m].cold_nights or 0.0 for m in watched)
    some = f"about {cold:.0f}" if round(cold) > 1 else "single"
    return f"{some} nights {when(watched)} are colder than it prefers, none harmful"


def when(months: Sequence[int]) -> str:
    """Return months as words that say when: from October to May, or in April."""
    runs = _runs(months)
    return listed([f"{'from' if ' to ' in run else 'in'} {run}" for run in runs])


def span(months: Sequence[int]) -> str:
    """Return months as words: October to May, or a list where they do not follow."""
    return listed(_runs(months))


def _runs(months: Sequence[int]) -> list[str]:
    """Return each run of months that follow one another round the year, as words."""
    have = set(months)
    starts = [m for m in months if (m - 2) % 12 + 1 not in have] or [months[0]]
    out = []
    for first in starts:
        last = first
        while last % 12 + 1 in have - {first}:
            last = last % 12 + 1
        names = MONTH_NAMES[first - 1], MONTH_NAMES[last - 1]
        out.append(names[0] if first == last else " to ".join(names))
    return out


VerdictBasis = Literal["winters", "typical year", "far station"]
