"""Offsets of a spot learned from a logger, as the home file keeps them."""

from __future__ import annotations

from dataclasses import dataclass

Pair = tuple[float, float]


@dataclass(frozen=True)
class Evidence:
    """What the nights of one record say, before any prior.

    The two offsets solve ``A x = b``; sums of several records are those of their
    nights together, so a record counts once however often it is read.

    Parameters
    ----------
    first, last : str
        First and last evening, YYYY-MM-DD.
    nights, still_nights : int
        Nights compared; of these clear and still.
    a_still, a_both, a_windy, b_still, b_windy : float
        Weighted sums over the nights. [1/K2, 1/K]
    """

    first: str
    last: str
    nights: int
    still_nights: int
    a_still: float
    a_both: float
    a_windy: float
    b_still: float
    b_windy: float


@dataclass(frozen=True)
class Learned:
    """What a logger taught of a spot, prior and record weighed by their variance.

    Parameters
    ----------
    still_k, windy_k : (float, float)
        Night minimum minus the station's on clear still and on windy nights: mean
        and standard deviation. [K]
    day_k : (float, float)
        The day's highest minus the station's.
    noise_k : float
        Night-to-night scatter, standard deviation.
    still_by_hour, windy_by_hour : tuple of float
        For each hour of the day, local standard time from 0: offset of that hour
        minus that of the night's minimum; empty where only minima are known.
    in_winter : float
        1 for a record of midwinter, 0 for one of high summer.
    against : str
        The station's record that the offsets count from.
    evidence : tuple of Evidence
    """

    still_k: Pair
    windy_k: Pair
    day_k: Pair
    noise_k: float
    still_by_hour: tuple[float, ...]
    windy_by_hour: tuple[float, ...]
    in_winter: float
    against: str
    evidence: tuple[Evidence, ...]
