"""Profiles as a result: all by name, or one in full with its sources."""

from __future__ import annotations

from climrisk import __version__
from climrisk.plants import registry
from climrisk.result.plants import PlantLine, PlantsResult, SourceInfo


def plants(name: str | None = None) -> PlantsResult:
    """Return all profiles by name, or one in full.

    Parameters
    ----------
    name : str, optional
        Name, synonym or trade name.

    Raises
    ------
    InputError
        An unknown or ambiguous name.
    """
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
    profile = registry.find(name)
    known = registry.sources()
    return PlantsResult(
        command="plants",
        version=__version__,
        plants=[
            PlantLine(
                name=profile.name,
                label=profile.label,
                names=[*profile.synonyms, *profile.common_names],
                own=profile.own,
            )
        ],
        profile=profile.model_dump(mode="json", exclude_none=True),
        sources=[
            SourceInfo(
                key=key,
                publisher=known[key].publisher,
                title=known[key].title,
                year=known[key].year,
                address=known[key].address,
            )
            for key in sorted(profile.source_keys)
            if key in known
        ],
    )
