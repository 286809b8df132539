"""What each month asks for at a spot: leave the plant out, watch it, or keep it in.

``in``       at least half of the years have two or more harmful nights in the month,
             or the median year has more than 20 cold ones
``out``      at most the accepted share of years has a harmful night, and the median
             year has at most 3 cold ones
``watch``    in between: the plant stays out and is carried in on single nights
``unknown``  fewer than three years are known; of the warm half of the year only where a
             month beside it is not ``out``

A harmful night has an hour below what the plant tolerates, a cold night one below what
it prefers. In a heated room cold nights alone never make a month ``in``: more heat, or
a place farther from the glass, mends them. The numbers 2, 20 and 3 are our estimates,
checked against what growers in many climates say.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.cold_nights import LEAST_WINTERS, ColdNights, between_safe
from climrisk.advice.medians import known_median
from climrisk.core.arrays import Bool, Float, Int
from climrisk.core.calendar import MONTH_DAYS, season_months
from climrisk.exposure.nights import COVERAGE

State = Literal["out", "in", "watch", "unknown"]
STATES: tuple[State, ...] = ("out", "in", "watch", "unknown")

#: A month is spent indoors from this share of years with so many harmful nights on; a
#: single one is a carry-in, not a stay.
IN_SHARE, IN_HARMFUL_NIGHTS = 0.5, 2
#: More cold nights than this in the median year: most nights are colder than preferred.
IN_COLD_NIGHTS = 20
#: At most so many cold nights in the median year of a month outdoors.
OUT_COLD_NIGHTS = 3


@dataclass(frozen=True)
class Month:
    """A month at a spot.

    Parameters
    ----------
    state : str
    share_harmful : float or None
        Share of years (and members) with a harmful night.
    cold_nights : float or None
        Nights below the preferred minimum in the median year.
    harmful_nights : float or None
        Nights below the tolerated minimum, mean over years.
    years : int
        Years in which the month is known.
    """

    state: State
    share_harmful: float | None = None
    cold_nights: float | None = None
    harmful_nights: float | None = None
    years: int = 0


@dataclass(frozen=True)
class MonthTable:
    """The twelve months of many places; row 0 is January.

    Parameters
    ----------
    share_harmful, share_two : ndarray, shape (12, place)
        Share of the known years (and members) with a harmful night, and with two.
    cold_nights : ndarray, shape (12, place)
        Cold nights of the median year.
    harmful_nights : ndarray, shape (12, place)
        Harmful nights, mean over years.
    years : ndarray of int, shape (12, place)
    north : bool
    """

    share_harmful: Float
    share_two: Float
    cold_nights: Float
    harmful_nights: Float
    years: Int
    north: bool

    @classmethod
    def of(
        cls, cold: ColdNights, harmful: ColdNights, *, places: int = 1
    ) -> MonthTable:
        """Count the cold and harmful nights of each month.

        Parameters
        ----------
        cold, harmful : ColdNights
            Of the same nights. Their cases are those of the first place, then of the
            second, and so on.
        places : int
            One pools all cases as members; as many as cases keeps each alone.

        Notes
        -----
        A month of a year is known when 80 % of its nights could be judged. One known
        in part stays out even if a harmful night was seen: it would count as a year
        of few cold nights.
        """
        shape = (places, cold.members // places)
        first = cold.first_of_months
        (chilly, _), (bad, lost) = cold.by_month, harmful.by_month
        count = np.diff(first, append=len(cold.month))[:, None]
        month = cold.month[first] - 1
        length = np.array(MONTH_DAYS)[month][:, None]
        judged = count - lost >= COVERAGE * length
        known = np.asarray(judged.reshape(-1, *shape).all(axis=2))
        # All months of all years in one table, of which the record may lack some.
        row = cold.year[first] - cold.year[first].min(), month
        table = (int(row[0].max()) + 1, 12)
        use = np.zeros((*table, places), np.bool_)
        some, many = (np.zeros((*table, *shape), np.int64) for _ in range(2))
        use[row], some[row], many[row] = (
            known,
            _shaped(bad, shape),
            _shaped(chilly, shape),
        )
        one, two, median, mean = _of_months(some, many, use)
        years = use.sum(axis=0)
        return cls(one, two, median, mean, years, cold.north)

    def states(self, risk: float, *, heated: bool = False) -> NDArray[np.int8]:
        """Return the states as indices into `STATES`, shape (12, place).

        Parameters
        ----------
        risk : float
        heated : bool
            A heated room: cold nights alone are no reason to leave it.
        """
        most = np.inf if heated else IN_COLD_NIGHTS
        stay = np.logical_or(self.share_two >= IN_SHARE, self.cold_nights > most)
        free = np.logical_and(
            self.share_harmful <= risk + 1e-12, self.cold_nights <= OUT_COLD_NIGHTS
        )
        unknown = self.years < LEAST_WINTERS
        summer = between_safe(free & ~unknown, unknown, north=self.north)
        with np.errstate(invalid="ignore"):
            summer &= ~(self.harmful_nights > 0)
        return np.select(
            [summer, unknown, stay, free],
            [STATES.index(s) for s in ("out", "unknown", "in", "out")],
            STATES.index("watch"),
        ).astype(np.int8)

    def months(
        self, risk: float, *, north: bool, heated: bool = False
    ) -> dict[int, Month]:
        """Return the months of the first place, in the order of the growing year."""
        states = self.states(risk, heated=heated)[:, 0]
        return {m: self._month(m, STATES[int(states[m - 1])]) for m in _order(north)}

    def typical(self, *, north: bool, heated: bool = False) -> dict[int, Month]:
        """Return the months of a typical year: one year, so no share and no risk."""
        out = {}
        for m in _order(north):
            bad, chilly = self.harmful_nights[m - 1, 0], self.cold_nights[m - 1, 0]
            state: State = "watch"
            if not self.years[m - 1, 0]:
                state = "unknown"
            elif bad >= IN_HARMFUL_NIGHTS or (chilly > IN_COLD_NIGHTS and not heated):
                state = "in"
            elif bad < 0.5 and chilly <= OUT_COLD_NIGHTS:
                state = "out"
            out[m] = self._month(m, state)
        return out

    def _month(self, month: int, state: State) -> Month:
        row = month - 1
        years = int(self.years[row, 0])
        if not years:
            return Month(state)
        return Month(
            state,
            float(self.share_harmful[row, 0]),
            float(self.cold_nights[row, 0]),
            float(self.harmful_nights[row, 0]),
            years,
        )


def _shaped(counts: Int, shape: tuple[int, int]) -> Int:
    return counts.reshape(-1, *shape)


def _of_months(bad: Int, chilly: Int, known: Bool) -> tuple[Float, ...]:
    """Return shares and nights of every month, each of shape (12, place).

    Parameters
    ----------
    bad, chilly : ndarray of int, shape (year, 12, place, member)
    known : ndarray of bool, shape (year, 12, place)
    """
    n = known.sum(axis=0)
    counted = np.where(known[..., None], chilly, np.nan)
    counted[:, n == 0] = 0.0  # counted as unknown by its years
    median = known_median(np.moveaxis(counted, 3, 1).reshape(-1, *n.shape))
    median[~known.any(axis=(0, 2))] = np.nan
    with np.errstate(invalid="ignore", divide="ignore"):
        shares = ((bad >= k).mean(axis=3) for k in (1, IN_HARMFUL_NIGHTS))
        one, two = ((s * known).sum(axis=0) / n for s in shares)
        mean = (bad.mean(axis=3) * known).sum(axis=0) / n
    return one, two, median, mean


def _order(north: bool) -> tuple[int, ...]:  # noqa: FBT001
    return season_months(north=north)


@dataclass(frozen=True)
class IndoorMonths:
    """Months of the year to be spent indoors.

    Parameters
    ----------
    months : tuple of int
        Those of the longest stay, in order; a ``watch`` month between two ``in`` months
        belongs to it.
    together : bool
        There is no other stay.
    """

    months: tuple[int, ...]
    together: bool


def indoor_block(months: Mapping[int, Month]) -> IndoorMonths:
    """Return the months spent indoors, of months in the order of the growing year."""
    return _indoor_block(tuple((month, row.state) for month, row in months.items()))


@lru_cache(maxsize=4096)
def _indoor_block(states: tuple[tuple[int, State], ...]) -> IndoorMonths:
    """Return the same, of months and their states: many plants have the same year."""
    order = [month for month, _ in states]
    state = np.zeros((12, 1), np.int8)
    for month, word in states:
        state[month - 1] = STATES.index(word)
    block, together = indoor_blocks(
        state, north=order[0] == season_months(north=True)[0]
    )
    stay = {m for m in order if block[m - 1, 0]}
    # Begin with the first month outdoors, so that the stay is not cut in two.
    start = next((i for i, m in enumerate(order) if m not in stay), 0)
    turned = (*order[start:], *order[:start])
    return IndoorMonths(
        tuple(m for m in turned if m in stay), together=bool(together[0])
    )


def indoor_blocks(state: NDArray[np.int8], *, north: bool) -> tuple[Bool, Bool]:
    """Return the longest stay indoors of many places; the year is a circle.

    A ``watch`` month between two ``in`` months belongs to the stay.

    Parameters
    ----------
    state : ndarray of int8, shape (12, place)
        Index into `STATES`; row 0 is January.
    north : bool

    Returns
    -------
    block : ndarray of bool, shape (12, place)
        Months of the longest stay.
    together : ndarray of bool, shape (place,)
        There is no other stay.
    """
    order = np.array(season_months(north=north)) - 1
    inside = state == STATES.index("in")
    between = np.roll(inside, 1, axis=0) & np.roll(inside, -1, axis=0)
    inside |= (state == STATES.index("watch")) & between
    # Begin with the first month outdoors, so that no stay is cut in two.
    start = np.argmin(inside[order], axis=0)
    month = order[(start + np.arange(12)[:, None]) % 12]
    turned = np.take_along_axis(inside, month, axis=0)
    run, longest, end = np.zeros((3, state.shape[1]), np.int64)
    for i in range(12):
        run = np.where(turned[i], run + 1, 0)
        end = np.where(run > longest, i, end)
        longest = np.maximum(longest, run)
    at = np.arange(12)[:, None]
    block = np.zeros_like(inside)
    np.put_along_axis(block, month, (at <= end) & (at > end - longest), axis=0)
    return block, np.asarray(longest == inside.sum(axis=0))


def overlapped(begin: Float, end: Float, *, north: bool) -> Bool:
    """Return which months hold days between two dates, shape (12, place).

    Parameters
    ----------
    begin, end : ndarray, shape (place,)
        Days of the growing year; infinities where there is no such date.
    north : bool
    """
    out = np.zeros((12, len(begin)), np.bool_)
    start = 0
    for month in season_months(north=north):
        stop = start + MONTH_DAYS[month - 1]  # first day of the next month
        out[month - 1] = (stop > begin) & (start < end)
        start = stop
    return out
