"""Profiles as a result: all by name, or one in full with its sources."""

from __future__ import annotations

from pathlib import Path

from climrisk.commands.plants.result import PlantLine, PlantsResult
from climrisk.commands.shared.provenance import source_info
from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.core.version import __version__
from climrisk.home import Home, read_home
from climrisk.home.collection import collection_csv
from climrisk.plants import registry
from climrisk.plants.model import Profile


def collection(home: Path | None) -> str:
    """Return the plants of a home as CSV.

    Raises
    ------
    InputError
        No home.
    """
    if home is None:
        raise InputError(
            "a collection is that of a home",
            where=field("csv"),
            allowed=f"together with {field('home', 'FILE')}",
        )
    return collection_csv(read_home(home))


def plants(name: str | None = None, *, home: Path | None = None) -> PlantsResult:
    """Return all profiles by name, or one in full.

    Parameters
    ----------
    name : str, optional
        Name, synonym or trade name; with `home` what its keeper calls it, too.
    home : Path, optional
        A home file: without a name, only its plants are listed.

    Raises
    ------
    InputError
        An unknown or ambiguous name.
    """
    known_home = None if home is None else read_home(home)
    if name is None and known_home is not None:
        every = {plant.name: plant for _, plant in known_home.entries()}
        return PlantsResult(
            command="plants",
            version=__version__,
            plants=[_line(plant) for plant in every.values()],
            profile=None,
            sources=[],
        )
    if name is None:
        own = [
            PlantLine(name=p.name, label=p.label, names=list(p.synonyms), own=True)
            for p in registry.own_profiles()
        ]
        ours = [
            PlantLine(name=e.name, label=e.label, names=list(e.names), own=False)
            for e in registry.index()
        ]
        return PlantsResult(
            command="plants",
            version=__version__,
            plants=own + ours,
            profile=None,
            sources=[],
        )
    profile = registry.find(name) if known_home is None else _of_home(known_home, name)
    known = registry.sources()
    return PlantsResult(
        command="plants",
        version=__version__,
        plants=[
            _line(profile),
        ],
        profile=profile.model_dump(mode="json", exclude_none=True),
        sources=[
            source_info(key, known[key])
            for key in sorted(profile.source_keys)
            if key in known
        ],
    )


def _line(plant: Profile) -> PlantLine:
    return PlantLine(
        name=plant.name,
        label=plant.label,
        names=[*plant.synonyms, *plant.common_names],
        own=plant.own,
    )


def _of_home(home: Home, name: str) -> Profile:
    wanted = name.strip().lower()
    called = {p.called.lower(): p.name for p in home.plant}
    return home.profile(called.get(wanted, name))
