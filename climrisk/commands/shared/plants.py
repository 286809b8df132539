"""The plants that are asked about: named one by one, or those of a home."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from climrisk.commands.shared.named_spots import HomePlaces, NamedSpot
from climrisk.commands.shared.potted_plant import PottedPlant
from climrisk.commands.shared.request import at_record
from climrisk.core import validation
from climrisk.core.defaults import DEFAULT_RISK
from climrisk.core.references import field
from climrisk.home import Home, demo_home, read_home
from climrisk.home.model import references
from climrisk.inputs.option import Inputs
from climrisk.plants.registry import find
from climrisk.spot.kinds import spot_kind
from climrisk.spot.site import Site, parse_site
from climrisk.weather.selection import WeatherChoice, located
from climrisk.weather.series import WeatherSeries


@dataclass(frozen=True)
class PlantsRequest:
    """What a command about several plants was asked.

    Parameters
    ----------
    name : str
        Of the home.
    plants : tuple of str
        Named one by one; empty for all of the home.
    home : Home or None
    spot : str or None
    state : str
    risk : float
    elevation_m : float or None
    site : Site or None
        Particulars of the spot of plants named one by one.
    own_risks : bool
        Whether plants of the home keep risks of their own.
    """

    name: str
    plants: tuple[str, ...]
    home: Home | None
    spot: str | None
    state: str
    risk: float
    elevation_m: float | None
    site: Site | None = None
    own_risks: bool = True

    def plants_at(
        self, weather: WeatherSeries, today: date | None = None
    ) -> list[PottedPlant]:
        """Return the plants as they are kept, and whether they are inside by now."""
        if self.home is not None and not self.plants:
            where = self.spot and self.home.spot_named(self.spot).name.lower()
            return [
                PottedPlant(
                    plant,
                    p.called,
                    self.home.spot_named(p.spot).name,
                    spot_of(p.spot, self.home, weather).kind,
                    p.state,
                    p.count,
                    p.risk if self.own_risks else None,
                    self.home.room_of(p),
                    p.in_pot(),
                    p.name,
                    p.moves,
                    None if today is None else self.home.is_inside(p, today),
                    reference,
                )
                for (p, plant), reference in zip(
                    self.home.entries(), references(self.home.plant), strict=True
                )
                if where in (None, p.spot.lower())
            ]
        at = spot_of(self.spot, self.home, weather, self.site)
        known = find if self.home is None else self.home.profile
        return [
            PottedPlant(known(p), p, at.name, at.kind, self.state, typed=p)
            for p in self.plants
        ]


def places_of(home: Home | None, *, indoors: bool) -> tuple[NamedSpot, ...]:
    """Return the rooms or the outdoor spots of a home; none without one."""
    places = () if home is None else home.places
    return tuple(
        NamedSpot(p.name, p.as_kind) for p in places if p.as_kind.indoors == indoors
    )


def home_places(home: Home | None, elevation_m: float | None) -> HomePlaces:
    """Return what of a home its answers depend on, at a height where one is known."""
    return HomePlaces(
        "home" if home is None else home.name,
        elevation_m,
        rooms=places_of(home, indoors=True),
        spots=places_of(home, indoors=False),
    )


def spot_of(
    spot: str | None,
    home: Home | None,
    weather: WeatherSeries,
    site: Site | None = None,
) -> NamedSpot:
    """Return a spot of the home, a kind, or the usual one.

    It is where the record was measured, if that was at a spot at all.
    """
    named = None if spot is None else spot_named(spot, home)
    spots = 0 if home is None else len(home.spot)
    kind = at_record(None if named is None else named.kind, weather, spots)
    return NamedSpot(kind.name if named is None else named.name, kind.with_site(site))


def spot_named(spot: str, home: Home | None) -> NamedSpot:
    """Return a spot of the home, or a kind under its own name."""
    if home is not None and home.knows_spot(spot):
        place = home.spot_named(spot)
        return NamedSpot(place.name, place.as_kind)
    return NamedSpot.of(
        spot_kind(spot, also=[] if home is None else [p.name for p in home.places])
    )


def home_and_choice(
    choice: WeatherChoice, home_file: Path | None
) -> tuple[Home | None, WeatherChoice]:
    """Return the home, if any, and the weather: options go before the home file."""
    named = choice.file or choice.town or choice.at or choice.station
    if home_file is None:
        return (demo_home() if choice.demo else None), choice
    home = read_home(home_file)
    if choice.demo or named:
        return home, choice
    return home, home.choice(home_file.resolve().parent, choice)


def place_choice(choice: WeatherChoice, home_file: Path | None) -> WeatherChoice:
    """Return a choice whose place is the home's, where no option names one."""
    if home_file is None or choice.station or choice.at or choice.town:
        return choice
    home, of_home = home_and_choice(choice, home_file)
    if home is not None and home.place is not None and not of_home.station:
        return replace(of_home, at=home.place, town=None)
    return of_home


def record_choice(
    choice: WeatherChoice, path: Path | None, home_file: Path | None
) -> WeatherChoice:
    """Return the choice of a logger's file: the one named, else that of the home."""
    if path is not None:
        choice = located(replace(choice, file=path))
    if home_file is None:
        return choice
    home, of_home = home_and_choice(replace(choice, file=None), home_file)
    place = home.place if home is not None else None
    return replace(
        of_home, file=choice.file or of_home.file, at=choice.at or of_home.at or place
    )


def plants_request(
    home: Home | None,
    plants: Sequence[str],
    *,
    spot: str | None = None,
    state: str | None = None,
    risk: float | None = None,
    elevation_m: float | None = None,
    site: Sequence[str] = (),
) -> PlantsRequest:
    """Return what was asked, every name in it checked before weather is read."""
    for plant in plants:
        (find if home is None else home.profile)(plant)
    if spot is not None and home is None:
        spot_kind(spot)
    usual = DEFAULT_RISK if home is None else home.risk
    share = validation.risk(usual if risk is None else risk, where=field("risk"))
    if elevation_m is not None:
        validation.elevation(elevation_m, where=field("elevation"))
    elif home is not None:
        elevation_m = home.height_m
    return PlantsRequest(
        "home" if home is None else home.name,
        tuple(plants),
        home,
        spot,
        state or "established",
        share,
        elevation_m,
        parse_site(site) if site else None,
        own_risks=risk is None,
    )


def height_of(given: Inputs, home: Home | None) -> float | None:
    """Return the height of the home: as given, else that of a home file. [m]"""
    said = vars(given)
    height: float | None = said["elevation"]
    if height is not None:
        return validation.elevation(height, where=field("elevation"))
    return home.height_m if home is not None and said["home"] is not None else None
