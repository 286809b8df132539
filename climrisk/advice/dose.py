"""How much cold was met, laid beside what growers and experiments report.

Cold does harm by temperature, by its length, and by its nights in a row. The reports in
``data/dose.toml`` say what was seen after some such dose. A plant that met at least as
much as a report of harm has met enough to worry; one that met no more than a report of
plants that endured it has met a dose that others came through. Between the two nobody
has reported, and where both hold the sources disagree. None of it promises anything: a
report is of other plants, in other hands.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.plants.model import Profile
from climrisk.plants.registry import slug

Grade = Literal["within", "endured", "open", "conflict", "effect", "harm", "unknown"]
Outcome = Literal["endured", "effect", "harm"]

#: What each grade says, in the order of concern.
WORDS: dict[Grade, str] = {
    "within": "never below the night minimum it is advised",
    "endured": "below its advised minimum, and no more than others are reported to "
    "have come through",
    "open": "below its advised minimum, a dose that no report reaches",
    "conflict": "reports disagree: some saw harm at this dose, others none",
    "effect": "as much as is reported to slow the plant without a mark",
    "harm": "as much as is reported to have done harm",
    "unknown": "what was met is not known well enough",
}


@dataclass(frozen=True)
class Report:
    """What a source saw after some cold.

    Parameters
    ----------
    plants : tuple of str
        File names of profiles, or ``family NAME``.
    outcome : {"endured", "effect", "harm"}
    at_or_below_c : float
    hours : float or None
        In one stretch, or in each of `nights`; None where the source does not say.
    nights : int or None
        Nights in a row.
    when : str or None
        The plant state it is about.
    told : str
        In our words.
    sources : tuple of str
    basis : str
    """

    plants: tuple[str, ...]
    outcome: Outcome
    at_or_below_c: float
    told: str
    sources: tuple[str, ...]
    basis: str
    hours: float | None = None
    nights: int | None = None
    when: str | None = None


@dataclass(frozen=True)
class Signs:
    """Days after the cold within which marks were seen."""

    plants: tuple[str, ...]
    first_d: float
    last_d: float
    told: str
    sources: tuple[str, ...]
    basis: str


@dataclass(frozen=True)
class Met:
    """Cold as it was met: an hourly record, or the few numbers somebody remembers.

    Parameters
    ----------
    lowest_c : float
    air_c : ndarray, shape (time,), optional
        Hour by hour; NaN where unknown.
    below_c, hours : float, optional
        So many hours below this temperature, in one stretch, where that is all that is
        known.
    """

    lowest_c: float
    air_c: NDArray[np.floating] | None = None
    below_c: float | None = None
    hours: float | None = None

    @classmethod
    def of(cls, air_c: NDArray[np.floating]) -> Met:
        """Return what an hourly record holds, shape (time,). [°C]"""
        known = air_c[np.isfinite(air_c)]
        lowest = float(known.min()) if known.size else float("nan")
        return cls(lowest, air_c=np.asarray(air_c))

    def stretch_h(self, limit_c: float) -> tuple[float, float]:
        """Return the longest stretch at or below a temperature, least and most. [h]

        An unknown hour ends a stretch for the least and joins it for the most. From
        remembered numbers, one hour is the least where the lowest reaches the limit.
        """
        if self.air_c is not None:
            cold = self.air_c <= limit_c
            unknown = np.isnan(self.air_c)
            return float(_longest(cold)), float(_longest(cold | unknown))
        if self.lowest_c > limit_c:
            return 0.0, 0.0
        if self.hours is None or self.below_c is None:
            return 1.0, float("inf")
        if limit_c >= self.below_c:
            return self.hours, (self.hours if limit_c == self.below_c else float("inf"))
        return min(1.0, self.hours), self.hours

    def nights_in_a_row(self, limit_c: float, hours: float) -> tuple[int, int]:
        """Return the most 24-hour days in a row with so many cold hours: least, most.

        Days are counted from the first hour; start an hourly record at noon.
        """
        if self.air_c is None:
            least, most = self.stretch_h(limit_c)
            return int(least >= hours), int(most >= hours)
        count = -(-len(self.air_c) // 24)
        padded = np.full(24 * count, np.inf)
        padded[: len(self.air_c)] = self.air_c
        days = padded.reshape(count, 24)
        cold = (days <= limit_c).sum(axis=1)
        unknown = np.isnan(days).sum(axis=1)
        return _longest(cold >= hours), _longest(cold + unknown >= hours)


@dataclass(frozen=True)
class Dose:
    """A graded dose with the reports that it was graded by.

    Parameters
    ----------
    grade : str
        A key of `WORDS`.
    words : str
    reports : tuple of Report
        Those that the dose reaches (harm, effect) or that cover it (endured).
    """

    grade: Grade
    words: str
    reports: tuple[Report, ...]


def graded(
    plant: Profile, met: Met, preferred_c: float | None, state: str = "established"
) -> Dose:
    """Return the grade of a dose for a plant.

    Parameters
    ----------
    plant : Profile
    met : Met
    preferred_c : float or None
        The night minimum it is advised. [°C]
    state : str
        ``established in-spike unrooted new-import``; unrooted and new plants have no
        reports of their own, so that none of what others endured is held for them.
    """
    if np.isnan(met.lowest_c):
        return Dose("unknown", WORDS["unknown"], ())
    if preferred_c is not None and met.lowest_c >= preferred_c:
        return Dose("within", WORDS["within"], ())
    mine = [r for r in reports_of(plant) if r.when in (None, state)]
    tender = state in ("unrooted", "new-import", "in-spike")
    harm = tuple(r for r in mine if r.outcome == "harm" and reached(r, met))
    effect = tuple(r for r in mine if r.outcome == "effect" and reached(r, met))
    endured = tuple(
        r
        for r in mine
        if r.outcome == "endured" and not tender and covered(r, met, preferred_c)
    )
    grade: Grade = "open"
    if harm:
        grade = "conflict" if endured else "harm"
    elif effect:
        grade = "effect"
    elif endured:
        grade = "endured"
    return Dose(grade, WORDS[grade], (*harm, *effect, *endured))


def reached(report: Report, met: Met) -> bool:
    """Whether at least as much cold was surely met as a report speaks of.

    Where the source does not say how long, an hour at its temperature reaches it.
    """
    if report.nights is not None:
        least, _ = met.nights_in_a_row(report.at_or_below_c, report.hours or 1.0)
        return least >= report.nights
    return met.stretch_h(report.at_or_below_c)[0] >= (report.hours or 1.0)


def covered(report: Report, met: Met, preferred_c: float | None) -> bool:
    """Whether no more was met than a report of plants that endured it speaks of.

    All the time below the advised minimum counts as if at the lowest temperature, and
    where the source does not say how long, no more than a night of it is covered.
    """
    if met.lowest_c < report.at_or_below_c:
        return False
    limit = met.lowest_c if preferred_c is None else np.nextafter(preferred_c, -np.inf)
    if report.nights is not None:
        _, longest = met.stretch_h(float(limit))
        return longest <= 24 * report.nights
    _, longest = met.stretch_h(float(limit))
    return longest <= (UNSAID_HOURS if report.hours is None else report.hours)


#: What "endured" without a length is taken to cover: one long night (our estimate).
UNSAID_HOURS = 14.0


def reports_of(plant: Profile) -> tuple[Report, ...]:
    """Return the reports about a plant, its own before those of its family."""
    return tuple(r for r in reports() if _about(r.plants, plant))


def signs_of(plant: Profile) -> tuple[Signs, ...]:
    """Return when marks were seen after the cold, for a plant or its family."""
    return tuple(s for s in _read()[1] if _about(s.plants, plant))


def reports() -> tuple[Report, ...]:
    """Return every report."""
    return _read()[0]


def _about(plants: tuple[str, ...], plant: Profile) -> bool:
    return slug(plant.name) in plants or f"family {plant.family}" in plants


@lru_cache(maxsize=1)
def _read() -> tuple[tuple[Report, ...], tuple[Signs, ...]]:
    file = resources.files("climrisk.advice").joinpath("data/dose.toml")
    data = tomllib.loads(file.read_text("utf-8"))
    return (
        tuple(Report(**_tuples(row)) for row in data["report"]),
        tuple(Signs(**_tuples(row)) for row in data["signs"]),
    )


def _tuples(row: dict[str, Any]) -> dict[str, Any]:
    return {k: tuple(v) if isinstance(v, list) else v for k, v in row.items()}


def _longest(flags: NDArray[np.bool_]) -> int:
    """Return the longest run of true."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(np.int8), [0]])))
    return int((edges[1::2] - edges[::2]).max(initial=0))
