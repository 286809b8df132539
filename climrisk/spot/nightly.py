"""The calendar of the hours as the night-by-night part of the transfer needs it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.core.calendar import Seasons, day_of_season
from climrisk.core.chunked import by_slabs, columns
from climrisk.spot.regimes import Regimes


@dataclass(frozen=True)
class Nightly:
    """What the night-by-night part of the transfer needs.

    Parameters
    ----------
    index : ndarray of int, shape (time,)
        Index of each hour's night.
    window : ndarray of float32, shape (time, 1), or (time, case) for many places
        1 through the dark hours and the first hours of morning, 0 at midday.
    evening : ndarray of float32, shape (time, 1)
        1 until seven in the evening, falling to 0 by two in the night.
    winter : ndarray of float32, shape (time, 1)
        1 in the depth of winter, 0 in high summer.
    hour, month : ndarray of int, shape (time,)
        Of the local standard clock, 0 to 23 and 1 to 12.
    regimes : Regimes
    """

    index: NDArray[np.int64]
    window: Float
    evening: Float
    winter: Float
    hour: NDArray[np.int64]
    month: NDArray[np.int64]
    regimes: Regimes

    @classmethod
    def of(cls, seasons: Seasons, dark: NDArray[np.bool_], regimes: Regimes) -> Nightly:
        """Return it from the calendar of the hours."""
        index = seasons.night_index
        # The lowest hour often comes just after sunrise: hold the night till then.
        held = dark.copy()
        for shift in (1, 2):
            held[shift:] |= dark[:-shift]
        window = _smooth(columns(held))
        evening, winter = _column(evening_at(seasons)), _column(winter_at(seasons))
        hour = seasons.hour.astype(np.int64)
        return cls(
            index,
            window,
            evening,
            winter,
            hour,
            seasons.month,
            regimes,
        )


def evening_at(seasons: Seasons) -> Float:
    """Return `Nightly.evening` of hours, shape (time,)."""
    since_noon = (seasons.hour - 12) % 24
    return np.asarray(np.clip((19.0 - since_noon) / 7.0, 0, 1))


def winter_at(seasons: Seasons) -> Float:
    """Return `Nightly.winter` of hours, shape (time,)."""
    day = day_of_season(seasons.day, north=seasons.north)
    # Mid January is day 198 of a July-June year; the south's July likewise.
    return np.asarray(0.5 * (1 + np.cos(2 * np.pi * (day - 198) / 365.25)))


def first_hours(index: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return the first hour of each night, of the index of each hour's night."""
    return np.searchsorted(index, np.arange(int(index[-1]) + 1))


def _smooth(held: NDArray[np.bool_]) -> Float:
    """Return a running mean over five hours, the middle one weighing most."""
    hours = len(held)
    padded = np.zeros((hours + 4, held.shape[1]), np.float32)
    padded[2:-2] = held
    return by_slabs(window_at, *(padded[i : i + hours] for i in range(5)))


def window_at(
    first: Float, before: Float, held: Float, after: Float, last: Float
) -> Float:
    """Return the window of an hour, of whether night holds two hours around it."""
    out: Float = (first + 2.0 * before + 3.0 * held + 2.0 * after + last) / 9.0
    return out


def _column(x: Float) -> Float:
    return x.astype(np.float32)[:, None]
