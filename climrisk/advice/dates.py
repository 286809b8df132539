"""Dates with their risk: when to be inside, and from when to be out again.

`move_in` is the latest evening by which to be inside such that the probability of a
cold night dated before it is at most the risk. `move_out` is the first evening with at
most that probability of a cold night on or after it, until midsummer.

From n winters the i-th first cold night has probability i / (n + 1) (Weibull 1939),
with straight lines between. With m worlds the n m dates are pooled: the j-th has
probability ((j - 1/2) / m + 1/2) / (n + 1), which is i / (n + 1) where the worlds agree
and symmetric in all cases. A winter without a cold night stays in n as a date never
reached. Below a risk of 1 / (n + 1) there is no date.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.judged import ColdNights

Float = NDArray[np.floating]

LEAST_WINTERS = 3
Status = Literal["date", "never", "always", "too rare", "few"]
STATUSES: tuple[Status, ...] = ("date", "never", "always", "too rare", "few")
#: Where only one risk is said, it is that of autumn, and spring takes twice as much, up
#: to this: a plant put out too early is carried back in and has its summer ahead, one
#: left out too long stands in a cold that only grows. A society likewise counts the
#: first cold night in autumn and waits for steady nights in spring; twice is ours.
MOST_SPRING_RISK = 0.25


def spring_risk(risk: float, spring: float | None = None) -> float:
    """Return the risk of the spring date: as said, else twice that of autumn to 25 %.

    More risk in autumn never means less in spring.
    """
    if spring is not None:
        return spring
    return max(risk, min(2 * risk, MOST_SPRING_RISK))


@dataclass(frozen=True)
class RiskDate:
    """A date by its risk, or the reason why there is none.

    Parameters
    ----------
    day : int or None
        Day of the growing year (0 is its first day).
    status : str
        ``date``; ``never`` (the risk exceeds the share of winters with a cold night);
        ``always`` (cold at any time of year); ``too rare`` (below what n winters can
        tell); ``few`` (fewer than three winters).
    earliest, latest : int or None
        Range of the winters' own dates, each winter by its middle world.
    winters : int
        Winters that could be dated.
    why : str
        One sentence.
    """

    day: int | None
    status: Status
    earliest: int | None
    latest: int | None
    winters: int
    why: str


def move_in(nights: ColdNights, risk: float) -> RiskDate:
    """Return the evening by which to be inside."""
    first, _ = nights.first_and_last
    return _dated(first, risk, autumn=True)


def move_out(nights: ColdNights, risk: float) -> RiskDate:
    """Return the evening from which to be out."""
    _, last = nights.first_and_last
    return _dated(last, risk, autumn=False)


def _dated(dates: Float, risk: float, *, autumn: bool) -> RiskDate:
    known = dated_winters(dates)
    n = len(known)
    days, told = dated(dates[:, None, :], risk, autumn=autumn)
    span = _range(known)
    status = STATUSES[int(told[0])]
    if status == "date" or status == "always":
        return _worded(int(days[0]), risk, n, span, autumn=autumn)
    if status == "few":
        why = (
            f"only {n} winter{'s' * (n != 1)} known: even odds that the next is colder"
        )
        if n == 2:
            why = "only 2 winters known: one in three that the next beats both"
    elif status == "too rare":
        why = (
            f"with {n} winters seen, the chance that the next beats them all is "
            f"1/{n + 1}"
        )
    else:
        why = f"fewer than {risk:.0%} of winters have a cold night"
    return RiskDate(None, status, *span, n, why)


def dated(dates: Float, risk: float, *, autumn: bool) -> tuple[Float, NDArray[np.int8]]:
    """Return the dates of many places and what they are.

    Parameters
    ----------
    dates : ndarray, shape (winter, place, member)
        First (`autumn`) or last cold night as a day of the growing year; an infinity
        where a winter has none, NaN where it could not be dated.
    risk : float
    autumn : bool

    Returns
    -------
    day : ndarray of float, shape (place,)
        NaN where there is none; kept where the status is ``always``.
    status : ndarray of int8, shape (place,)
        Index into `STATUSES`.
    """
    signed = dates if autumn else -dates
    day, n = quantiles(signed, risk)
    # An evening by which to be in falls to the nearest day; to be out, past it.
    whole = np.floor(day + 0.5) if autumn else np.ceil(-day + 0.5)
    always = whole <= 0 if autumn else whole >= 364
    status = np.select(
        [n < LEAST_WINTERS, risk < 1 / (n + 1) - 1e-9, np.isnan(day), always],
        [STATUSES.index(s) for s in ("few", "too rare", "never", "always")],
        STATUSES.index("date"),
    ).astype(np.int8)
    gone = np.isin(status, [STATUSES.index(s) for s in ("few", "too rare", "never")])
    return np.where(gone, np.nan, whole), status


def _worded(
    day: int, risk: float, n: int, span: tuple[int | None, int | None], *, autumn: bool
) -> RiskDate:
    if autumn and day <= 0:
        why = "cold nights may come at any time of the year"
        return RiskDate(None, "always", *span, n, why)
    if not autumn and day >= 364:
        why = "cold nights may come until midsummer"
        return RiskDate(None, "always", *span, n, why)
    side = "before" if autumn else "on or after"
    why = f"in {risk:.0%} of years a cold night comes {side} that evening ({n} winters)"
    return RiskDate(day, "date", *span, n, why)


def quantile(dates: Float, risk: float) -> float | None:
    """Return the date reached with a probability, or None where it is never reached.

    Parameters
    ----------
    dates : ndarray, shape (winter, member)
        +inf where a winter has no such date.
    risk : float
        Probability, at least 1 / (winters + 1).
    """
    day = float(quantiles(dates[:, None, :], risk)[0][0])
    return None if np.isnan(day) else day


def quantiles(dates: Float, risk: float) -> tuple[Float, NDArray[np.int64]]:
    """Return the dates of many places reached with a probability.

    Parameters
    ----------
    dates : ndarray, shape (winter, place, member)
        +inf where a winter has no such date, NaN where it is not known.
    risk : float

    Returns
    -------
    day : ndarray, shape (place,)
        NaN where it is never reached.
    winters : ndarray of int, shape (place,)
        Winters known in all members.
    """
    winters, places, m = dates.shape
    known = np.asarray(~np.isnan(dates).any(axis=2))
    n = known.sum(axis=0)
    if winters == 0:
        return np.full(places, np.nan), n
    # Unknown winters go to the end, beyond the count.
    pooled = np.where(known[..., None], dates, np.inf)
    pooled = np.sort(pooled.transpose(1, 0, 2).reshape(places, winters * m), axis=1)
    last = n * m - 1
    # The j-th of n m dates has probability ((j - 1/2) / m + 1/2) / (n + 1).
    at = np.round((risk * (n + 1) - 0.5) * m - 0.5, 9)
    beyond = at > last + 1e-9
    at = np.clip(at, 0, np.maximum(last, 0))
    low, high = np.floor(at).astype(int), np.ceil(at).astype(int)
    row = np.arange(places)
    early, late = pooled[row, low], pooled[row, high]
    never = np.asarray(beyond | np.isinf(late) | (n == 0))
    share = at - low
    with np.errstate(invalid="ignore"):
        day = (1 - share) * early + share * late
    return np.where(never, np.nan, day), n


def positions(winters: int, members: int) -> Float:
    """Return the probability of each of the pooled dates, in their order."""
    rank = np.arange(1, winters * members + 1)
    return np.asarray(((rank - 0.5) / members + 0.5) / (winters + 1))


def dated_winters(dates: Float) -> Float:
    """Return the rows of winters that could be dated in every world."""
    return dates[~np.isnan(dates).any(axis=1)]


def _range(known: Float) -> tuple[int | None, int | None]:
    with np.errstate(invalid="ignore"):
        middle = np.array([np.median(row) for row in known])
    middle = middle[np.isfinite(middle)]
    if len(middle) == 0:
        return None, None
    return int(middle.min()), int(middle.max())
