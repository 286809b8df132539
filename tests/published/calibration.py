"""The promise measured: true risks of promised dates on fresh winters of made climates.

The truth is known because the climate is made: a season, red noise from night to night
and a deviation of each winter. A record of n winters gives a date; fresh winters of the
same climate, thousands of them, give the true risk of that date. `table` is printed in
the README; a test runs it again.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from climrisk.advice.cold_nights import ColdNights
from climrisk.advice.dates import move_in, move_out
from climrisk.seasons import season_date
from climrisk.spot.members import worlds

LIMIT = 8.0
RISKS = (0.10, 0.25, 0.50)
WINTERS = (10, 12, 30, 60)
#: Standard deviation of a spot's offset, as of a station alone on clear still nights.
SPOT_SD_K = 1.5
_MONTH = np.array([season_date(d, north=True)[0] for d in range(365)])
_FRESH = 4000


def minima(count: int, rng: np.random.Generator) -> Any:
    """Night minima of made winters, shape (winter, 365): season plus red noise."""
    day = np.arange(365)
    season = 12 - 9 * np.cos(2 * np.pi * (day - 18) / 365.25 + np.pi)
    noise = np.empty((count, 365))
    x = rng.normal(0, 3, count)
    step = rng.normal(0, 3 * np.sqrt(1 - 0.49), (365, count))
    for d in range(365):
        x = 0.7 * x + step[d]
        noise[:, d] = x
    return season + noise + rng.normal(0, 0.8, (count, 1))


def cold_nights(lowest: Any, members: int = 1) -> ColdNights:
    """ColdNights of minima (winter, 365, member)."""
    n = len(lowest)
    cold = (lowest < LIMIT).reshape(n * 365, members)
    return ColdNights(
        cold,
        np.zeros_like(cold),
        np.tile(_MONTH, n),
        np.repeat(np.arange(n), 365),
        np.tile(np.arange(365), n),
        np.arange(n),
        north=True,
    )


class Fresh:
    """Fresh winters of a climate: the true risk of any day, looked up."""

    def __init__(self, lowest: Any) -> None:
        cold = lowest < LIMIT
        some = cold.any(axis=1)
        self.first = np.where(some, cold.argmax(axis=1), 10_000)
        self.last = np.where(some, 364 - cold[:, ::-1].argmax(axis=1), -10_000)

    def risk(self, day: int, *, autumn: bool) -> float:
        """Share of winters with a cold night before a day, or on and after it."""
        hit = self.first < day if autumn else self.last >= day
        return float(hit.mean())


@dataclass(frozen=True)
class Kept:
    """Mean true risk of promised dates, with the interval that it must lie in."""

    risk: float
    winters: int
    autumn: float
    spring: float
    low: float
    high: float

    @property
    def holds(self) -> bool:
        """Whether both dates keep the promise."""
        return all(self.low <= r <= self.high for r in (self.autumn, self.spring))


def interval(risk: float, trials: float) -> float:
    """Half width of the 99 % binomial interval."""
    return float(2.58 * np.sqrt(risk * (1 - risk) / trials))


#: A whole day is the grain of a date: half a day of rounding, to the safe side, is one
#: to two per cent of risk in these climates.
GRAIN = 0.02


@cache
def as_measured(risk: float, winters: int, records: int = 150) -> Kept:
    """Dates from records measured at the spot itself."""
    rng = np.random.default_rng([winters, int(100 * risk)])
    fresh = Fresh(minima(_FRESH, rng))
    into, out = [], []
    for _ in range(records):
        made = cold_nights(minima(winters, rng)[:, :, None])
        into.append(fresh.risk(_day(move_in(made, risk).day), autumn=True))
        out.append(fresh.risk(_day(move_out(made, risk).day), autumn=False))
    # Records of n winters scatter about the truth like a binomial share of n + 1.
    width = interval(risk, records * (winters + 1))
    low, high = risk - width - GRAIN, risk + width
    return Kept(risk, winters, float(np.mean(into)), float(np.mean(out)), low, high)


@cache
def spot_drawn(risk: float, winters: int, records: int = 120) -> Kept:
    """Dates where the spot's offset is drawn from its prior, and 20 worlds pooled."""
    rng = np.random.default_rng([7, winters, int(1000 * risk)])
    world = worlds(20).scores["still"][0] * SPOT_SD_K
    base = minima(_FRESH // 2, rng)
    into, out = [], []
    for _ in range(records):
        truth = rng.normal(0, SPOT_SD_K)
        station = minima(winters, rng)
        made = cold_nights(station[:, :, None] + world, members=20)
        fresh = Fresh(base + truth)
        into.append(fresh.risk(_day(move_in(made, risk).day), autumn=True))
        out.append(fresh.risk(_day(move_out(made, risk).day), autumn=False))
    # The truth of a spot, drawn once a record, decides the scatter: as many independent
    # trials as there are records.
    width = interval(risk, records)
    low, high = risk - width - GRAIN, risk + width
    return Kept(risk, winters, float(np.mean(into)), float(np.mean(out)), low, high)


@cache
def forward(risk: float, records: int = 40, seen: int = 12, after: int = 18) -> Kept:
    """Each date made from earlier winters only, tried on the very next winter."""
    rng = np.random.default_rng([3, int(100 * risk)])
    into, out = [], []
    for _ in range(records):
        lowest = minima(seen + after, rng)
        for now in range(seen, seen + after):
            made = cold_nights(lowest[:now, :, None])
            following = Fresh(lowest[now : now + 1])
            into.append(following.risk(_day(move_in(made, risk).day), autumn=True))
            out.append(following.risk(_day(move_out(made, risk).day), autumn=False))
    # Winters of one record share their past: as many trials as winters tried, but no
    # more than the records' own winters carry.
    width = interval(risk, records * after)
    low, high = risk - width - GRAIN, risk + width
    return Kept(risk, seen, float(np.mean(into)), float(np.mean(out)), low, high)


@cache
def warming(risk: float, winters: int = 30, records: int = 120) -> float:
    """Bias of the true risk in a climate that warms by 0.5 K a decade."""
    rng = np.random.default_rng([5, int(100 * risk)])
    trend = 0.05 * (np.arange(winters) - (winters - 1))
    base = Fresh(minima(_FRESH, rng) + 0.05)
    risks = []
    for _ in range(records):
        made = cold_nights((minima(winters, rng) + trend[:, None])[:, :, None])
        risks.append(base.risk(_day(move_in(made, risk).day), autumn=True))
    return float(np.mean(risks)) - risk


#: Day maxima of ten southern years, and the limits tried on them. A long open record of
#: night minima is not at hand; the rule of dates is the same for any daily value.
_REAL = Path(__file__).with_name("melbourne_maxima.csv")
_LIMITS_C = (14.0, 15.0, 16.0, 17.0, 18.0)


@cache
def real(risk: float = 0.5) -> Kept:
    """Dates from earlier years of a real record, tried on the next year."""
    table = np.loadtxt(_REAL, delimiter=",", comments="#")[:, 1:]
    month = np.array([season_date(d, north=False)[0] for d in range(365)])
    into, out = [], []
    for limit in _LIMITS_C:
        for now in range(3, len(table)):
            cold = (table[:now] < limit).reshape(-1, 1)
            made = ColdNights(
                cold,
                np.zeros_like(cold),
                np.tile(month, now),
                np.repeat(np.arange(now), 365),
                np.tile(np.arange(365), now),
                np.arange(now),
                north=False,
            )
            following = Fresh(table[now : now + 1] - limit + LIMIT)
            into.append(following.risk(_day(move_in(made, risk).day), autumn=True))
            out.append(following.risk(_day(move_out(made, risk).day), autumn=False))
    # Limits of one year share its weather: as many trials as years tried.
    width = interval(risk, len(table) - 3)
    low, high = risk - width, risk + width
    return Kept(risk, 3, float(np.mean(into)), float(np.mean(out)), low, high)


def _day(day: int | None) -> int:
    assert day is not None
    return day


def table() -> str:
    """Return the table of the README: mean true risks, autumn and spring."""
    lines = [
        "| dates made from | promised 10 % | 25 % | 50 % |",
        "| --- | --- | --- | --- |",
    ]
    for name, rows in (
        *(
            (f"{n} winters at the spot", [as_measured(r, n) for r in RISKS])
            for n in WINTERS
        ),
        *(
            (
                f"{n} winters of a station, spot drawn from its prior",
                [spot_drawn(r, n) for r in RISKS],
            )
            for n in (10, 30)
        ),
        ("12 to 29 earlier winters, tried on the next", [forward(r) for r in RISKS]),
    ):
        cells = [f"{100 * k.autumn:.0f} and {100 * k.spring:.0f}" for k in rows]
        lines.append(f"| {name} | " + " | ".join(cells) + " |")
    told = real()
    width = 100 * (told.high - told.risk)
    lines.append(
        "| a real record (day maxima of Melbourne 1981 to 1990): 3 to 9 earlier years, "
        f"tried on the next | – | – | {100 * told.autumn:.0f} and "
        f"{100 * told.spring:.0f} (±{width:.0f}) |"
    )
    bias = [f"{100 * warming(r):+.0f}" for r in RISKS]
    lines.append(
        "| bias of 30 winters in a climate warming 0.5 K a decade, autumn | "
        + " | ".join(bias)
        + " |"
    )
    return "\n".join(lines)


if __name__ == "__main__":
    print(table())
