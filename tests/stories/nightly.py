"""Recounts from the exported nightly table, by plain Python and pandas."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

WINTER = (11, 12, 1, 2, 3)
LENGTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def ask(capsys: Any, main: Any, *arguments: str) -> Any:
    """Run a command and return its document."""
    status = main([*arguments, "--json"])
    out, err = capsys.readouterr()
    assert status == 0, err
    return json.loads(out)


class Recount:
    """Counts of one spot and one limit, from the exported table alone."""

    def __init__(self, path, limit: float, spot: str | None = None) -> None:
        table = pd.read_csv(path)
        if spot is not None:
            table = table[table["spot"] == spot]
        self.evening = pd.to_datetime(table["evening"])
        self.month = table["month"].to_numpy()
        self.year = table["growing_year"].to_numpy()
        columns = [c for c in table.columns if c.startswith("lowest_c_")]
        self.members = len(columns)
        self.lowest = table[columns].to_numpy(float)
        names = [c for c in table.columns if c.startswith("counts_")]
        self.counts = table[names].to_numpy(float) == 1
        self.limit = limit
        self.cold = self.lowest < limit
        self.table = table
        day = self.evening - pd.to_datetime(
            [f"{y[:4]}-07-01" for y in self.year.astype(str)]
        )
        leap = (self.evening.dt.month >= 3) & (self.evening.dt.month < 7)
        leap &= self.evening.dt.is_leap_year
        self.day = (day.dt.days - leap).to_numpy()

    def winters(self) -> list[str]:
        """Growing years of which 80 % of the winter's nights count."""
        out = []
        for year in dict.fromkeys(self.year):
            rows = (self.year == year) & np.isin(self.month, WINTER)
            share = (self.counts[rows].sum(axis=0) >= 0.8 * 151).mean()
            if share >= 0.5:
                out.append(year)
        return out

    def with_cold(self) -> Any:
        """Winters with a cold night, by world."""
        return np.sum(
            [self.cold[self.year == y].any(axis=0) for y in self.winters()], axis=0
        )

    def share_of_month(self, month: int) -> float:
        """Share of years and members with a cold night in a month."""
        shares = []
        for year in dict.fromkeys(self.year):
            rows = (self.year == year) & (self.month == month)
            cold = self.cold[rows].any(axis=0)
            judged = (self.cold | self.counts)[rows].sum(axis=0)
            if (cold | (judged >= 0.8 * LENGTH[month - 1])).all():
                shares.append(cold.mean())
        return float(np.mean(shares))

    def nights_of_month(self, month: int) -> Any:
        """Cold nights of a month in each known year and world."""
        rows = [
            self.cold[(self.year == y) & (self.month == month)].sum(axis=0)
            for y in dict.fromkeys(self.year)
            if ((self.year == y) & (self.month == month)).sum()
            >= 0.8 * LENGTH[month - 1]
        ]
        return np.array(rows)

    def long_cold(self, most: int = 20, width: int = 31) -> tuple[float, float]:
        """First day whose next 31 nights hold more than 20 cold ones in the median
        year, and the day after the last such day; infinities without one."""
        frame = pd.DataFrame(self.cold).rolling(width).sum().shift(1 - width)
        frame["day"] = self.day
        frame = frame.dropna().melt("day").groupby("day")["value"].median()
        days = frame[frame > most].index
        if len(days) == 0:
            return np.inf, -np.inf
        return float(days.min()), float(days.max()) + 1

    def dates(self, *, first: bool) -> Any:
        """First or last cold night of each winter and world, as days of the year."""
        out = np.full((len(self.winters()), self.members), np.inf if first else -np.inf)
        for i, year in enumerate(self.winters()):
            rows = self.year == year
            for m in range(self.members):
                days = self.day[rows & self.cold[:, m]]
                if len(days):
                    out[i, m] = days.min() if first else days.max()
        return out

    def risk_before(self, day: int) -> float:
        """Weibull share of winters and members with a cold night before a day."""
        dates = self.dates(first=True)
        n, m = dates.shape
        return float(((dates < day).sum() / m) / (n + 1))

    def risk_from(self, day: int) -> float:
        """The same of a cold night on or after a day."""
        dates = self.dates(first=False)
        n, m = dates.shape
        return float(((dates >= day).sum() / m) / (n + 1))

    def hours(self, name: str) -> Any:
        """Hours below a limit over the whole record, by world."""
        columns = [c for c in self.table.columns if c.startswith(f"hours_below_{name}")]
        return self.table[columns].to_numpy(float).sum(axis=0)


def band(values: Sequence[float] | np.ndarray) -> list[float]:
    """The 10th, 50th and 90th percentile."""
    return [float(v) for v in np.percentile(values, (10, 50, 90))]


def day_of(month_day: str) -> Any:
    """The day of a northern growing year of a date MM-DD."""
    month, day = (int(p) for p in month_day.split("-"))
    start = pd.Timestamp("2001-07-01")
    year = 2001 if month >= 7 else 2002
    return (pd.Timestamp(year, month, day) - start).days
