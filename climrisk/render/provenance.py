"""Where an answer comes from: question, files, weather, profiles and priors."""

from __future__ import annotations

from typing import Any

from climrisk.core.frozen import Frozen, MarkInfo


class SourceInfo(Frozen):
    """A source of a profile."""

    key: str
    publisher: str
    title: str
    year: str | None
    address: str | None


class UsedFile(Frozen):
    """A file that was read; folders and files beyond 100 MB have no checksum."""

    option: str
    path: str
    bytes: int | None
    sha256: str | None


class UsedRecord(Frozen):
    """A weather record or a station, how much of it is known, and what was flagged."""

    source: str
    credit: str
    first: str
    last: str
    hours_expected: int
    hours_known: int
    hours_modeled: int
    coverage_frac: float
    flagged: list[MarkInfo]


class UsedProfile(Frozen):
    """A plant profile, and the sources of its values."""

    name: str
    own: bool
    sources: list[SourceInfo]


class UsedPrior(Frozen):
    """What a kind of spot is expected to do to the weather, and on what basis.

    Each offset is a mean and a standard deviation; null where the kind has none.
    """

    spot: str
    basis: str
    sources: list[str]
    calibrated: bool
    still_winter_k: tuple[float, float] | None
    still_summer_k: tuple[float, float] | None
    windy_k: tuple[float, float] | None


class Provenance(Frozen):
    """What ``climrisk --repeat`` needs to give the answer again, and its sources.

    `arguments` are the options of the command line that were given, by their long
    names; null on the page, where the address is the question. `as_of` is the day that
    counted as today.
    """

    command: str
    arguments: dict[str, Any] | None
    as_of: str
    files: list[UsedFile]
    weather: list[UsedRecord]
    stations: list[UsedRecord]
    profiles: list[UsedProfile]
    priors: list[UsedPrior]
