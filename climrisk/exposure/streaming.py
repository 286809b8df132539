"""The same pass over hours that come a stretch of time after the other."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.core.calendar import Seasons, by_night
from climrisk.core.chunked import columns
from climrisk.exposure.hours import Exposure, finished
from climrisk.exposure.sweep import allocate, sweep


class RunningExposure:
    """Exposure of a record too long to be held at once.

    Hours are added in their order, each once; runs, nights and days go on from one
    part to the next, so that the end is what `climrisk.exposure.hours.expose` gives
    for the whole record.

    Parameters
    ----------
    seasons : Seasons
        Of the whole record.
    thresholds : ndarray of float, shape (threshold,)
    cases : int
    """

    def __init__(self, seasons: Seasons, thresholds: Float, cases: int) -> None:
        self.seasons, self.thresholds = seasons, np.asarray(thresholds, float)
        by = seasons.stretches
        groups = 12 * len(by.years)
        self.arrays = allocate(
            groups, len(self.thresholds), cases, by.nights, by.days, np.float32
        )
        self.dark_hours = np.zeros((by.nights, cases), np.int16)
        self.hours = 0

    def add(
        self,
        values: Float,
        dark: NDArray[np.bool_],
        dark_hours: NDArray[np.int16] | None = None,
    ) -> None:
        """Add the next hours.

        Parameters
        ----------
        values : ndarray of float32, shape (time, case)
            NaN is unknown.
        dark : ndarray of bool, shape (time,) or (time, case)
        dark_hours : ndarray of int16, shape (night, case), optional
            Of the nights of these hours, where they are counted already.
        """
        first, stop = self.hours, self.hours + len(values)
        by = self.seasons.stretches
        begin = int(np.searchsorted(by.edges, first, side="right")) - 1
        end = int(np.searchsorted(by.edges, stop, side="left"))
        part = slice(begin, end)
        edges = np.clip(by.edges[begin : end + 1], first, stop) - first
        dark = columns(dark)
        sweep(
            np.ascontiguousarray(values, np.float32),
            (edges, by.group[part], by.night[part], by.day[part]),
            dark,
            self.thresholds.astype(np.float32),
            0,
            self.arrays,
            inclusive=False,
            gaps=True,
        )
        night = self.seasons.night[first:stop]
        at = int(night[0] - self.seasons.night[0])
        counted = by_night(dark, night) if dark_hours is None else dark_hours
        self.dark_hours[at : at + len(counted)] += counted
        self.hours = stop

    def exposure(self) -> Exposure:
        """Return what all hours together were."""
        if self.hours != len(self.seasons.night):
            msg = f"{self.hours} of {len(self.seasons.night)} hours were added"
            raise ValueError(msg)
        return finished(
            self.arrays, self.dark_hours, self.seasons, self.thresholds, gaps=True
        )
