"""The nights of every winter of a record at a spot."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from climrisk.commands.shared.exposure_info import middle_member
from climrisk.core.arrays import Int
from climrisk.core.calendar import WINTER_MONTHS, as_date
from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.exposure.nights import Nights
from climrisk.spot.transfer import Prepared


class WinterNights:
    """The nights of every winter of a record at a spot.

    Attributes
    ----------
    middle, low, high : ndarray of float, shape (night,)
        Minimum of the median member, and those of 10 and 90 % of the members. [°C]
    winter : ndarray of bool, shape (night,)
        Whether a night lies in the winter months.
    counted : dict of int to bool
        Whether the winter of a growing year counts.
    """

    def __init__(self, prepared: Prepared, nights: Nights) -> None:
        self.prepared, self.nights = prepared, nights
        self.middle = middle_member(nights.lowest_c)
        self.low = np.percentile(nights.lowest_c, 10, axis=1)
        self.high = np.percentile(nights.lowest_c, 90, axis=1)
        self.winter = np.isin(nights.month, WINTER_MONTHS[nights.north])
        self.counted = {y: bool(v.mean() >= 0.5) for y, v in nights.winters.items()}

    def label(self, year: int) -> str:
        """Return the label of a growing year."""
        return self.prepared.seasons.label(year)

    def years(self) -> list[int]:
        """Return the growing years that hold winter nights."""
        held = set(self.nights.growing_year[self.winter].tolist())
        return [y for y in self.counted if y in held]

    def rows(self, year: int) -> Int:
        """Return the winter nights of a growing year."""
        return np.flatnonzero((self.nights.growing_year == year) & self.winter)

    def date(self, row: int) -> str:
        """Return the evening of a night."""
        return as_date(int(self.nights.evening[row])).isoformat()

    def year_to_show(
        self, label: str | None, known: Mapping[int, int] | None = None
    ) -> int:
        """Return the growing year to show: the one named, else the last that counts.

        Parameters
        ----------
        label : str or None
        known : mapping of int to int, optional
            Nights that a logger knows, by growing year; the year with most goes first.

        Raises
        ------
        InputError
            No such winter, or a record without a winter night.
        """
        there = {self.label(y): y for y in self.years()}
        if label is not None:
            if label not in there:
                raise InputError(
                    "no such winter in the record",
                    where=field("winter"),
                    value=label,
                    allowed=f"{next(iter(there))} to {list(there)[-1]}"
                    if there
                    else "none",
                )
            return there[label]
        if not there:
            raise InputError(
                "the record holds no winter night",
                where=self.prepared.weather.source.label,
            )
        if known and max(known.values()) > 0:
            return max(known, key=lambda y: (known[y], y))
        good = [y for y in there.values() if self.counted[y]]
        return (good or list(there.values()))[-1]
