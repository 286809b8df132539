"""Commands called with their inputs by name, as the command line would."""

from __future__ import annotations

import importlib
from pathlib import Path
from typing import Any

from climrisk.commands.region import compute
from climrisk.commands.region.command import REPORT
from climrisk.commands.shared.parse import request_of
from climrisk.core.calendar import day_of
from climrisk.weather.selection import WeatherChoice


def _given(command: str, options: dict[str, Any]) -> Any:
    kind = importlib.import_module(f"climrisk.commands.{command}.command")
    inputs = kind.COMMAND.inputs
    several = {d.name for d in inputs.declared() if d.several}
    options = {k: tuple(v) if k in several else v for k, v in options.items()}
    if isinstance(options.get("home"), str):
        options["home"] = Path(options["home"])
    if isinstance(options.get("as_of"), str):
        options["as_of"] = day_of(options["as_of"])
    return inputs(**options)


def ask(command: str, weather: Any, function: str | None = None, **options: Any) -> Any:
    """Return the result of a command; `options` by the names of its inputs."""
    request = importlib.import_module(f"climrisk.commands.{command}.request")
    return getattr(request, function or command)(weather, _given(command, options))


def assess(plant: str, weather: Any, **options: Any) -> Any:
    return ask("assess", weather, plant=plant, **options)


def assess_open(plant: str, weather: Any, **options: Any) -> Any:
    return ask("assess", weather, "assess_or_ask", plant=plant, **options)


def arrive(plant: str, weather: Any, **options: Any) -> Any:
    return ask("arrive", weather, plant=plant, **options)


def remedies(plant: str, weather: Any, **options: Any) -> Any:
    return ask("remedies", weather, plant=plant, **options)


def rank_spots(plant: str, weather: Any, **options: Any) -> Any:
    return ask("spots", weather, "ranked", plant=plant, **options)


def winter(weather: Any, **options: Any) -> Any:
    return ask("winter", weather, **options)


def pots(weather: Any, **options: Any) -> Any:
    return ask("pots", weather, **options)


def calendar(weather: Any, plants: Any = (), **options: Any) -> Any:
    return ask("calendar", weather, plants=plants, **options)


def exposure(weather: Any, **options: Any) -> Any:
    return ask("exposure", weather, **options)


def tonight(weather: Any = None, plants: Any = (), now: Any = None, **options: Any):
    given = _given("tonight", {"plants": plants, **options})
    request = importlib.import_module("climrisk.commands.tonight.request")
    return request.tonight(weather or WeatherChoice(), given, now=now)


def event(weather: Any = None, plants: Any = (), **options: Any) -> Any:
    return ask("event", weather or WeatherChoice(), plants=plants, **options)


def review(weather: Any = None, plants: Any = (), **options: Any) -> Any:
    return ask("review", weather or WeatherChoice(), plants=plants, **options)


def question(plant: Any, *, today: Any, home: Any = None, pot: Any = None, **said: Any):
    """Return a request about a plant; `pot` holds inputs of the pot by name."""
    profile = None if isinstance(plant, str) else plant
    name = plant if profile is None else profile.name
    words = {"pot": pot} if isinstance(pot, str) else pot or {}
    given = _given("assess", {"plant": name, **words, **said})
    return request_of(given, home, today, plant=profile)


def region(source: Any, plants: Any, *, progress: Any = None, **said: Any) -> Any:
    """Return maps of a grid, as ``climrisk region``."""
    sources = [source] if isinstance(source, str | Path) else source
    said["source"] = tuple(map(Path, sources))
    said["at"] = tuple(
        a if isinstance(a, str) else ",".join(map(str, a)) for a in said.get("at", ())
    )
    if said.get("out") is not None:
        said["out"] = Path(said["out"])
    pot = said.pop("pot", None) or {}
    token = REPORT.set((progress, None))
    try:
        return compute.region(_given("region", {"plant": plants, **pot, **said}))
    finally:
        REPORT.reset(token)
