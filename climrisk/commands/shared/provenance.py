"""The provenance of an answer, from what was looked up for it."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from climrisk.commands.shared.weather_info import mark_info
from climrisk.core.lookups import Notes
from climrisk.plants.registry import sources
from climrisk.render.document import WeatherInfo
from climrisk.render.provenance import (
    Provenance,
    SourceInfo,
    UsedFile,
    UsedPrior,
    UsedProfile,
    UsedRecord,
)

if TYPE_CHECKING:
    from climrisk.plants.model import Profile
    from climrisk.spot.kinds import SpotKind
    from climrisk.weather.stations.station import StationUsed

_MOST_HASHED = 100_000_000


def provenance(
    command: str,
    notes: Notes,
    *,
    today: date,
    arguments: Mapping[str, Any] | None = None,
    files: Mapping[str, Path] | None = None,
) -> Provenance:
    """Return where the answer of a command comes from.

    Parameters
    ----------
    command : str
    notes : Notes
        What was looked up while it ran.
    today : date
        The day that counted as today.
    arguments : dict, optional
        By the long names of the options.
    files : dict of str to Path, optional
        What was read, by where it was named.
    """
    return Provenance(
        command=command,
        arguments=None if arguments is None else dict(arguments),
        as_of=today.isoformat(),
        files=[used_file(option, path) for option, path in (files or {}).items()],
        weather=[_weather(cast("WeatherInfo", w)) for w in _sorted(notes["weather"])],
        stations=[_station(cast("StationUsed", s)) for s in _sorted(notes["station"])],
        profiles=[_profile(cast("Profile", p)) for p in _sorted(notes["profile"])],
        priors=[_prior(cast("SpotKind", k)) for k in _sorted(notes["spot"])],
    )


def day_counted(notes: Notes, today: date) -> date:
    """Return the day that counted: the evening that was told of, else today."""
    evening = notes["day"].get("evening", today)
    return cast("date", evening)


def _sorted(noted: dict[str, object]) -> list[object]:
    return [noted[name] for name in sorted(noted)]


def used_file(option: str, path: Path) -> UsedFile:
    """Return a file as it is now."""
    size, seal = None, None
    if path.is_file():
        size = path.stat().st_size
        if size <= _MOST_HASHED:
            seal = hashlib.sha256(path.read_bytes()).hexdigest()
    return UsedFile(option=option, path=str(path), bytes=size, sha256=seal)


def _weather(one: WeatherInfo) -> UsedRecord:
    return UsedRecord(
        source=one.source,
        credit=one.credit,
        first=one.first,
        last=one.last,
        hours_expected=one.hours_expected,
        hours_known=one.hours_known,
        hours_modeled=one.hours_modeled,
        coverage_frac=one.coverage_frac,
        flagged=one.marks,
    )


def _station(one: StationUsed) -> UsedRecord:
    return UsedRecord(
        source=one.label,
        credit=one.credit,
        first=one.first,
        last=one.last,
        hours_expected=one.hours_expected,
        hours_known=one.hours_known,
        hours_modeled=one.hours_modeled,
        coverage_frac=round(one.hours_known / one.hours_expected, 4),
        flagged=mark_info(one.marks),
    )


def _profile(plant: Profile) -> UsedProfile:
    known = sources()
    return UsedProfile(
        name=plant.name,
        own=plant.own,
        sources=[
            source_info(key, known[key])
            for key in sorted(plant.source_keys)
            if key in known
        ],
    )


def source_info(key: str, source: Any) -> SourceInfo:
    """Return a source of a profile as documents name it."""
    return SourceInfo(
        key=key,
        publisher=source.publisher,
        title=source.title,
        year=source.year,
        address=source.address,
    )


def _prior(kind: SpotKind) -> UsedPrior:
    return UsedPrior(
        spot=kind.name,
        basis=kind.basis,
        sources=list(kind.source_texts),
        calibrated=kind.learned is not None,
        still_winter_k=kind.still_winter,
        still_summer_k=kind.still_summer,
        windy_k=kind.windy,
    )
