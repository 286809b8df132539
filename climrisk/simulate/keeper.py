"""What a keeper asks about a home as it stands: tonight, after the cold, the year."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from climrisk.home import Home, HomePlant
from climrisk.plants.registry import find
from climrisk.simulate.ask import plant_state
from climrisk.simulate.asked import DEFAULT_SPOT
from climrisk.simulate.calendar import Kept
from climrisk.simulate.kept import home_and_choice
from climrisk.simulate.tonight import Standing
from climrisk.simulate.tonight import tonight as _tonight
from climrisk.spot.kinds import KINDS, SpotKind, spot_kind
from climrisk.weather.choose import WeatherChoice

if TYPE_CHECKING:
    from climrisk.result.tonight import TonightResult

#: Kinds that are shown where neither spots nor a home are named.
_USUAL = tuple(k for k in KINDS if k != "as-measured")


def tonight(
    weather: WeatherChoice | None = None,
    plants: Sequence[str] = (),
    *,
    words: str | None = None,
    spot: Sequence[str] = (),
    state: str | None = None,
    home: str | Path | None = None,
    now: datetime | None = None,
) -> TonightResult:
    """Return what to carry, cover or leave before the coming night.

    Parameters
    ----------
    weather : WeatherChoice, optional
        Where the home is, and with ``as_of`` which evening; ``--demo`` takes the
        invented weather.
    plants : sequence of str
        Without any, those of the home.
    words : str, optional
        A typed forecast, such as ``"4, wind 6 km/h, clear"``; nothing is fetched.
    spot : sequence of str
        Kinds, or spots of the home; without any, those of the home.
    state : str, optional
    home : str or Path, optional
    now : datetime, optional
        The moment asked at, aware; the clock's where not given.

    Raises
    ------
    InputError
        Words, names or a place that are not understood.
    WeatherUnavailable
        The forecast could not be had; an old one is never shown instead.
    """
    from climrisk.simulate.evening import fetched_evening, typed_evening

    path = None if home is None else Path(home)
    own, choice = home_and_choice(weather or WeatherChoice(), path)
    known_state = plant_state(state)
    places = places_of(own, spot)
    standing = standing_at(own, plants, spot, places, known_state)
    moment = now or datetime.now(UTC)
    if words is not None:
        evening = typed_evening(words, choice, own, moment)
    else:
        evening = fetched_evening(choice, own, moment)
    return _tonight(evening, places, standing, home="home" if own is None else own.name)


def places_of(home: Home | None, spot: Sequence[str]) -> list[tuple[str, SpotKind]]:
    """Return names and kinds of the spots asked about, with the home's rooms.

    Rooms stay, because plants are carried there.

    Raises
    ------
    InputError
        A spot that is neither of the home nor a kind.
    """
    if home is None:
        kinds = [spot_kind(name) for name in spot or _USUAL]
        return [(kind.name, kind) for kind in kinds]
    if not spot:
        return [(p.name, p.as_kind) for p in home.places]
    out = {}
    for name in spot:
        if home.knows_spot(name):
            place = home.spot_named(name)
            out[place.name] = place.as_kind
        else:
            kind = spot_kind(name)
            out[kind.name] = kind
    for place in home.places:
        if place.as_kind.indoors:
            out.setdefault(place.name, place.as_kind)
    return list(out.items())


def standing_at(
    home: Home | None,
    plants: Sequence[str],
    spot: Sequence[str],
    places: Sequence[tuple[str, SpotKind]],
    state: str,
) -> list[Standing]:
    """Return the plants asked about where they stand.

    Named ones stand where the home has them, else on the first spot; without names,
    all of the home that stand on a spot asked about.
    """
    at = {name.lower(): (name, kind) for name, kind in places}
    asked = {places_of(home, [name])[0][0].lower() for name in spot}
    if not plants:
        rows = () if home is None else home.plant
        mine = [r for r in rows if not asked or r.spot.lower() in asked]
        return [_of_home(home, r, at) for r in mine if home is not None]
    out = []
    for name in plants:
        found = _row_of(home, name) if home is not None and not spot else None
        if home is not None and found is not None:
            out.append(_of_home(home, found, at))
            continue
        plant = find(name) if home is None else home.profile(name)
        usual = at.get(DEFAULT_SPOT) if not spot else None
        where, kind = usual or places[0]
        out.append(Standing(Kept(plant, name, where, kind, state)))
    return out


def _row_of(home: Home, name: str) -> HomePlant | None:
    wanted = name.strip().lower()
    called = next((p for p in home.plant if p.called.lower() == wanted), None)
    if called is not None:
        return called
    profile = home.profile(name).name
    return next((p for p, plant in home.entries() if plant.name == profile), None)


def _of_home(
    home: Home, row: HomePlant, at: dict[str, tuple[str, SpotKind]]
) -> Standing:
    where, kind = at[row.spot.lower()]
    plant = home.profile(row.name)
    kept = Kept(plant, row.called, where, kind, row.state, row.count, row.risk)
    return Standing(kept, row.in_pot(), home.room_of(row))


def today_of(choice: WeatherChoice, as_of: date | None) -> date:
    """Return the day that counts as today."""
    return choice.today if as_of is None else as_of
