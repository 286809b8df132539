"""Which spots and plants a question about a home as it stands is about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.commands.shared.potted_plant import PottedPlant
from climrisk.core.defaults import DEFAULT_SPOT
from climrisk.core.errors import InputError
from climrisk.core.ranges import Band
from climrisk.core.references import field
from climrisk.exposure.toppling import Standing, falls
from climrisk.home import Home, HomePlant
from climrisk.home.model import references
from climrisk.plants.registry import find
from climrisk.spot.kinds import KINDS, SpotKind, spot_kind
from climrisk.weather.selection import WeatherChoice, zone_of
from climrisk.weather.series import Place

if TYPE_CHECKING:
    from climrisk.pot.model import FilledPot

#: Kinds that are shown where neither spots nor a home are named.
_USUAL = tuple(k for k in KINDS if k != "as-measured")


def places_of(home: Home | None, spot: Sequence[str]) -> list[NamedSpot]:
    """Return names and kinds of the spots asked about, with the home's rooms.

    Rooms stay, because plants are carried there.

    Raises
    ------
    InputError
        A spot that is neither of the home nor a kind.
    """
    if home is None:
        kinds = [spot_kind(name) for name in spot or _USUAL]
        return [NamedSpot.of(kind) for kind in kinds]
    if not spot:
        return [NamedSpot(p.name, p.as_kind) for p in home.places]
    out = {}
    for name in spot:
        if home.knows_spot(name):
            place = home.spot_named(name)
            out[place.name] = place.as_kind
        else:
            kind = _kind_or_names(name, home)
            out[kind.name] = kind
    for place in home.places:
        if place.as_kind.indoors:
            out.setdefault(place.name, place.as_kind)
    return [NamedSpot(*item) for item in out.items()]


def _kind_or_names(name: str, home: Home) -> SpotKind:
    """Return a kind; where there is none of that name, say what the home has."""
    try:
        return spot_kind(name)
    except InputError as error:
        own = ", ".join(p.name for p in home.places) or "none"
        raise InputError(
            "no such spot",
            where=field("spot"),
            value=name,
            allowed=f"of the home: {own}; or a kind: {error.allowed}",
            next_step=error.next_step,
        ) from error


def standing_at(
    home: Home | None,
    plants: Sequence[str],
    spot: Sequence[str],
    places: Sequence[NamedSpot],
    state: str,
    day: date,
) -> list[StandingPlant]:
    """Return the plants asked about where they stand on a day.

    Named ones stand where the home has them, else on the first spot; without names,
    all of the home that stand on a spot asked about. What was noted of plants carried
    in and out holds.
    """
    at = {place.name.lower(): place for place in places}
    rows = () if home is None else home.plant
    known = list(zip(rows, references(rows), strict=True))
    wanted = {places_of(home, [name])[0].name.lower() for name in spot}
    if not plants:
        return [
            _of_home(home, row, reference, at, day)
            for row, reference in known
            if home is not None and (not wanted or row.place_on(day).lower() in wanted)
        ]
    out = []
    for name in plants:
        found = _row_of(home, name) if home is not None and not spot else None
        if home is not None and found is not None:
            reference = next(ref for row, ref in known if row is found)
            out.append(_of_home(home, found, reference, at, day))
            continue
        plant = find(name) if home is None else home.profile(name)
        usual = at.get(DEFAULT_SPOT) if not spot else None
        where, kind = usual or places[0]
        out.append(StandingPlant(PottedPlant(plant, name, where, kind, state)))
    return out


def _row_of(home: Home, name: str) -> HomePlant | None:
    wanted = name.strip().lower()
    called = next((p for p in home.plant if p.called.lower() == wanted), None)
    if called is not None:
        return called
    profile = home.profile(name).name
    return next((p for p, plant in home.entries() if plant.name == profile), None)


def _of_home(
    home: Home, row: HomePlant, reference: str, at: dict[str, NamedSpot], day: date
) -> StandingPlant:
    where, kind = at[row.place_on(day).lower()]
    plant = home.profile(row.name)
    potted = PottedPlant(
        *(plant, row.called, where, kind, row.state, row.count, row.risk),
        inside=home.is_inside(row, day),
        row=reference,
    )
    room = home.room_of(row)
    return StandingPlant(
        *(potted, row.in_pot(), None if room == where else room),
        plant_height_cm=row.plant_height_cm,
        leaf_area_cm2=row.leaf_area_cm2,
    )


@dataclass(frozen=True)
class StandingPlant:
    """A plant where it stands, its pot and the room it can go to, where known."""

    potted: PottedPlant
    pot: FilledPot | None = None
    room: str | None = None
    plant_height_cm: float | None = None
    leaf_area_cm2: float | None = None

    def falls_at_m_s(self) -> Band:
        """Return the gusts at the plant that throw its pot; empty where it hangs."""
        if self.pot is None:
            return Band(None, None, None)
        stood = Standing(self.pot, self.plant_height_cm, self.leaf_area_cm2)
        if stood.hangs:
            return Band(None, None, None)
        return Band.of(falls(stood).at_m_s).rounded(1)


def specified_place(choice: WeatherChoice, home: Home | None) -> Place | None:
    """Return the home's place, told by options, home file, town or the demo."""
    at, town = choice.at, choice.town
    if home is not None and home.place is not None and at is None and town is None:
        at = home.place
    if at is not None:
        lat, lon, *height = at
        name = f"{lat:g}, {lon:g}"
        if home is not None and at == home.place:
            name = home.name
        zone = choice.zone or zone_of(lat, lon)
        return Place(name, lat, lon, height[0] if height else None, zone)
    if town is not None:
        from climrisk.weather.towns import find_town

        found = find_town(town)
        height_m = None if home is None else home.height_m
        return Place(
            found.name,
            found.latitude_deg,
            found.longitude_deg,
            height_m,
            choice.zone or found.zone,
        )
    if choice.demo:
        from climrisk.weather.synthetic import VELADRAG

        return replace(VELADRAG, zone=choice.zone or VELADRAG.zone)
    return None
