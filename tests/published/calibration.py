"""True risks of promised dates on fresh winters of made climates.

The truth is known because the climate is made: a season, red noise from night to night
and a deviation of each winter. A record of n winters gives a date by rule (a), the risk
of a harmful night; thousands of fresh winters of the same climate give the true risk of
that date. The promise is about nights, so the climates are made as tables of night
minima, without hours; from the table on, everything is the program's own code, which
dates many records at once as it dates the cells of a map. ``python -m
tests.published.calibration`` prints the whole table, as in the help on accuracy.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from climrisk.advice.cold_nights import ColdNights
from climrisk.advice.dates import dated
from climrisk.core.calendar import season_date
from climrisk.exposure.nights import Nights
from climrisk.spot.ensemble import ensemble

RISKS = (0.10, 0.25, 0.50)
WINTERS = (10, 12, 30, 60)
#: Records a row of the printed table.
RECORDS = 1000
#: Coldest night that the plant tolerates; it prefers 8 °C. [°C]
TOLERATED_C = 5.0
#: Yearly mean of the night minima: every winter has harmful nights; two in five have.
USUAL_C, MILD_C = 12.0, 20.6
#: Standard deviation of a spot's warmth as of a station alone on clear calm nights, and
#: of its night-to-night noise. Every night is made clear and calm, the widest case.
SPOT_SD_K, NOISE_SD_K = 1.5, 0.5
MEMBERS = 20
_FRESH = 20_000
#: Records whose members are held at once.
_AT_ONCE = 50


def minima(count: int, rng: np.random.Generator, mean_c: float = USUAL_C) -> Any:
    """Return night minima of made winters, shape (winter, 365): season, red noise."""
    day = np.arange(365)
    season = mean_c + 9 * np.cos(2 * np.pi * (day - 18) / 365.25)
    noise = np.empty((365, count), np.float32)
    step = rng.standard_normal((365, count), np.float32) * np.float32(3 * 0.51**0.5)
    noise[0] = 3 * rng.standard_normal(count)
    for d in range(1, 365):
        noise[d] = np.float32(0.7) * noise[d - 1] + step[d]
    winter = rng.normal(0, 0.8, (count, 1))
    return (season + noise.T + winter).astype(np.float32)


def table_of(lowest: Any, *, north: bool = True) -> Nights:
    """Return the table of nights of minima (winter, 365, case), all of them known."""
    n, _, cases = lowest.shape
    month = [season_date(d, north=north)[0] for d in range(365)]
    lowest = lowest.reshape(n * 365, cases)
    return Nights(
        evening=np.arange(n * 365),
        month=np.tile(month, n),
        growing_year=np.repeat(np.arange(n), 365),
        day_of_season=np.tile(np.arange(365), n),
        lowest_c=lowest,
        day_highest_c=np.full_like(lowest, np.nan),
        valid=np.ones(lowest.shape, bool),
        north=north,
    )


def harmful_nights(lowest: Any, limit_c: float = TOLERATED_C) -> ColdNights:
    """Return the harmful nights of one place, minima (winter, 365, member)."""
    return ColdNights.of(table_of(lowest), limit_c)


@dataclass(frozen=True)
class Records:
    """First and last harmful night of many records, shape (winter, record, member)."""

    first: Any
    last: Any

    @classmethod
    def of(
        cls, lowest: Any, *, members: int = 1, limit_c: float = TOLERATED_C
    ) -> Records:
        """Find them in minima (winter, 365, case), the members of a record together."""
        found = ColdNights.of_places(table_of(lowest), limit_c).first_and_last
        first, last = (x.reshape(len(lowest), -1, members) for x in found)
        return cls(first, last)

    @classmethod
    def joined(cls, parts: list[Records]) -> Records:
        """Put records side by side."""
        return cls(
            np.concatenate([p.first for p in parts], axis=1),
            np.concatenate([p.last for p in parts], axis=1),
        )

    def until(self, winters: int) -> Records:
        """Return the records as they were after some winters."""
        return Records(self.first[:winters], self.last[:winters])

    def days(self, risk: float, *, autumn: bool) -> Any:
        """Return the date of each record; NaN where none is needed."""
        nights = self.first if autumn else self.last
        return dated(nights, risk, autumn=autumn).day


class Fresh:
    """Fresh winters: the true risk of any day is looked up."""

    def __init__(self, lowest: Any, limit_c: float = TOLERATED_C) -> None:
        harmful = lowest < limit_c
        some = harmful.any(axis=1)
        first = np.where(some, harmful.argmax(axis=1), 10_000)
        last = np.where(some, 364 - harmful[:, ::-1].argmax(axis=1), -10_000)
        self.first, self.last = np.sort(first), np.sort(last)

    def risk(self, day: Any, *, autumn: bool) -> Any:
        """Return the share of winters with a harmful night before a day, or from it on.

        Without a date (NaN) the plant stays out, and any harmful night finds it there.
        """
        day = np.where(np.isnan(day), 365 if autumn else 0, day)
        if autumn:
            return np.searchsorted(self.first, day) / len(self.first)
        return 1 - np.searchsorted(self.last, day) / len(self.last)


@dataclass(frozen=True)
class Outcome:
    """Mean true risk of promised dates, and the interval that it must lie in.

    Parameters
    ----------
    promised : float
    autumn, spring : float
        Mean true risk of each date.
    rounding : float
        What whole days and straight lines take off the risk, to the safe side: half of
        the risk that one day more adds, and the difference between interpolating risks
        and interpolating dates.
    width : float
        Half width of the 99 % binomial interval.
    """

    promised: float
    autumn: float
    spring: float
    rounding: float
    width: float

    @property
    def low(self) -> float:
        """Least true risk that the promise allows."""
        return self.promised - self.width - self.rounding

    @property
    def high(self) -> float:
        """Most true risk that the promise allows."""
        return self.promised + self.width

    @property
    def holds(self) -> bool:
        """Whether both dates keep the promise."""
        return all(self.low <= r <= self.high for r in (self.autumn, self.spring))


def outcome(
    promised: float, into: Any, out: Any, trials: float, bend: float = 0.0
) -> Outcome:
    """Average the true risks of dates, shape (2, date): on the day, one day beyond."""
    half = max(float(np.mean(x[1] - x[0])) / 2 for x in (into, out))
    width = 2.58 * np.sqrt(promised * (1 - promised) * (1 / trials + 1 / _FRESH))
    autumn, spring = (float(x[0].mean()) for x in (into, out))
    return Outcome(promised, autumn, spring, half + bend, float(width))


def _bend(fresh: Fresh, records: Records, promised: float) -> float:
    """Return how much less risk interpolated dates have than interpolated risks.

    The true risks of the i-th of n dates have the mean i / (n + 1) in any climate, so
    that those of two dates, interpolated, have the promised mean; those of interpolated
    dates have less in the tail of the distribution.
    """
    nights = np.sort(records.first[..., 0], axis=0)
    at = promised * (len(nights) + 1) - 1
    low, share = int(np.floor(at + 1e-9)), at - np.floor(at + 1e-9)
    early, late = nights[low], nights[min(low + 1, len(nights) - 1)]
    finite = np.isfinite(late)
    early, late = early[finite], late[finite]
    risks = [
        fresh.risk(d, autumn=True) * (1 - part) + fresh.risk(d + 1, autumn=True) * part
        for d, part in (
            np.divmod(x, 1) for x in (early, late, early + share * (late - early))
        )
    ]
    return float(np.mean((1 - share) * risks[0] + share * risks[1] - risks[2]))


def _true_risks(fresh: Fresh, records: Records, risk: float) -> tuple[Any, Any]:
    """Return true risks of the dates in and out, each of shape (2, record)."""
    into = records.days(risk, autumn=True)
    out = records.days(risk, autumn=False)
    return (
        np.array([fresh.risk(into + k, autumn=True) for k in (0, 1)]),
        np.array([fresh.risk(out - k, autumn=False) for k in (0, 1)]),
    )


@cache
def _measured(winters: int, records: int, mean_c: float) -> tuple[Fresh, Records]:
    rng = np.random.default_rng([winters, records])
    fresh = Fresh(minima(_FRESH, rng, mean_c))
    lowest = minima(winters * records, rng, mean_c).reshape(winters, records, 365)
    return fresh, Records.of(lowest.transpose(0, 2, 1))


@cache
def as_measured(
    risk: float, winters: int, records: int = RECORDS, mean_c: float = USUAL_C
) -> Outcome:
    """Try dates from records measured at the spot itself.

    A record supports no smaller promise than 1 / (winters + 1).
    """
    fresh, made = _measured(winters, records, mean_c)
    into, out = _true_risks(fresh, made, risk)
    # The true risk of a date from n winters scatters about its mean like a share of
    # n + 2 trials (it is a Beta variable).
    trials = records * (winters + 2)
    promised = max(risk, 1 / (winters + 1))
    return outcome(promised, into, out, trials, _bend(fresh, made, promised))


@cache
def _drawn(winters: int, records: int) -> tuple[list[Fresh], Records]:
    """Return fresh winters at each spot, whose warmth is drawn, and its record."""
    rng = np.random.default_rng([7, winters, records])
    fresh = minima(_FRESH // 10, rng)
    fresh += rng.normal(0, NOISE_SD_K, fresh.shape).astype(np.float32)
    truth = rng.normal(0, SPOT_SD_K, records)
    warmth = (ensemble(MEMBERS).scores["still"][0] * SPOT_SD_K).astype(np.float32)
    parts = []
    for start in range(0, records, _AT_ONCE):
        count = min(_AT_ONCE, records - start)
        station = minima(winters * count, rng).reshape(winters, count, 365)
        station = station.transpose(0, 2, 1)[..., None]
        shape = (*station.shape[:3], MEMBERS)
        noise = rng.standard_normal(shape, np.float32) * np.float32(NOISE_SD_K)
        lowest = (station + warmth + noise).reshape(winters, 365, -1)
        parts.append(Records.of(lowest, members=MEMBERS))
    there = [Fresh(fresh, TOLERATED_C - warmer) for warmer in truth]
    return there, Records.joined(parts)


@cache
def spot_drawn(risk: float, winters: int, records: int = RECORDS) -> Outcome:
    """Try dates of a spot whose warmth is drawn from its prior, 20 members pooled."""
    there, made = _drawn(winters, records)
    into, out = made.days(risk, autumn=True), made.days(risk, autumn=False)
    rows = np.empty((2, 2, records))
    for i, fresh in enumerate(there):
        rows[0, :, i] = fresh.risk(into[i] + np.array([0, 1]), autumn=True)
        rows[1, :, i] = fresh.risk(out[i] - np.array([0, 1]), autumn=False)
    # The warmth of the spot, drawn once a record, decides the scatter.
    return outcome(max(risk, 1 / (winters + 1)), rows[0], rows[1], records)


@cache
def forward(
    risk: float, records: int = RECORDS, seen: int = 12, after: int = 18
) -> Outcome:
    """Make each date from earlier winters only and try it on the very next winter."""
    made = _measured(seen + after, records, USUAL_C)[1]
    into, out = [], []
    for now in range(seen, seen + after):
        past = made.until(now)
        day = past.days(risk, autumn=True)
        into.append([made.first[now, :, 0] < day + k for k in (0, 1)])
        day = past.days(risk, autumn=False)
        out.append([made.last[now, :, 0] >= day - k for k in (0, 1)])
    # The rank of a winter among earlier ones is independent from winter to winter.
    in_, out_ = (np.concatenate(x, axis=1).astype(float) for x in (into, out))
    return outcome(risk, in_, out_, records * after)


@cache
def _warming(winters: int, records: int) -> tuple[Fresh, Records]:
    rng = np.random.default_rng([5, winters])
    trend = 0.05 * (np.arange(winters) - winters)
    fresh = Fresh(minima(_FRESH, rng))
    lowest = minima(winters * records, rng).reshape(winters, records, 365)
    lowest += trend[:, None, None].astype(np.float32)
    return fresh, Records.of(lowest.transpose(0, 2, 1))


def warming(
    risk: float, winters: int = 30, records: int = RECORDS
) -> tuple[float, float]:
    """Return the bias of both risks where it warms by 0.5 K a decade, next winter."""
    rows = _true_risks(*_warming(winters, records), risk)
    into, out = (float(x[0].mean()) - risk for x in rows)
    return into, out


#: Day maxima of ten southern years, and the limits tried on them. A long open record of
#: night minima is not at hand; the rule of dates is the same for any daily value.
_REAL = Path(__file__).with_name("melbourne_maxima.csv")
_LIMITS_C = (14.0, 15.0, 16.0, 17.0, 18.0)


@cache
def real(risk: float = 0.5) -> Outcome:
    """Make dates from earlier years of a real record and try them on the next year."""
    table = np.loadtxt(_REAL, delimiter=",", comments="#")[:, 1:]
    into, out = [], []
    for limit in _LIMITS_C:
        made = Records.of(table[:, :, None], limit_c=limit)
        for now in range(3, len(table)):
            rows = _true_risks(
                Fresh(table[now : now + 1], limit), made.until(now), risk
            )
            into.append(rows[0])
            out.append(rows[1])
    # Limits of one year share its weather: as many trials as years tried.
    in_, out_ = (np.concatenate(x, axis=1) for x in (into, out))
    return outcome(risk, in_, out_, len(table) - 3)


def table(records: int = RECORDS, drawn: tuple[int, ...] = WINTERS) -> str:
    """Return the table of the help topic: mean true risks, autumn and spring.

    Parameters
    ----------
    records : int
        A row.
    drawn : tuple of int
        Winters of the rows whose spot is drawn, which take longest.
    """
    measured = [(n, [as_measured(r, n, records) for r in RISKS]) for n in (5, *WINTERS)]
    rows = [(f"{n} winters at the spot", outcomes) for n, outcomes in measured]
    name = "{} winters of a station, spot drawn from its prior"
    rows += [
        (name.format(n), [spot_drawn(r, n, records) for r in RISKS]) for n in drawn
    ]
    outcomes = [forward(r, records) for r in RISKS]
    rows.append(("12 to 29 earlier winters, tried on the next", outcomes))
    share = float(_measured(30, records, MILD_C)[0].risk(np.nan, autumn=True))
    name = f"30 winters where {100 * share:.0f} % of winters have a harmful night"
    rows.append((name, [as_measured(r, 30, records, MILD_C) for r in RISKS]))
    lines = [
        "| dates made from | promised 10 % | 25 % | 50 % |",
        "| --- | --- | --- | --- |",
    ]
    for name, outcomes in rows:
        cells = (_cell(o, r) for o, r in zip(outcomes, RISKS, strict=True))
        lines.append(f"| {name} | {' | '.join(cells)} |")
    year = real()
    lines.append(
        "| a real record (day maxima of Melbourne 1981 to 1990): 3 to 9 earlier years, "
        f"tried on the next | – | – | {_cell(year, 0.5)} (±{100 * year.width:.0f}) |"
    )
    bias = [warming(r, records=records) for r in RISKS]
    cells = (f"{100 * a:+.0f} and {100 * s:+.0f}" for a, s in bias)
    name = "bias of 30 winters in a climate warming 0.5 °C a decade"
    lines.append(f"| {name} | {' | '.join(cells)} |")
    known = max(o.width for _, outcomes in measured for o in outcomes)
    guessed = max(spot_drawn(r, drawn[0], records).width for r in RISKS)
    loss = max(o.rounding for _, outcomes in measured for o in outcomes)
    lines += [
        "",
        f"{records:,} records a row. 99 % of honest dates would lie within "
        f"{100 * known:.1f} points of the promise where the spot is known, within "
        f"{100 * guessed:.1f} where it is drawn. Whole days, and straight lines from "
        f"date to date, take off up to {100 * loss:.1f} points more, which is the safe "
        "side.",
    ]
    return "\n".join(lines)


def _cell(outcome: Outcome, risk: float) -> str:
    text = f"{100 * outcome.autumn:.0f} and {100 * outcome.spring:.0f}"
    if outcome.promised > risk:
        text += f" (promised {100 * outcome.promised:.0f})"
    return text


if __name__ == "__main__":
    print(table())
