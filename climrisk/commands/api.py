"""What commands, page and Python call alike: plain words in, a frozen result out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from climrisk.commands.assess.compute import assess as _assess
from climrisk.commands.calendar.compute import DEFAULT_TRIPS
from climrisk.commands.calendar.compute import calendar as _calendar
from climrisk.commands.exposure.compute import exposure as _exposure
from climrisk.commands.pots.compute import USUAL_MEDIA, USUAL_POTS
from climrisk.commands.pots.compute import pots as _pots
from climrisk.commands.shared.parse import (
    checked_spring,
    plant_state,
    pot_setup,
    pot_wetness,
    question_of,
)
from climrisk.commands.shared.plants import (
    home_and_choice,
    kept_plants,
    places_of,
    spot_of,
)
from climrisk.commands.shared.request import DEFAULT_MEMBERS
from climrisk.commands.winter.compute import USUAL_THRESHOLDS
from climrisk.commands.winter.compute import winter as _winter
from climrisk.core.errors import InputError
from climrisk.exposure.toppling import checked_plant
from climrisk.plants.registry import find
from climrisk.pot.model import REFERENCE_CM, Pot
from climrisk.spot.site import parse_site
from climrisk.weather.selection import WeatherChoice, load_weather, parse_at
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    from climrisk.commands.assess.result import AssessResult
    from climrisk.commands.calendar.result import CalendarResult
    from climrisk.commands.exposure.result import ExposureResult
    from climrisk.commands.pots.result import PotsResult
    from climrisk.commands.winter.result import WinterResult
    from climrisk.home import Home
    from climrisk.plants.model import Profile

Weather = WeatherChoice | WeatherSeries


def weather(
    *,
    file: str | Path | None = None,
    at: str | tuple[float, ...] | None = None,
    first: str | date | None = None,
    last: str | date | None = None,
    as_of: str | date | None = None,
    **options: Any,
) -> WeatherSeries:
    """Return hourly weather chosen as on the command line.

    Parameters
    ----------
    file : str or Path, optional
        A logger table, EPW or TMY file.
    at : str or (lat, lon) or (lat, lon, elevation), optional
    first, last, as_of : date or ``YYYY-MM-DD``, optional
    options
        The other fields of `climrisk.weather.selection.WeatherChoice`: ``demo town
        station years zone temperature_unit date_order clock measured_at``.

    Raises
    ------
    InputError
        What is wrong with the choice or the file, in one line.
    WeatherUnavailable
        Weather could not be downloaded.
    """
    return load_weather(
        WeatherChoice(
            file=None if file is None else Path(file),
            at=parse_at(at) if isinstance(at, str) else at,
            first=_day(first),
            last=_day(last),
            as_of=_day(as_of),
            **options,
        )
    )


def _day(value: str | date | None) -> date | None:
    if not isinstance(value, str):
        return value
    try:
        return date.fromisoformat(value)
    except ValueError as error:
        raise InputError("not a date", value=value, allowed="YYYY-MM-DD") from error


def home_of(
    given: Weather, home: str | Path | None
) -> tuple[Home | None, WeatherChoice, Weather]:
    """Return the home, the choice with its today, and where the hours come from."""
    path = None if home is None else Path(home)
    if isinstance(given, WeatherSeries):
        own, choice = home_and_choice(WeatherChoice(), path)
        return own, choice, given
    own, choice = home_and_choice(given, path)
    return own, choice, choice


def _profile(plant: str | None, own: Home | None) -> Profile | None:
    if plant is None:
        return None
    return find(plant) if own is None else own.profile(plant)


def hours_of(source: Weather) -> WeatherSeries:
    """Return the hours of a weather, chosen or at hand."""
    return source if isinstance(source, WeatherSeries) else load_weather(source)


def today_of(choice: WeatherChoice, as_of: date | str | None) -> date:
    """Return the day that counts as today."""
    return choice.today if as_of is None else replace(choice, as_of=_day(as_of)).today


def exposure(
    weather: Weather, *, home: str | Path | None = None, **thresholds: Any
) -> ExposureResult:
    """Return hours beyond thresholds of the record as it is.

    Parameters
    ----------
    weather : WeatherSeries or WeatherChoice
    home : str or Path, optional
        A home file whose weather is used.
    thresholds
        As `climrisk.commands.exposure.compute.exposure`: ``below above humidity_below
        vpd_above wind_above inclusive``; the usual ones below where none is given.
    """
    _, _, source = home_of(weather, home)
    if not any(thresholds.values()):
        thresholds = {**thresholds, "below": USUAL_THRESHOLDS}
    return _exposure(hours_of(source), **thresholds)


def assess(
    plant: str,
    weather: Weather,
    *,
    spot: str | None = None,
    site: Sequence[str] = (),
    pot: str | None = None,
    pot_diameter: float | None = None,
    medium: str | None = None,
    wetness: str | None = None,
    crocking: str | None = None,
    top_dressing: str | None = None,
    stands_on: str | None = None,
    watered_every: float | None = None,
    pot_color: str | None = None,
    plant_height: float | None = None,
    leaf_area: float | None = None,
    state: str | None = None,
    risk: float | None = None,
    spring_risk: float | None = None,
    members: int = DEFAULT_MEMBERS,
    setup: str | None = None,
    elevation: float | None = None,
    preferred: float | None = None,
    tolerated: float | None = None,
    hot_limit: float | None = None,
    limit_source: str | None = None,
    strict: bool = False,
    home: str | Path | None = None,
    as_of: str | date | None = None,
) -> AssessResult:
    """Return what a spot would do to a plant, before buying.

    Parameters
    ----------
    plant : str
        Name, synonym or trade name; or what its keeper calls it in the home file.
    weather : WeatherSeries or WeatherChoice
    spot, site, pot, pot_diameter, medium, wetness, state, risk, spring_risk : optional
    members, setup
        As the options of ``climrisk assess``; diameter in cm.
    elevation : float, optional
        Of the home. [m]
    crocking, top_dressing : str, optional
        Thickness in cm and a medium, such as ``"2 grit"``.
    stands_on : {"floor", "bench", "feet"}, optional
    watered_every : float, optional
        Days between waterings, with the full set-up.
    pot_color : str, optional
    plant_height, leaf_area : float, optional
        Above the rim in cm, and one-sided in cm², for the wind; as usual for the pot
        where not given.
    preferred, tolerated, hot_limit : float, optional
        Limits of your own, in place of the profile's or for a plant without one. [°C]
    limit_source : str, optional
        Where they were read; needed with any of them.
    strict : bool
        Treat every night below the preferred minimum as harmful.
    home : str or Path, optional
    as_of : date or ``YYYY-MM-DD``, optional
        The day that counts as today.
    """
    own, choice, source = home_of(weather, home)
    asked = question_of(
        plant,
        own if home is not None else None,
        today_of(choice, as_of),
        spot=spot,
        site=site,
        pot=pot,
        pot_diameter=pot_diameter,
        medium=medium,
        wetness=wetness,
        crocking=crocking,
        top_dressing=top_dressing,
        stands_on=stands_on,
        watered_every=watered_every,
        pot_color=pot_color,
        plant_height=plant_height,
        leaf_area=leaf_area,
        state=state,
        risk=risk,
        spring_risk=spring_risk,
        members=members,
        setup=setup,
        elevation=elevation,
        preferred=preferred,
        tolerated=tolerated,
        hot_limit=hot_limit,
        limit_source=limit_source,
        strict=strict,
    )
    return _assess(hours_of(source), asked)


def winter(
    weather: Weather,
    *,
    plant: str | None = None,
    spot: str | None = None,
    site: Sequence[str] = (),
    below: Sequence[float] = (),
    shown: str | None = None,
    state: str | None = None,
    members: int = DEFAULT_MEMBERS,
    elevation: float | None = None,
    home: str | Path | None = None,
) -> WinterResult:
    """Return the winter exposure of a spot.

    Parameters
    ----------
    weather : WeatherSeries or WeatherChoice
    plant, spot, site, below, shown, state, members, elevation, home
        As the options of ``climrisk winter``; `shown` is ``--winter``.
    """
    own, _, source = home_of(weather, home)
    profile = _profile(plant, own)
    known_state = plant_state(state)
    hours = hours_of(source)
    name, kind = spot_of(spot, own, hours, parse_site(site) if site else None)
    if elevation is None and own is not None and home is not None:
        elevation = own.height_m
    return _winter(
        hours,
        kind,
        spot=name,
        plant=profile,
        state=known_state,
        below=below,
        shown=shown,
        elevation_m=elevation,
        members=members,
    )


def _usual_pots(watered_every_d: float | None) -> tuple[str, ...]:
    """Return the pots compared where none is named; nobody waters a reservoir."""
    if watered_every_d is None:
        return USUAL_POTS
    return tuple(p for p in USUAL_POTS if p != "self-watering")


def pots(
    weather: Weather,
    *,
    plant: str | None = None,
    spot: str | None = None,
    site: Sequence[str] = (),
    pot: Sequence[str] = (),
    medium: Sequence[str] = (),
    pot_diameter: Sequence[float] = (),
    wetness: str | None = None,
    crocking: str | None = None,
    top_dressing: str | None = None,
    stands_on: str | None = None,
    watered_every: float | None = None,
    pot_color: str | None = None,
    plant_height: float | None = None,
    leaf_area: float | None = None,
    below: Sequence[float] = (),
    state: str | None = None,
    members: int = 5,
    setup: str | None = None,
    elevation: float | None = None,
    home: str | Path | None = None,
) -> PotsResult:
    """Return pots and media compared at a spot, every pot with every medium.

    Parameters
    ----------
    weather : WeatherSeries or WeatherChoice
    plant, spot, site, below, state, members, setup, elevation, home
        As the options of ``climrisk pots``.
    pot, medium : sequence of str
        Without any, three that differ most.
    pot_diameter : sequence of float
        [cm]; 12 where none is given.
    wetness, crocking, top_dressing, stands_on, watered_every, pot_color : optional
        Of all pots alike.
    plant_height, leaf_area : float, optional
        Of the plant, the same in all pots, for the wind. [cm, cm²]
    """
    own, _, source = home_of(weather, home)
    profile = _profile(plant, own)
    known_state, water = plant_state(state), pot_wetness(wetness)
    known_setup = pot_setup(setup, watered_every)
    size = checked_plant(plant_height, leaf_area)
    compared = [
        Pot.named(
            *(p, d, m),
            wetness=water,
            crocking=crocking,
            dressing=top_dressing,
            stand=stands_on,
            watered_every_d=watered_every,
            color=pot_color,
        )
        for p in pot or _usual_pots(watered_every)
        for m in medium or USUAL_MEDIA
        for d in pot_diameter or (REFERENCE_CM,)
    ]
    hours = hours_of(source)
    name, kind = spot_of(spot, own, hours, parse_site(site) if site else None)
    if elevation is None and own is not None and home is not None:
        elevation = own.height_m
    return _pots(
        hours,
        kind,
        compared,
        spot=name,
        plant=profile,
        state=known_state,
        below=below,
        elevation_m=elevation,
        members=members,
        setup=known_setup,
        plant_size=size,
    )


def calendar(
    weather: Weather,
    plants: Sequence[str] = (),
    *,
    spot: str | None = None,
    site: Sequence[str] = (),
    state: str | None = None,
    risk: float | None = None,
    spring_risk: float | None = None,
    trips: int = DEFAULT_TRIPS,
    members: int = DEFAULT_MEMBERS,
    elevation: float | None = None,
    home: str | Path | None = None,
    as_of: str | date | None = None,
    strict: bool = False,
) -> CalendarResult:
    """Return the monthly move-indoors calendar.

    Parameters
    ----------
    weather : WeatherSeries or WeatherChoice
    plants : sequence of str
        Without any, those of the home.
    spot, site, state, risk, spring_risk, trips, members, elevation, home, as_of, strict
        As the options of ``climrisk calendar``.
    """
    own, choice, source = home_of(weather, home)
    asked = kept_plants(
        own,
        plants,
        spot=spot,
        site=site,
        state=plant_state(state),
        risk=risk,
        elevation_m=elevation,
    )
    hours = hours_of(source)
    today = today_of(choice, as_of)
    return _calendar(
        hours,
        asked.kept_at(hours, today),
        risk=asked.risk,
        spring=checked_spring(spring_risk),
        trips=trips,
        rooms=places_of(asked.home, indoors=True),
        spots=places_of(asked.home, indoors=False),
        strict=strict,
        today=today,
        home=asked.name,
        elevation_m=asked.elevation_m,
        members=members,
    )
