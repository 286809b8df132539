"""Cold that is wanted: windows of temperature and season, and nights earned in them.

A cool spell starts spikes, ripens a rest, and does no harm within its bounds; it is
counted apart from the nights that are too cold, and may overlap them where sources
disagree. Windows are data (``data/wanted.toml``).
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache
from importlib import resources
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Bool, Int
from climrisk.core.quantities import temperatures
from climrisk.exposure.nights import Nights
from climrisk.plants.model import Profile
from climrisk.plants.registry import slug

#: Kinds of rest in which cold nights do not count, unless they harm.
RESTS = ("cool", "cool_dry", "dry")

_AIMS = {"spikes": "to spike", "flowers": "to flower", "rest": "to rest"}


@dataclass(frozen=True)
class Window:
    """A wanted cool spell.

    Parameters
    ----------
    purpose : {"spikes", "flowers", "rest"}
    low_c, high_c : float
        Both ends are wanted. [°C]
    months : tuple of int
        Northern months.
    wording : str
        What the sources say.
    sources : tuple of str
    basis : str
    nights : int or None
        How many are wanted; None where no source says.
    nights_basis : str
    of : {"night", "day"}
        The night's lowest, or the mean of the day and the following night's lowest.
    below_day_high_c : float or None
        Days that reach this do not count. [°C]
    optional : bool
    obligate : bool
        Without it the plant declines and dies; otherwise it only does not flower.
    belief : str
        What growers say and experiments do not bear out.
    """

    purpose: Literal["spikes", "flowers", "rest"]
    low_c: float
    high_c: float
    months: tuple[int, ...]
    wording: str
    sources: tuple[str, ...] = ()
    basis: str = "our estimate"
    nights: int | None = None
    nights_basis: str = "no source says how many"
    of: Literal["night", "day"] = "night"
    below_day_high_c: float | None = None
    optional: bool = False
    obligate: bool = False
    belief: str = ""
    plants: tuple[str, ...] = field(default=())

    def counts(self, nights: Nights) -> Bool:
        """Return which nights are wanted ones, shape (night, case).

        Nights that cannot be judged are not counted.
        """
        value = nights.lowest_c
        if self.of == "day":
            value = (nights.lowest_c + nights.day_highest_c) / 2
        wanted = (value >= self.low_c) & (value <= self.high_c) & nights.valid
        if self.below_day_high_c is not None:
            wanted &= nights.day_highest_c < self.below_day_high_c
        return np.asarray(wanted & self.season(nights)[:, None])

    @property
    def words(self) -> str:
        """What is wanted, such as "about 30 nights at 8 to 15.5 °C to spike"."""
        count = "some" if self.nights is None else f"about {self.nights}"
        unit = "nights" if self.of == "night" else "days"
        aim = _AIMS[self.purpose]
        return f"{count} {unit} at {temperatures(self.low_c, self.high_c)} {aim}"

    def season(self, nights: Nights) -> Bool:
        """Return which nights fall into its months."""
        return _in_months(nights, self.months)


def window_of(plant: Profile) -> Window | None:
    """Return the cold that a plant wants, or None."""
    own = _own_window(plant)
    if own is not None or plant.rest not in ("cool", "cool_dry"):
        return own
    row, least = _read()["rest"], plant.limit("preferred")
    high = float(row["high_c"])
    low = min(high, least.value) if least is not None else 0.0
    return Window("rest", low, high, tuple(row["months"]), row["wording"])


def _own_window(plant: Profile) -> Window | None:
    name = slug(plant.name)
    return next((w for w in windows() if name in w.plants), None)


def _in_months(nights: Nights, northern: Iterable[int]) -> Bool:
    """Return which nights fall into months; the south has them half a year later."""
    shift = 0 if nights.north else 6
    return np.isin(nights.month, [(m - 1 + shift) % 12 + 1 for m in northern])


@dataclass(frozen=True)
class Exemption:
    """Which nights are not too cold for a plant's comfort, unless they harm it.

    Parameters
    ----------
    rest_months : tuple of int
        Northern months of a cool or dry rest.
    low_c, high_c : float
        Bounds of wanted cold nights. [°C]
    wanted_months : tuple of int
        Northern months of wanted cold nights.
    """

    rest_months: tuple[int, ...] = ()
    low_c: float = 0.0
    high_c: float = 0.0
    wanted_months: tuple[int, ...] = ()

    @classmethod
    def of(cls, plant: Profile) -> Exemption:
        """Return the exemption of a plant."""
        rest = tuple(_read()["rest"]["months"]) if plant.rest in RESTS else ()
        own = _own_window(plant)
        if own is None or own.of != "night":
            return cls(rest)
        return cls(rest, own.low_c, own.high_c, own.months)

    def nights(self, nights: Nights) -> Bool | None:
        """Return the exempt nights, shape (night, 1 or case); None without any."""
        if not self.rest_months and not self.wanted_months:
            return None
        rest = _in_months(nights, self.rest_months)[:, None]
        season = _in_months(nights, self.wanted_months)[:, None]
        low = nights.lowest_c
        with np.errstate(invalid="ignore"):
            return np.asarray(
                rest | (season & (low >= self.low_c) & (low <= self.high_c))
            )

    def covers(self, month: int, lowest_c: float, *, north: bool) -> bool:
        """Whether one night of a month is exempt."""
        northern = month if north else (month + 5) % 12 + 1
        wanted = northern in self.wanted_months
        return northern in self.rest_months or (
            wanted and self.low_c <= lowest_c <= self.high_c
        )


@lru_cache(maxsize=1)
def windows() -> tuple[Window, ...]:
    """Return every window."""
    return tuple(_window(row) for row in _read()["window"])


def _window(row: dict[str, Any]) -> Window:
    fields: dict[str, Any] = {
        k: tuple(v) if isinstance(v, list) else v for k, v in row.items()
    }
    return Window(**fields)


def large_drop_k() -> tuple[float, float]:
    """Return the fall that is large for any plant, and the sudden one. [K]"""
    row = _read()["drop"]
    return float(row["large_k"]), float(row["sudden_k"])


@lru_cache(maxsize=1)
def _read() -> dict[str, Any]:
    file = resources.files("climrisk.advice").joinpath("data/wanted.toml")
    return tomllib.loads(file.read_text("utf-8"))


@dataclass(frozen=True)
class Earned:
    """Wanted nights of each winter that counts, up to each day of the growing year.

    Parameters
    ----------
    by_day : ndarray of int16, shape (winter, 365, member)
        Nights earned up to and including that evening.
    """

    by_day: NDArray[np.int16]

    @classmethod
    def of(cls, window: Window, nights: Nights, winters: Int) -> Earned:
        """Count the wanted nights of a record."""
        rows = np.isin(nights.growing_year, winters)
        winter = np.searchsorted(winters, nights.growing_year[rows])
        # One or, around a leap day, two nights of each day; they follow one another.
        day = 365 * winter + nights.day_of_season[rows]
        first = np.flatnonzero(np.diff(day, prepend=-1))
        counts = window.counts(nights)[rows]
        days = np.zeros((365 * len(winters), counts.shape[1]), dtype=np.int16)
        days[day[first]] = np.add.reduceat(counts, first, axis=0, dtype=np.int16)
        by_winter = days.reshape(len(winters), 365, -1)
        return cls(np.cumsum(by_winter, axis=1, dtype=np.int16))

    def before(self, day: int | None) -> NDArray[np.int16]:
        """Return the nights earned before an evening, shape (winter, member).

        Without a day, those of the whole season.
        """
        if day is None:
            return np.asarray(self.by_day[:, -1])
        if day <= 0:
            return np.zeros_like(self.by_day[:, 0])
        return np.asarray(self.by_day[:, min(day, 365) - 1])

    def share_with(self, needed: int, day: int | None) -> float:
        """Return the share of winters and members that earned so many before it."""
        return float((self.before(day) >= needed).mean())

    def day_with(self, needed: int, share: float) -> int | None:
        """Return the first evening on which a share of winters has earned so many."""
        reached = (self.by_day >= needed).mean(axis=(0, 2)) >= share - 1e-12
        days = np.flatnonzero(reached)
        return int(days[0]) + 1 if len(days) else None


def sudden_nights(nights: Nights, sudden_k: float) -> Bool:
    """Return nights much colder than the seven before, shape (night, case).

    A night counts only where at least five of the seven are known.
    """
    lowest = np.where(nights.valid, nights.lowest_c, np.nan)
    known = np.isfinite(lowest)
    total = np.cumsum(np.where(known, lowest, 0.0), axis=0)
    count = np.cumsum(known, axis=0)
    out = np.zeros(lowest.shape, dtype=bool)
    if len(lowest) <= 7:
        return out
    # The seven nights before night i are i-7 .. i-1.
    before = total[6:-1].copy()
    before[1:] -= total[:-8]
    amount = count[6:-1].copy()
    amount[1:] -= count[:-8]
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = before / amount
    out[7:] = (amount >= 5) & (lowest[7:] <= mean - sudden_k)
    return out
