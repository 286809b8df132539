"""Cold doses graded by what growers and experiments report.

Cold does harm by its temperature, its length, and its nights in a row. The reports in
``data/dose.toml`` say what was seen after some such dose. A dose that is at least as
large as a report of harm is graded by it; one that is no larger than a report of plants
that came through is graded by that; where both hold, the sources disagree. Between the
two, nobody reports. A report is of other plants, in other hands: no grade promises
anything, and a larger dose never gets a milder one.
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

Grade = Literal[
    "within", "endured", "effect", "open", "conflict", "beyond", "harm", "unknown"
]
Outcome = Literal["endured", "effect", "harm"]

#: What each grade says. A larger dose never moves up in this list ("unknown" apart).
WORDS: dict[Grade, str] = {
    "within": "never below the night minimum it prefers",
    "endured": "colder than it should be, but no more than others are reported to "
    "have come through",
    "effect": "enough to slow growth; no lasting damage reported",
    "open": "colder or longer than it should be; no report says what follows, so watch "
    "it",
    "conflict": "reports disagree: some saw damage after this much, others none",
    "beyond": "colder or longer than any report we know: expect damage",
    "harm": "as much as is reported to have done harm: expect damage",
    "unknown": "the temperatures are not known well enough",
}
#: The grades in the order of concern, the worst first.
CONCERN: tuple[Grade, ...] = (*reversed([g for g in WORDS if g != "unknown"]),)
#: An unbroken stretch below the preferred minimum from which a dose that no report
#: covers counts as longer than any report (our estimate: a week). [h]
LONG_HOURS = 168.0


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
    wording : str
        In our words.
    sources : tuple of str
    basis : str
    """

    plants: tuple[str, ...]
    outcome: Outcome
    at_or_below_c: float
    wording: str
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
    wording: str
    sources: tuple[str, ...]
    basis: str


@dataclass(frozen=True)
class Met:
    """A cold dose: an hourly record, or the few numbers somebody remembers.

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
class GradedDose:
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
    plant: Profile,
    met: Met,
    preferred_c: float | None,
    state: str = "established",
    tolerated_c: float | None = None,
) -> GradedDose:
    """Return the grade of a dose for a plant.

    A dose beyond every report is graded "beyond" where it is colder than a single night
    may be, or an unbroken week or more below the preferred minimum, and "open" where it
    is neither.

    Parameters
    ----------
    plant : Profile
    met : Met
    preferred_c : float or None
        Night minimum it prefers. [°C]
    state : str
        ``established in-spike unrooted new-import``; unrooted and new plants have no
        reports of their own, so that what others came through does not cover them.
    tolerated_c : float, optional
        Lowest a single night may reach; that of the profile if not given. [°C]
    """
    if np.isnan(met.lowest_c):
        return GradedDose("unknown", WORDS["unknown"], ())
    if preferred_c is not None and met.lowest_c >= preferred_c:
        return GradedDose("within", WORDS["within"], ())
    if tolerated_c is None:
        row = plant.limit("tolerated")
        tolerated_c = 0.0 if row is None else row.value
    mine = [r for r in reports_of(plant) if r.when in (None, state)]
    tender = state in ("unrooted", "new-import", "in-spike")

    def among(outcome: Outcome, *, larger: bool) -> tuple[Report, ...]:
        if not larger and tender:
            return ()
        return tuple(
            r
            for r in mine
            if r.outcome == outcome
            and (reached(r, met) if larger else covered(r, met, preferred_c))
        )

    harm, effect = among("harm", larger=True), among("effect", larger=True)
    endured, slowed = among("endured", larger=False), among("effect", larger=False)
    grade: Grade
    if harm:
        grade = "conflict" if endured or slowed else "harm"
    elif endured or slowed:
        grade = "effect" if effect or not endured else "endured"
    elif met.lowest_c < tolerated_c or _long(met, preferred_c):
        grade = "beyond"
    else:
        grade = "open"
    reports = dict.fromkeys((*harm, *effect, *slowed, *endured))
    return GradedDose(grade, WORDS[grade], tuple(reports))


def _long(met: Met, preferred_c: float | None) -> bool:
    """Whether the cold is known to have lasted a week or more without a break."""
    if preferred_c is None:
        return False
    below = float(np.nextafter(preferred_c, -np.inf))
    return met.stretch_h(below)[0] >= LONG_HOURS


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
