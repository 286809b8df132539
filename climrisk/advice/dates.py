"""Moving dates with their risk: by when to be inside, and from when to be out again.

``move_in`` is the earlier of (a) the latest evening before which a harmful night comes
with at most the accepted probability, and (b) the first evening after midsummer whose
next 31 nights include more than 20 cold ones in the median year. ``move_out`` is the
later of (a) the first evening on or after which a harmful night comes with at most the
spring risk, until midsummer, and (b) the first evening from which on no 31 nights
include more than 20 cold ones. Midsummer is the first day of the growing year.

From n winters the i-th first harmful night has probability i / (n + 1) (Weibull 1939),
with straight lines between. With m members the n m dates are pooled: the j-th has
probability ((j - 1/2) / m + 1/2) / (n + 1), which is i / (n + 1) where the members
agree and symmetric in all cases. A winter without a harmful night stays in n as a date
never reached. A record of n winters supports no smaller risk than 1 / (n + 1).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.cold_nights import LEAST_WINTERS, ColdNights
from climrisk.advice.months import IN_COLD_NIGHTS
from climrisk.core.arrays import Float
from climrisk.core.days import MONTH_NAMES
from climrisk.core.quantities import temperature
from climrisk.core.wording import listed
from climrisk.exposure.nights import COVERAGE

Codes = NDArray[np.int8]

Status = Literal["date", "never", "always", "few"]
STATUSES: tuple[Status, ...] = ("date", "never", "always", "few")
Governed = Literal["harmful nights", "cold nights"]
#: Where only one risk is given, it is that of autumn, and spring takes twice as much,
#: up to this: a plant put out too early is carried back in and has its summer ahead,
#: one left out too long stands in a cold that only grows. A society likewise counts the
#: first cold night in autumn and waits for steady nights in spring; twice is ours.
MOST_SPRING_RISK = 0.25
#: Cold nights are counted over as many nights as the longest month has.
WINDOW_NIGHTS = 31


def spring_risk(risk: float, spring: float | None = None) -> float:
    """Return the risk of the spring date: as given, else twice that of autumn to 25 %.

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
        ``date``; ``never`` (nothing to move for: harmful nights come in fewer years
        than the risk, and no month is cold throughout); ``always`` (cold at any time of
        year); ``few`` (fewer than three winters).
    earliest, latest : int or None
        Range of the winters' own dates, each winter by its median member.
    winters : int
        Winters that could be dated.
    why : str
        One sentence.
    governed_by : str or None
        ``harmful nights`` (a) or ``cold nights`` (b).
    risk : float
        The risk that the date keeps: the accepted one, or 1 / (winters + 1) where the
        record supports no smaller one.
    """

    day: int | None
    status: Status
    earliest: int | None
    latest: int | None
    winters: int
    why: str
    governed_by: Governed | None = None
    risk: float = 0.1


@dataclass(frozen=True)
class LongCold:
    """When most nights are cold in the median year.

    Parameters
    ----------
    begins : ndarray, shape (place,)
        First day of the growing year whose next 31 nights include more than 20 cold
        ones; +inf where none does.
    ends : ndarray, shape (place,)
        Day after the last such day; -inf where none does.
    """

    begins: Float
    ends: Float

    @classmethod
    def of(cls, cold: ColdNights, *, places: int = 1) -> LongCold:
        """Find the long cold of places, whose members follow one another.

        Windows of which less than 80 % is known are left out.
        """
        none = np.full(places, np.inf)
        width, nights = WINDOW_NIGHTS, len(cold.year)
        if nights < width:
            return cls(none, -none)
        count = _window_sums(cold.cold, width)
        if len(cold.unknown_rows):
            lost = _window_sums(cold.unknown, width)
            count[lost > (1 - COVERAGE) * width] = _UNKNOWN
        starts = nights - width + 1
        year = cold.year[:starts] - cold.year[0]
        table = np.full((int(year[-1]) + 1, 365, cold.members), _UNKNOWN)
        table[year, cold.day[:starts]] = count
        by_place = table.reshape(len(table), 365, places, -1)
        most = _median_above(by_place, IN_COLD_NIGHTS)  # (365, place)
        some = most.any(axis=0)
        first = np.argmax(most, axis=0)
        last = 364 - np.argmax(most[::-1], axis=0)
        return cls(np.where(some, first, np.inf), np.where(some, last + 1, -np.inf))


#: Marks a count of nights that is not known.
_UNKNOWN = np.uint8(255)


def _window_sums(x: NDArray[np.bool_], width: int) -> NDArray[np.uint8]:
    """Return the sums of every `width` rows that follow one another.

    By sums of 1, 2, 4, ... rows: a running sum takes eight times as long.
    """
    power, length, have = x.view(np.uint8), 1, 0
    windows = len(x) - width + 1
    out = np.zeros((windows, x.shape[1]), np.uint8)
    while length <= width:
        if width & length:
            out += power[have : have + windows]
            have += length
        power = power[:-length] + power[length:]
        length *= 2
    return out


def _median_above(counts: NDArray[np.uint8], limit: int) -> NDArray[np.bool_]:
    """Return where the median over years and members is above a limit.

    Of shape (365, place), of counts (year, 365, place, member); False where none is
    known. The median itself is not needed: only where half of the counts are above do
    the two in the middle decide.
    """
    # Bytes hold the sums over years of all but the longest records.
    kind: type = np.uint8 if len(counts) < 256 else np.uint16

    def total(x: NDArray[np.bool_]) -> NDArray[np.int64]:
        years = x.view(np.uint8).sum(axis=0, dtype=kind)
        return np.asarray(years.sum(axis=-1, dtype=np.int64))

    above, unknown = counts > limit, counts == _UNKNOWN
    n = len(counts) * counts.shape[3] - total(unknown)
    more = total(above) - total(unknown)  # what is unknown is above any limit
    out: NDArray[np.bool_] = 2 * more > n
    for place in zip(*np.nonzero((n > 0) & (2 * more == n)), strict=True):
        here = counts[:, place[0], place[1]].astype(int)
        known = here[here != _UNKNOWN]
        out[place] = (
            known[known > limit].min() + known[known <= limit].max() > 2 * limit
        )
    return out


@dataclass(frozen=True)
class MovingDates:
    """Dates to move, or, where no month is spent indoors, to watch.

    Parameters
    ----------
    move_in, move_out : RiskDate
    watch_from, watch_until : RiskDate or None
        Only where no month is spent indoors: between them single nights are harmful.
    usual_first_cold, usual_last_cold : int or None
        First and last night below the preferred minimum in the median winter, as days
        of the growing year; None where half of the winters have none.
    """

    move_in: RiskDate
    move_out: RiskDate
    watch_from: RiskDate | None
    watch_until: RiskDate | None
    usual_first_cold: int | None
    usual_last_cold: int | None

    @property
    def indoors(self) -> tuple[float, float]:
        """Days of the growing year between which the plant is inside."""
        into, out = self.move_in, self.move_out
        begin = 0.0 if into.status == "always" else _or(into.day, np.inf)
        end = 365.0 if out.status == "always" else _or(out.day, -np.inf)
        return begin, end


def _or(day: int | None, missing: float) -> float:
    return missing if day is None else float(day)


def moving_dates(
    cold: ColdNights,
    harmful: ColdNights,
    long_cold: LongCold,
    risks: tuple[float, float],
    *,
    any_month_in: bool,
    limits_c: tuple[float, float],
) -> MovingDates:
    """Return the moving dates of a plant at a spot, all members pooled.

    Parameters
    ----------
    cold, harmful : ColdNights
        Below the preferred and the tolerated minimum; exempt nights are not cold.
    long_cold : LongCold
        Of the cold nights.
    risks : (float, float)
        Of autumn and of spring.
    any_month_in : bool
        Whether any month is spent indoors; else the dates are those of a watch.
    limits_c : (float, float)
        Preferred and tolerated minimum, for the words.
    """
    into = move_in(harmful, risks[0], long_cold, limits_c)
    out = move_out(harmful, risks[1], long_cold, limits_c)
    usual = usual_cold(cold)
    if any_month_in or into.status == "few":
        return MovingDates(into, out, None, None, *usual)
    nothing = "no month is cold enough to keep it indoors"
    away = replace(
        into,
        day=None,
        status="never",
        why=nothing,
        governed_by=None,
    )
    watch = [
        r if r.status == "date" else None
        for r in (
            move_in(harmful, risks[0], None, limits_c),
            move_out(harmful, risks[1], None, limits_c),
        )
    ]
    if watch[0] is None or watch[1] is None:
        watch = [None, None]
    return MovingDates(away, replace(away, risk=risks[1]), watch[0], watch[1], *usual)


def usual_cold(cold: ColdNights) -> tuple[int | None, int | None]:
    """Return the first and the last cold night of the median winter."""
    out: list[int | None] = []
    for dates in cold.first_and_last:
        known = dates[~np.isnan(dates)]
        middle = float(np.median(known)) if known.size else np.inf
        out.append(round(middle) if np.isfinite(middle) else None)
    return out[0], out[1]


def move_in(
    harmful: ColdNights,
    risk: float,
    long_cold: LongCold | None = None,
    limits_c: tuple[float, float] | None = None,
) -> RiskDate:
    """Return the evening by which to be inside."""
    edge = None if long_cold is None else long_cold.begins
    return _dated(harmful, risk, edge, limits_c, autumn=True)


def move_out(
    harmful: ColdNights,
    risk: float,
    long_cold: LongCold | None = None,
    limits_c: tuple[float, float] | None = None,
) -> RiskDate:
    """Return the evening from which to be out."""
    edge = None if long_cold is None else long_cold.ends
    return _dated(harmful, risk, edge, limits_c, autumn=False)


def _dated(
    harmful: ColdNights,
    risk: float,
    edge: Float | None,
    limits_c: tuple[float, float] | None,
    *,
    autumn: bool,
) -> RiskDate:
    dates = harmful.first_and_last[0 if autumn else 1]
    known = dated_winters(dates)
    n = len(known)
    found = dated(dates[:, None, :], risk, edge, autumn=autumn)
    status = STATUSES[int(found.status[0])]
    span = _range(known)
    if status == "few":
        why = _lacking(harmful, n, autumn=autumn)
        return RiskDate(None, status, *span, n, why, risk=risk)
    by: Governed = "cold nights" if found.by_cold[0] else "harmful nights"
    risk_left = float(found.risk[0])
    if status == "never":
        why = f"harmful nights come in less than {one_in(risk_left)}"
        return RiskDate(None, status, *span, n, why, risk=risk_left)
    if status == "always":
        why = "cold nights come at any time of the year"
        return RiskDate(None, status, *span, n, why, by, risk_left)
    why = _why(by, risk_left, risk, n, limits_c, autumn=autumn)
    return RiskDate(int(found.day[0]), status, *span, n, why, by, risk_left)


def _lacking(harmful: ColdNights, n: int, *, autumn: bool) -> str:
    """Return why fewer than three winters could be dated."""
    winters = len(harmful.winters)
    needed = f"at least {LEAST_WINTERS} needed"
    months = harmful.missing_months(autumn=autumn) if winters >= LEAST_WINTERS else ()
    if not months:
        return f"{n} winter{'s' * (n != 1)} on record, {needed}"
    which = "first" if autumn else "last"
    missing = listed([MONTH_NAMES[m - 1] for m in months])
    return (
        f"nights of {missing} are missing, so that the {which} harmful night is known "
        f"in {n} of {winters} winters, {needed}"
    )


def _why(
    by: Governed,
    risk_left: float,
    risk: float,
    n: int,
    limits_c: tuple[float, float] | None,
    *,
    autumn: bool,
) -> str:
    if by == "cold nights":
        below = "" if limits_c is None else f" below {temperature(limits_c[0])}"
        after = "from then on" if autumn else "until then"
        return f"{after} most nights are{below or ' cold'}"
    below = (
        "harmful night"
        if limits_c is None
        else f"night below {temperature(limits_c[1])}"
    )
    when = "before that" if autumn else "after that"
    share = one_in(risk_left)
    verb = "has" if share.startswith("1 year") else "have"
    why = f"{share} {verb} a {below} {when}"
    if risk_left > risk + 1e-9:
        why += f"; with {n} winters on record no better promise is possible"
    return why


def one_in(risk: float) -> str:
    """Return a share of years in words: 1 year in 10."""
    years = round(1 / risk) if risk > 0 else 0
    if years and abs(1 / years - risk) < 0.005:
        return f"1 year in {years}"
    return f"{risk:.0%} of years"


@dataclass(frozen=True)
class PlacesDates:
    """Dates of many places, each of shape (place,).

    Parameters
    ----------
    day : ndarray
        NaN where there is none; kept where the status is ``always``.
    status : ndarray of int8
        Index into `STATUSES`.
    by_cold : ndarray of bool
        Whether cold nights govern, not harmful ones.
    risk : ndarray
        The risk that the date keeps.
    """

    day: Float
    status: Codes
    by_cold: NDArray[np.bool_]
    risk: Float


def dated(
    dates: Float, risk: float, edge: Float | None = None, *, autumn: bool
) -> PlacesDates:
    """Return the dates of many places.

    Parameters
    ----------
    dates : ndarray, shape (winter, place, member)
        First (`autumn`) or last harmful night as a day of the growing year; an infinity
        where a winter has none, NaN where it could not be dated.
    risk : float
    edge : ndarray, shape (place,), optional
        Where the long cold begins or ends; an infinity where there is none.
    autumn : bool
    """
    n = (~np.isnan(dates).any(axis=2)).sum(axis=0)
    least_risk = np.maximum(risk, 1 / (n + 1.0))
    day, _ = quantiles(dates if autumn else -dates, least_risk)
    # An evening by which to be in falls to the nearest day; to be out, past it.
    whole = np.floor(day + 0.5) if autumn else np.ceil(-day + 0.5)
    none = np.inf if autumn else -np.inf
    by_harm = np.where(np.isnan(whole), none, whole)
    by_cold = np.full(len(n), none) if edge is None else edge
    both = (np.minimum if autumn else np.maximum)(by_harm, by_cold)
    always = both <= 0 if autumn else both >= 364
    status = np.select(
        [n < LEAST_WINTERS, np.isinf(both), always],
        [STATUSES.index(s) for s in ("few", "never", "always")],
        STATUSES.index("date"),
    ).astype(np.int8)
    gone = np.isin(status, [STATUSES.index(s) for s in ("few", "never")])
    return PlacesDates(
        np.where(gone, np.nan, both), status, by_cold == both, least_risk
    )


def quantiles(dates: Float, risk: float | Float) -> tuple[Float, NDArray[np.int64]]:
    """Return the dates of many places reached with a probability.

    Parameters
    ----------
    dates : ndarray, shape (winter, place, member)
        +inf where a winter has no such date, NaN where it is not known.
    risk : float or ndarray, shape (place,)

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
    """Return the rows of winters that could be dated in every member."""
    return dates[~np.isnan(dates).any(axis=1)]


def _range(known: Float) -> tuple[int | None, int | None]:
    with np.errstate(invalid="ignore"):
        middle = np.median(known, axis=1)
    middle = middle[np.isfinite(middle)]
    if len(middle) == 0:
        return None, None
    return int(middle.min()), int(middle.max())
