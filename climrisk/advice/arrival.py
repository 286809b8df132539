"""A new plant: what the coming weeks were like in past years, and when to wait."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from climrisk.advice.cold_nights import LEAST_WINTERS, ColdNights
from climrisk.advice.dates import WINDOW_NIGHTS
from climrisk.advice.months import OUT_COLD_NIGHTS
from climrisk.core.arrays import Bool
from climrisk.core.ranges import Band
from climrisk.exposure.nights import COVERAGE, Nights

#: Days that a plant stays indoors in a state, whatever the weather. Unrooted plants:
#: six weeks, the lesser of a nursery's 6 to 8; new imports two weeks apart from others
#: (common practice, no source).
HOLD_DAYS = {"unrooted": 42, "new-import": 14}

#: Three lines of aftercare by state, each with its basis.
AFTERCARE: dict[str, tuple[tuple[str, str], ...]] = {
    "established": (
        ("Look for pests, under leaves and in the medium, before it joins others", "c"),
        (
            "Bright shade first, a little more light each week; no sun straight away",
            "c",
        ),
        ("Water when the medium calls for it, and feed once it grows", "c"),
    ),
    "in-spike": (
        ("No sudden change of light, warmth or air while buds open: they drop", "c"),
        ("Turn it no more: spikes follow the light they know", "c"),
        ("Look for pests on spikes and buds", "c"),
    ),
    "unrooted": (
        (
            "Shade and no draught for 6 to 8 weeks, humid, tied so that it cannot rock",
            "n",
        ),
        ("No feed until roots show; the medium just damp", "c"),
        ("Two or three shoots stay together when a plant is divided", "n"),
    ),
    "new-import": (
        ("Apart from other plants, and looked over for pests every few days", "c"),
        ("Shaded and humid; a heated house may be where it comes from", "c"),
        ("Repot only when new root tips show, straight into its final medium", "n"),
    ),
}
BASIS = {"c": "common practice, no source", "n": "growers' reports"}


#: A month outdoors has at most 3 cold nights in the median year; so has a span of 31
#: nights, and others in proportion.
_COLD_SHARE = OUT_COLD_NIGHTS / WINDOW_NIGHTS


@dataclass(frozen=True)
class CalendarWeeks:
    """Some weeks of the calendar in all past years.

    Parameters
    ----------
    first : date
    days : int
    years : int
        Years in which 80 % of its nights count, or a harmful night was seen.
    share_harmful : float or None
        Share of years and members with a harmful night; None with fewer than three
        years.
    cold_nights, lowest_c, hot_days : Band or None
        Over years and members: nights below the preferred minimum, the lowest
        temperature, and days above the heat limit.
    hot, indoors : bool
        Whether it holds months in which heat rules the spot out, and days that the
        moving dates call indoors.
    """

    first: date
    days: int
    years: int
    share_harmful: float | None
    cold_nights: Band | None
    lowest_c: Band | None
    hot_days: Band | None
    hot: bool = False
    indoors: bool = False

    def comfortable(self, risk: float) -> bool:
        """Whether a new plant may spend the span at the spot."""
        if self.share_harmful is None or self.cold_nights is None:
            return False
        if self.hot or self.indoors:
            return False
        usual = self.cold_nights.mid or 0.0
        return self.share_harmful <= risk + 1e-12 and usual <= _COLD_SHARE * self.days


@dataclass(frozen=True)
class Weeks:
    """Spans of the calendar, looked up quickly.

    Parameters
    ----------
    nights : Nights
    cold, harmful, hot : ndarray of bool, shape (night, member)
        Cold nights without exempt ones; hot is of the evening's date.
    hot_months : tuple of int
        Months in which heat rules the spot out.
    indoors : frozenset of (month, day)
        Days that the moving dates call indoors.
    """

    nights: Nights
    cold: Bool
    harmful: Bool
    hot: Bool
    hot_months: tuple[int, ...]
    indoors: frozenset[tuple[int, int]]

    @classmethod
    def of(
        cls,
        nights: Nights,
        cold: ColdNights,
        harmful: ColdNights,
        hot_c: float | None,
        hot_months: tuple[int, ...],
        indoors: frozenset[tuple[int, int]],
    ) -> Weeks:
        """Prepare a table of nights with what a plant finds too cold and too hot."""
        hot = np.zeros(nights.lowest_c.shape, dtype=bool)
        if hot_c is not None:
            with np.errstate(invalid="ignore"):
                hot = nights.day_highest_c > hot_c
        return cls(nights, cold.cold, harmful.cold, hot, hot_months, indoors)

    def span(self, first: date, days: int) -> CalendarWeeks:
        """Return what the days from a date on were like in all past years."""
        rows = [self._rows(year, first, days) for year in self._years()]
        rows = [r for r in rows if r is not None and self._known(r, days)]
        if len(rows) < LEAST_WINTERS:
            return CalendarWeeks(first, days, len(rows), None, None, None, None)
        cold, harmful, hot = (
            np.array([x[r].sum(axis=0) for r in rows])
            for x in (self.cold, self.harmful, self.hot)
        )
        lowest = np.array([np.nanmin(self.nights.lowest_c[r], axis=0) for r in rows])
        too_hot, indoors = self._closed(first, days)
        return CalendarWeeks(
            first,
            days,
            len(rows),
            float((harmful > 0).mean()),
            Band.of(cold),
            Band.of(lowest),
            Band.of(hot),
            hot=too_hot,
            indoors=indoors,
        )

    def _closed(self, first: date, days: int) -> tuple[bool, bool]:
        """Return whether some days are too hot, and whether some are indoors."""
        dates = [first + timedelta(days=k) for k in range(days)]
        hot = any(d.month in self.hot_months for d in dates)
        return hot, any((d.month, d.day) in self.indoors for d in dates)

    def _comfortable(self, first: date, days: int, risk: float) -> bool:
        closed = any(self._closed(first, days))
        return not closed and self.span(first, days).comfortable(risk)

    def first_comfortable(
        self, today: date, days: int, risk: float, *, within: int = 366
    ) -> date | None:
        """Return the first date from which so many days are comfortable."""
        for ahead in range(within):
            first = today + timedelta(days=ahead)
            if self._comfortable(first, days, risk):
                return first
        return None

    def last_comfortable(self, first: date, days: int, risk: float) -> date:
        """Return the last day of the stretch of comfort that begins on a date."""
        last = first
        while (last - first).days < 366 and self._comfortable(
            last + timedelta(days=1), days, risk
        ):
            last += timedelta(days=1)
        return last + timedelta(days=days - 1)

    def _years(self) -> list[int]:
        first = np.datetime64(int(self.nights.evening[0]), "D").astype(object).year
        last = np.datetime64(int(self.nights.evening[-1]), "D").astype(object).year
        return list(range(first - 1, last + 1))

    def _rows(self, year: int, first: date, days: int) -> slice | None:
        day = min(first.day, 28) if first.month == 2 else first.day
        start = (date(year, first.month, day) - date(1970, 1, 1)).days
        at = start - int(self.nights.evening[0])
        if at < 0 or at + days > len(self.nights):
            return None
        return slice(at, at + days)

    def _known(self, rows: slice, days: int) -> bool:
        judged = (self.nights.valid[rows] | self.harmful[rows]).sum(axis=0)
        return bool((judged >= COVERAGE * days).all())
