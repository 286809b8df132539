"""A new plant: what the coming weeks were like in past years, and when to wait."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.dates import LEAST_WINTERS
from climrisk.bands import Band
from climrisk.exposure.nights import COVERAGE, Nights

Bool = NDArray[np.bool_]
Float = NDArray[np.floating]

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


@dataclass(frozen=True)
class Span:
    """Some weeks of the calendar in all past years.

    Parameters
    ----------
    first : date
    days : int
    years : int
        Years in which 80 % of its nights count, or a cold night was seen.
    share_cold : float or None
        Share of years and worlds with a cold night; None with fewer than three years.
    cold_nights, lowest_c, hot_days : Band or None
        Over years and worlds.
    """

    first: date
    days: int
    years: int
    share_cold: float | None
    cold_nights: Band | None
    lowest_c: Band | None
    hot_days: Band | None


@dataclass(frozen=True)
class Weeks:
    """Spans of the calendar, looked up quickly.

    Parameters
    ----------
    nights : Nights
    cold, hot : ndarray of bool, shape (night, member)
        Hot is of the evening's date.
    """

    nights: Nights
    cold: Bool
    hot: Bool

    @classmethod
    def of(cls, nights: Nights, preferred_c: float, hot_c: float | None) -> Weeks:
        """Judge a table of nights by a plant's limits."""
        hot = np.zeros(nights.lowest_c.shape, dtype=bool)
        if hot_c is not None:
            with np.errstate(invalid="ignore"):
                hot = nights.day_highest_c > hot_c
        with np.errstate(invalid="ignore"):
            return cls(nights, nights.lowest_c < preferred_c, hot)

    def span(self, first: date, days: int) -> Span:
        """Return what the days from a date on were like in all past years."""
        rows = [self._rows(year, first, days) for year in self._years()]
        rows = [r for r in rows if r is not None and self._known(r, days)]
        if len(rows) < LEAST_WINTERS:
            return Span(first, days, len(rows), None, None, None, None)
        cold = np.array([self.cold[r].sum(axis=0) for r in rows])
        hot = np.array([self.hot[r].sum(axis=0) for r in rows])
        lowest = np.array([np.nanmin(self.nights.lowest_c[r], axis=0) for r in rows])
        return Span(
            first,
            days,
            len(rows),
            float((cold > 0).mean()),
            Band.of(cold),
            Band.of(lowest),
            Band.of(hot),
        )

    def first_comfortable(
        self, today: date, days: int, risk: float, *, within: int = 366
    ) -> date | None:
        """Return the first date from which so many days stay within the risk."""
        for ahead in range(within):
            first = today + timedelta(days=ahead)
            share = self.span(first, days).share_cold
            if share is not None and share <= risk + 1e-12:
                return first
        return None

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
        judged = (self.nights.valid[rows] | self.cold[rows]).sum(axis=0)
        return bool((judged >= COVERAGE * days).all())
