"""The home file: weather, spots and plants of one home, written by hand as TOML."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from importlib import resources
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from climrisk.errors import InputError
from climrisk.plants.registry import find
from climrisk.pot.model import Pot
from climrisk.spot.kinds import SpotKind, spot_kind
from climrisk.spot.learned import Evidence, Learned
from climrisk.spot.site import KEYS, site_of
from climrisk.weather.choose import WeatherChoice, parse_at

Text = Annotated[str, Field(min_length=1, max_length=200)]


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True)


class HomeWeather(_Part):
    """Where the weather comes from; the keys are those of the options."""

    demo: bool = False
    file: str | None = None
    town: str | None = None
    at: str | None = None
    station: str | None = None
    combine: int | None = Field(default=None, ge=1, le=8)
    fill: bool = False
    years: int | None = Field(default=None, ge=1, le=200)
    zone: str | None = None
    temperature_unit: Literal["c", "f"] | None = None
    date_order: Literal["dmy", "mdy", "ymd"] | None = None
    clock: Literal["local", "standard", "utc"] | None = None
    column: str | None = None
    measured_at: Literal["spot", "station"] | None = None


Told = str | float | bool | None
TwoNumbers = tuple[float, float]


class HomeEvidence(_Part):
    """What one logger record said; see `climrisk.spot.learned.Evidence`."""

    first: str
    last: str
    nights: int = Field(ge=1)
    still_nights: int = Field(ge=0)
    a_still: float
    a_both: float
    a_windy: float
    b_still: float
    b_windy: float


class HomeLearned(_Part):
    """Offsets that `climrisk learn` wrote; see `climrisk.spot.learned.Learned`."""

    on: str
    still_k: TwoNumbers
    windy_k: TwoNumbers
    day_k: TwoNumbers
    noise_k: float = Field(ge=0, le=10)
    still_by_hour: tuple[float, ...] = ()
    windy_by_hour: tuple[float, ...] = ()
    in_winter: float = Field(ge=0, le=1)
    evidence: tuple[HomeEvidence, ...] = ()

    @property
    def figures(self) -> Learned:
        """The figures as the spot uses them."""
        fields = self.model_dump(exclude={"on", "evidence"})
        rows = tuple(Evidence(**row.model_dump()) for row in self.evidence)
        return Learned(**fields, evidence=rows)


class HomeSpot(_Part):
    """A place where plants stand; what it may tell is `climrisk.spot.site.Site`."""

    name: Text
    kind: str
    facing: Told = None
    floor: Told = None
    eaves: Told = None
    eaves_above: Told = None
    horizon: Told = None
    walls: Told = None
    house: Told = None
    hollow: Told = None
    shade: Told = None
    screen: Told = None
    wet_floor: Told = None
    insulation: Told = None
    glass: Told = None
    from_glass: Told = None
    curtain: Told = None
    set_point: Told = None
    set_back: Told = None
    heating: Told = None
    heating_months: Told = None
    learned: HomeLearned | None = None

    @model_validator(mode="after")
    def _known(self) -> HomeSpot:
        _ = self.as_kind
        return self

    @property
    def as_kind(self) -> SpotKind:
        """The kind with what is told and learned of this spot."""
        told = {key: getattr(self, key) for key in KEYS}
        return replace(
            spot_kind(self.kind),
            site=site_of(told, where=f"spot {self.name!r}"),
            learned=None if self.learned is None else self.learned.figures,
        )


class HomePlant(_Part):
    """A plant, or several of a kind, in its pot."""

    name: Text
    spot: str
    label: str | None = None
    pot: str = "thin-plastic"
    pot_diameter_cm: float = 12.0
    medium: str = "pine-bark-fine"
    wetness: Literal["wet", "damp", "dry"] = "damp"
    state: Literal["established", "in-spike", "unrooted", "new-import"] = "established"
    count: int = Field(default=1, ge=1, le=10_000)

    def in_pot(self) -> Pot:
        """Return its pot."""
        return Pot.named(
            self.pot, self.pot_diameter_cm, self.medium, wetness=self.wetness
        )


class Home(_Part):
    """A home.

    Parameters
    ----------
    name : str
    elevation_m : float, optional
        Height above sea level; the station's where not given.
    risk : float
    weather : HomeWeather
    spot : tuple of HomeSpot
    plant : tuple of HomePlant
    """

    name: Text = "home"
    elevation_m: float | None = Field(default=None, ge=-430, le=8850)
    risk: float = Field(default=0.1, ge=0.01, le=0.9)
    weather: HomeWeather
    spot: tuple[HomeSpot, ...] = ()
    plant: tuple[HomePlant, ...] = ()

    @model_validator(mode="after")
    def _spots_exist(self) -> Home:
        names = [s.name for s in self.spot]
        for name in names:
            if names.count(name) > 1:
                msg = f"spot {name!r} stands twice"
                raise ValueError(msg)
        for plant in self.plant:
            if plant.spot not in names:
                msg = f"{plant.name} stands on {plant.spot!r}, which is no spot here"
                raise ValueError(msg)
        return self

    def spot_named(self, name: str) -> HomeSpot:
        """Return a spot by its name.

        Raises
        ------
        InputError
            With the names there are.
        """
        for spot in self.spot:
            if spot.name.lower() == name.lower():
                return spot
        raise InputError(
            "no such spot in the home file",
            where="--spot",
            value=name,
            allowed=", ".join(s.name for s in self.spot) or "none",
        )

    @property
    def indoors(self) -> tuple[SpotKind, ...]:
        """The indoor spots, in the order of the file."""
        kinds = (s.as_kind for s in self.spot)
        return tuple(dict.fromkeys(k for k in kinds if k.indoors))

    def choice(self, base: Path, given: WeatherChoice) -> WeatherChoice:
        """Return the weather to use: the file's, with what the options add.

        Paths in the file count from the file's own folder.
        """
        own = self.weather
        file = None if own.file is None else base / own.file
        return WeatherChoice(
            demo=own.demo,
            file=file,
            town=own.town,
            at=None if own.at is None else parse_at(own.at, where="home file, at"),
            station=own.station,
            combine=given.combine or own.combine,
            fill=given.fill or own.fill,
            years=given.years or own.years,
            first=given.first,
            last=given.last,
            zone=given.zone or own.zone,
            as_of=given.as_of,
            temperature_unit=given.temperature_unit or own.temperature_unit,
            date_order=given.date_order or own.date_order,
            clock=given.clock or own.clock,
            column=given.column or own.column,
            measured_at=given.measured_at or own.measured_at,
        )


def read_home(path: Path) -> Home:
    """Return the home of a file.

    Raises
    ------
    InputError
        Not there, no TOML, an unknown key, spot, pot, medium or plant.
    """
    try:
        text = path.read_text("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(
            "home file cannot be read", where="--home", value=path
        ) from error
    return parse_home(text, where=str(path))


def demo_home() -> Home:
    """Return the built-in home in the invented town of Veladrag."""
    return parse_home(demo_home_text(), where="demo home")


def demo_home_text() -> str:
    """Return the text of the built-in home file."""
    return resources.files("climrisk").joinpath("data/veladrag.toml").read_text("utf-8")


def parse_home(text: str, *, where: str) -> Home:
    """Return a home from the text of its file; every name in it is checked."""
    try:
        home = Home.model_validate(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise InputError("not a TOML file", where=where, value=str(error)) from error
    except ValidationError as error:
        raise _first_fault(error, where) from error
    for plant in home.plant:
        find(plant.name)
        plant.in_pot()
    return home


def _first_fault(error: ValidationError, where: str) -> InputError:
    first: Any = error.errors(include_url=False, include_context=False)[0]
    key = ".".join(str(part) for part in first["loc"]) or "home"
    value = first["input"]
    return InputError(
        f"wrong entry {key}",
        where=where,
        value=None if isinstance(value, dict | list | tuple) else value,
        allowed=first["msg"].removeprefix("Value error, "),
        next_step="correct the entry; examples/home.toml shows every key",
    )
