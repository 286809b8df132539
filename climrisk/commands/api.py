"""The commands as Python functions: weather first, a frozen result back.

Each puts its arguments together to the inputs of the command of the same name, so that
Python, command line and page give the same answers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from climrisk.commands.shared.sources import Weather
from climrisk.inputs.values import Plant, Pot, Risk, Spot
from climrisk.weather.selection import WeatherChoice
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    import xarray as xr

    from climrisk.commands.arrive.result import ArriveResult
    from climrisk.commands.assess.result import AssessResult
    from climrisk.commands.calendar.result import CalendarResult
    from climrisk.commands.event.result import EventResult
    from climrisk.commands.exposure.result import ExposureResult
    from climrisk.commands.learn.result import LearnResult
    from climrisk.commands.pots.result import PotsResult
    from climrisk.commands.region.command import RegionInput
    from climrisk.commands.region.result import RegionResult
    from climrisk.commands.remedies.result import RemediesResult
    from climrisk.commands.review.result import ReviewResult
    from climrisk.commands.spots.result import SpotsResult
    from climrisk.commands.tonight.result import TonightResult
    from climrisk.commands.winter.result import WinterResult

Home = str | Path
Day = str | date


def assess(
    weather: Weather,
    plant: Plant | str,
    *,
    spot: Spot | str | None = None,
    pot: Pot | str | None = None,
    risk: Risk | float | None = None,
    members: int = 20,
    home: Home | None = None,
    as_of: Day | None = None,
) -> AssessResult:
    """Return what a spot would do to a plant, before buying.

    Parameters
    ----------
    weather : WeatherSeries or WeatherChoice
        From `Weather`, or chosen as on the command line.
    plant : Plant or str
        A name; or what its grower calls it in the home file.
    spot : Spot or str, optional
        A roofed balcony where not given; where the record was measured, if that was at
        a spot.
    pot : Pot or str, optional
        12 cm thin plastic with fine bark where not given.
    risk : Risk or float, optional
        Share of years with a harmful night before moving in; the home's, else 0.1.
    members : int
        Ensemble members; 1 is the median only.
    home : str or Path, optional
        A home file: its weather is not used, its rooms, plants and height are.
    as_of : date or ``YYYY-MM-DD``, optional
        The day that counts as today.

    Returns
    -------
    AssessResult

    Raises
    ------
    InputError
        A name that is not known or a number out of range.

    Examples
    --------
    >>> hours = Weather.demo(years=5)
    >>> here = Spot("roofed-balcony", facing="SE")
    >>> assess(hours, "Masdevallia", spot=here, members=3).verdict.word
    'poor match'
    """
    from climrisk.commands.assess.command import AssessInput
    from climrisk.commands.assess.request import assess as run

    parts = (_plant(plant), _spot(spot), _pot(pot), _risk(risk))
    return run(weather, _inputs(AssessInput, *parts, _for(home, as_of, members)))


def arrive(
    weather: Weather,
    plant: Plant | str,
    *,
    spot: Spot | str | None = None,
    weeks: int = 7,
    risk: Risk | float | None = None,
    members: int = 20,
    home: Home | None = None,
    as_of: Day | None = None,
) -> ArriveResult:
    """Return whether a new plant may go to its spot now, else until when to hold it.

    Parameters
    ----------
    weather, plant, spot, risk, members, home, as_of
        As `assess`; `as_of` is the day it arrives.
    weeks : int
        The time looked ahead, 1 to 26; 6 to 8 is what a plant takes to settle.

    Raises
    ------
    InputError
        A name that is not known, a number out of range, a typical year.
    """
    from climrisk.commands.arrive.command import ArriveInput
    from climrisk.commands.arrive.request import arrive as run

    parts = (_plant(plant), _spot(spot), _risk(risk), {"weeks": weeks})
    return run(weather, _inputs(ArriveInput, *parts, _for(home, as_of, members)))


def winter(
    weather: Weather,
    plant: Plant | str | None = None,
    *,
    spot: Spot | str | None = None,
    below: Sequence[float] = (),
    shown: str | None = None,
    members: int = 20,
    home: Home | None = None,
) -> WinterResult:
    """Return the winter exposure of a spot, night by night.

    Parameters
    ----------
    weather, plant, spot, members, home
        As `assess`; without a plant only thresholds are counted.
    below : sequence of float
        Thresholds. [°C]
    shown : str, optional
        Label of the winter to show, such as ``"2019/20"``; the last where not given.

    Raises
    ------
    InputError
        A name that is not known, or no such winter.
    """
    from climrisk.commands.winter.command import WinterInput
    from climrisk.commands.winter.request import winter as run

    own = {"below": tuple(below), "shown": shown}
    parts = (_plant(plant), _spot(spot), own, _for(home, None, members))
    return run(weather, _inputs(WinterInput, *parts))


def calendar(
    weather: Weather,
    plants: Sequence[str] = (),
    *,
    spot: Spot | str | None = None,
    risk: Risk | float | None = None,
    trips: int = 5,
    members: int = 20,
    home: Home | None = None,
    as_of: Day | None = None,
) -> CalendarResult:
    """Return the monthly move-indoors calendar.

    Parameters
    ----------
    weather, spot, risk, members, home, as_of
        As `assess`.
    plants : sequence of str
        Without any, those of the home.
    trips : int
        Carrying days a year at most, in and out together.

    Raises
    ------
    InputError
        A name that is not known or a number out of range.
    """
    from climrisk.commands.calendar.command import CalendarInput
    from climrisk.commands.calendar.request import calendar as run

    own = {"plants": tuple(plants), "trips": trips}
    parts = (_spot(spot), _risk(risk), own, _for(home, as_of, members))
    return run(weather, _inputs(CalendarInput, *parts))


def hours_beyond(
    weather: Weather,
    *,
    below: Sequence[float] = (),
    above: Sequence[float] = (),
    humidity_below: Sequence[float] = (),
    vpd_above: Sequence[float] = (),
    wind_above: Sequence[float] = (),
    inclusive: bool = False,
) -> ExposureResult:
    """Return hours beyond thresholds of the record as it is, no plant.

    Parameters
    ----------
    weather : WeatherSeries or WeatherChoice
    below, above : sequence of float
        Air temperature [°C]; usual ones below where nothing is given.
    humidity_below, vpd_above, wind_above : sequence of float
        Relative humidity [%], vapor pressure deficit [kPa], wind [m/s].
    inclusive : bool
        Count values equal to a threshold.

    Raises
    ------
    InputError
        A threshold out of range, or of a variable that the record lacks.
    """
    from climrisk.commands.exposure.command import ExposureInput
    from climrisk.commands.exposure.request import exposure as run

    given = ExposureInput(
        below=tuple(below),
        above=tuple(above),
        humidity_below=tuple(humidity_below),
        vpd_above=tuple(vpd_above),
        wind_above=tuple(wind_above),
        inclusive=inclusive,
    )
    return run(weather, given)


def pots(
    weather: Weather,
    pots: Sequence[Pot | str] = (),
    *,
    plant: Plant | str | None = None,
    spot: Spot | str | None = None,
    below: Sequence[float] = (),
    members: int = 5,
    home: Home | None = None,
) -> PotsResult:
    """Return pots and media compared at a spot.

    Parameters
    ----------
    weather, plant, spot, members, home
        As `assess`; without a plant only thresholds are counted.
    pots : sequence of Pot or str
        Those compared; nine that differ most where none is given.
    below : sequence of float
        Thresholds. [°C]

    Raises
    ------
    InputError
        A name that is not known or a number out of range.
    """
    from climrisk.commands.pots.command import ComparePotsInput
    from climrisk.commands.pots.request import pots as run

    own = {"below": tuple(below)}
    parts = (_plant(plant), _spot(spot), own, _for(home, None, members))
    given = _inputs(ComparePotsInput, *parts)
    return run(weather, given, [Pot(p) if isinstance(p, str) else p for p in pots])


def rank_spots(
    weather: Weather,
    plant: Plant | str,
    spots: Sequence[str] = (),
    *,
    pot: Pot | str | None = None,
    strict: bool = False,
    members: int = 20,
    home: Home | None = None,
    as_of: Day | None = None,
) -> SpotsResult:
    """Return the spots of a home, or the kinds there are, ranked for a plant.

    Parameters
    ----------
    weather, plant, pot, members, home, as_of
        As `assess`.
    spots : sequence of str
        Kinds, or spots of the home; all where none is given.
    strict : bool
        Treat every night below what the plant prefers as harmful.

    Raises
    ------
    InputError
        A name that is not known or a number out of range.
    """
    from climrisk.commands.spots.command import RankSpotsInput
    from climrisk.commands.spots.request import ranked as run

    own = {"spot": tuple(spots), "strict": strict}
    parts = (_plant(plant), _pot(pot), own, _for(home, as_of, members))
    return run(weather, _inputs(RankSpotsInput, *parts))


def remedies(
    weather: Weather,
    plant: Plant | str,
    *,
    spot: Spot | str | None = None,
    pot: Pot | str | None = None,
    risk: Risk | float | None = None,
    members: int = 20,
    home: Home | None = None,
    as_of: Day | None = None,
) -> RemediesResult:
    """Return what helps a plant most at its spot, each remedy alone.

    Parameters
    ----------
    weather, plant, spot, pot, risk, members, home, as_of
        As `assess`; other spots and rooms of the home are tried.

    Raises
    ------
    InputError
        A name that is not known or a number out of range.
    """
    from climrisk.commands.remedies.command import RemediesInput
    from climrisk.commands.remedies.request import remedies as run

    parts = (_plant(plant), _spot(spot), _pot(pot), _risk(risk))
    return run(weather, _inputs(RemediesInput, *parts, _for(home, as_of, members)))


def tonight(
    weather: Weather | None = None,
    plants: Sequence[str] = (),
    *,
    words: str | None = None,
    spots: Sequence[str] = (),
    state: str | None = None,
    home: Home | None = None,
    now: datetime | None = None,
) -> TonightResult:
    """Return what to carry, cover or leave before the coming night.

    Parameters
    ----------
    weather : WeatherChoice or WeatherSeries, optional
        Where the home is: the forecast is that of the place.
    plants : sequence of str
        Without any, those of the home.
    words : str, optional
        A typed forecast, such as ``"4, wind 6 km/h, clear"``; nothing is downloaded.
    spots : sequence of str
        Kinds, or spots of the home; without any, those of the home.
    state : str, optional
    home : str or Path, optional
    now : datetime, optional
        The moment asked at, aware; the clock's where not given.

    Raises
    ------
    InputError
        Words, names or a place that are not understood.
    WeatherUnavailableError
        The forecast could not be downloaded; an old one is never shown instead.
    """
    from climrisk.commands.tonight.command import TonightInput
    from climrisk.commands.tonight.request import tonight as run

    given = TonightInput(
        plants=tuple(plants),
        words=words,
        spot=tuple(spots),
        state=state,
        home=None if home is None else Path(home),
    )
    return run(_place_of(weather), given, now=now)


def event(
    weather: Weather | None = None,
    plants: Sequence[str] = (),
    *,
    words: str | None = None,
    spot: Spot | str | None = None,
    state: str | None = None,
    members: int = 20,
    home: Home | None = None,
) -> EventResult:
    """Return what each plant went through in a cold event, and when to look again.

    Parameters
    ----------
    weather : WeatherSeries or WeatherChoice, optional
        The record, with its first and last day; with `words` only the day it ended.
    plants : sequence of str
        Without any, those of the home.
    words : str, optional
        The event as told, such as ``"3.1 at 06:00, 7 h below 8"``.
    spot : Spot or str, optional
        Where it was cold, or where the logger was.
    state, members, home : optional

    Raises
    ------
    InputError
        Words, names or days that are not understood, or a spot left open.
    """
    from climrisk.commands.event.command import EventInput
    from climrisk.commands.event.request import event as run

    own = {"plants": tuple(plants), "words": words, "state": state}
    given = _inputs(EventInput, _spot(spot), own, _for(home, None, members))
    return run(WeatherChoice() if weather is None else weather, given)


def review(
    weather: Weather | None = None,
    plants: Sequence[str] = (),
    *,
    spot: Spot | str | None = None,
    against: Weather | str | None = None,
    winter: str | None = None,
    below: Sequence[float] = (),
    members: int = 20,
    home: Home | None = None,
) -> ReviewResult:
    """Return a winter looked back on, by the logger of the spot where there is one.

    Parameters
    ----------
    weather : WeatherSeries or WeatherChoice, optional
        Of the logger, or without one of the station.
    plants : sequence of str
        Without any, those of the home that stand on the spot.
    spot, members, home : optional
        As `assess`.
    against : WeatherSeries or str, optional
        The station that the logger is compared with: its hours, its ID, a file, or
        ``"demo"``.
    winter : str, optional
        Label of a growing year; the one the logger knows best where not given.
    below : sequence of float
        Thresholds counted. [°C]

    Raises
    ------
    InputError
        No weather, names that are not known, or no such winter.
    """
    from climrisk.commands.review.command import ReviewInput
    from climrisk.commands.review.request import review as run

    hours = against if isinstance(against, WeatherSeries) else None
    named = against if isinstance(against, str) else None
    own = {"plants": tuple(plants), "winter": winter, "below": tuple(below)}
    parts = (_spot(spot), own, {"against": named}, _for(home, None, members))
    chosen = WeatherChoice() if weather is None else weather
    return run(chosen, _inputs(ReviewInput, *parts), against=hours)


def learn(
    weather: Weather,
    *,
    spot: Spot | str | None = None,
    against: WeatherSeries | str | None = None,
    read: str | None = None,
    home: Home | None = None,
    save: bool = False,
) -> LearnResult:
    """Return how a spot differs from the station, by the spot's own logger.

    Parameters
    ----------
    weather : WeatherSeries or WeatherChoice
        Of the logger.
    spot : Spot or str, optional
    against : WeatherSeries or str, optional
        The station: its hours, its ID, a file, or ``"demo"``; else the home's weather,
        else the best station near the logger.
    read : {"morning", "evening"}, optional
        When a min-max thermometer was read.
    home : str or Path, optional
    save : bool
        Write the calibration into the home file.

    Raises
    ------
    InputError
        No logger, no spot of the home to save, or too few nights to learn from.
    """
    from climrisk.commands.learn.command import LearnInput
    from climrisk.commands.learn.request import learn as run

    hours = against if isinstance(against, WeatherSeries) else None
    own = {"against": None if hours is not None else against, "read": read}
    parts = (_spot(spot), own, {"save": save}, _for(home, None, None))
    return run(weather, _inputs(LearnInput, *parts), against=hours)


def region(
    source: str | Path | Sequence[str | Path],
    plants: Sequence[str],
    *,
    spot: Spot | str | None = None,
    pot: Pot | str | None = None,
    risk: Risk | float | None = None,
    out: str | Path | None = None,
    at: Sequence[str | tuple[float, ...]] = (),
    threads: int | None = None,
) -> RegionResult:
    """Return what a spot would do to plants in every cell of a grid.

    Parameters
    ----------
    source : path or sequence of paths
        NetCDF files or Zarr stores of hourly weather on a regular grid.
    plants : sequence of str
        One map each.
    spot, pot, risk
        As `assess`.
    out : path, optional
        Where the maps go; the ending chooses NetCDF or Zarr.
    at : sequence of (lat, lon) or ``"LAT,LON"``
        Places whose cells are picked out. Without `out`, only they are computed.
    threads : int, optional
        One a processor where not given. For worker processes and clusters use the
        command.

    Raises
    ------
    InputError
        In one line, what is wrong; finished blocks are kept.
    """
    from climrisk.commands.region.compute import region as run

    paths = [source] if isinstance(source, str | Path) else source
    given = _map_inputs(paths, plants, spot=spot, pot=pot, risk=risk)
    texts = tuple(a if isinstance(a, str) else ",".join(map(repr, a)) for a in at)
    where = None if out is None else Path(out)
    return run(replace(given, out=where, at=texts, threads=threads))


def region_dataset(
    data: xr.Dataset,
    plants: Sequence[str],
    *,
    spot: Spot | str | None = None,
    pot: Pot | str | None = None,
    risk: Risk | float | None = None,
    variables: Sequence[str] = (),
) -> xr.Dataset:
    """Return the maps of an opened grid, computed when they are asked for.

    Parameters
    ----------
    data : xarray.Dataset
        Hourly values with the dimensions ``time``, ``latitude`` and ``longitude``,
        decoded. With dask arrays the maps are lazy, a block of cells a task; ``time``
        must then be one chunk.
    plants : sequence of str
    variables : sequence of str
        ``OURS=NAME`` where a name is not known.
    spot, pot, risk : optional
        As `climrisk.region`.

    Returns
    -------
    xarray.Dataset
        Maps as the command writes them.

    Raises
    ------
    InputError
        What is wrong with the grid or the question.
    """
    from climrisk.commands.region.dataset import lazy_maps

    given = _map_inputs((), plants, spot=spot, pot=pot, risk=risk)
    return lazy_maps(data, replace(given, variable=tuple(variables)))


def _map_inputs(
    paths: Sequence[str | Path],
    plants: Sequence[str],
    *,
    spot: Spot | str | None,
    pot: Pot | str | None,
    risk: Risk | float | None,
) -> RegionInput:
    """Return the inputs of maps."""
    from climrisk.commands.region.command import RegionInput

    own = {"source": tuple(map(Path, paths)), "plant": tuple(plants)}
    parts = (_spot(spot), _pot(pot), _risk(risk))
    given: RegionInput = _inputs(RegionInput, own, *parts)
    return given


def _inputs(kind: type[Any], *parts: dict[str, Any]) -> Any:
    """Return the inputs of a command; what it does not offer must not be given.

    Raises
    ------
    TypeError
        A part that would have no effect.
    """
    offered = {d.name: d for d in kind.declared()}
    said: dict[str, Any] = {}
    for part in parts:
        for name, value in part.items():
            if name in offered:
                said[name] = value
            elif value not in (None, (), *_USUAL.get(name, ())):
                msg = f"{name}={value!r} has no effect here"
                raise TypeError(msg)
    return kind(**said)


#: What values say where nothing was given: no reason to complain.
_USUAL: dict[str, tuple[Any, ...]] = {
    name: (value,) for part in (Pot(), Risk()) for name, value in part.inputs().items()
} | {"state": ("established",)}


def _plant(plant: Plant | str | None) -> dict[str, Any]:
    if plant is None:
        return {}
    return plant.inputs() if isinstance(plant, Plant) else {"plant": plant}


def _spot(spot: Spot | str | None) -> dict[str, Any]:
    if spot is None:
        return {}
    return spot.inputs() if isinstance(spot, Spot) else {"spot": spot}


def _pot(pot: Pot | str | None) -> dict[str, Any]:
    if pot is None:
        return {}
    return pot.inputs() if isinstance(pot, Pot) else {"pot": pot}


def _risk(risk: Risk | float | None) -> dict[str, Any]:
    return risk.inputs() if isinstance(risk, Risk) else {"risk": risk}


def _for(home: Home | None, as_of: Day | None, members: int | None) -> dict[str, Any]:
    from climrisk.core.calendar import day_of

    more = {} if members is None else {"members": members}
    return {
        "home": None if home is None else Path(home),
        "as_of": None if as_of is None else day_of(as_of),
        **more,
    }


def _place_of(weather: Weather | None) -> WeatherChoice:
    """Return where a home is, by its weather."""
    if not isinstance(weather, WeatherSeries):
        return WeatherChoice() if weather is None else weather
    place = weather.place
    at = (place.latitude_deg, place.longitude_deg)
    high = () if place.elevation_m is None else (place.elevation_m,)
    return replace(WeatherChoice(), at=(*at, *high), zone=place.zone)
