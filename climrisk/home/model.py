"""What a home file may say: weather, spots, rooms, plants and remembered answers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, field_validator, model_validator

from climrisk.core.defaults import (
    DEFAULT_DIAMETER_CM,
    DEFAULT_MEDIUM,
    DEFAULT_POT,
    DEFAULT_RISK,
    HEIGHT_M,
    LEAF_AREA_CM2,
    PLANT_HEIGHT_CM,
    RISK,
)
from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.home.parts import EntryError, HomePart, ShortText, within
from climrisk.home.spot import HomePlace, HomeRoom, HomeSpot
from climrisk.home.version import VERSION
from climrisk.home.weather import HomeWeather
from climrisk.plants.model import Profile
from climrisk.plants.registry import find, key
from climrisk.pot.model import FilledPot
from climrisk.spot.kinds import SpotKind
from climrisk.weather.selection import WeatherChoice, parse_at

RiskShare = Annotated[float, within(RISK)]


class HomeMove(HomePart):
    """A plant carried to a spot or room on a day."""

    on: date
    to: ShortText


class HomePlant(HomePart):
    """A plant, or several of a kind, in its pot.

    `moves` are what its grower noted; without any it stands on its spot.
    """

    name: ShortText
    spot: str
    label: ShortText | None = None
    room: str | None = None
    pot: str = DEFAULT_POT
    pot_diameter_cm: float = DEFAULT_DIAMETER_CM
    medium: str = DEFAULT_MEDIUM
    wetness: Literal["wet", "damp", "dry"] = "damp"
    crocking: str | None = None
    top_dressing: str | None = None
    stands_on: str | None = None
    watered_every_days: float | None = None
    pot_color: str | None = None
    plant_height_cm: Annotated[float | None, within(PLANT_HEIGHT_CM)] = None
    leaf_area_cm2: Annotated[float | None, within(LEAF_AREA_CM2)] = None
    state: Literal["established", "in-spike", "unrooted", "new-import"] = "established"
    risk: RiskShare | None = None
    count: int = Field(default=1, ge=1, le=10_000)
    moves: tuple[HomeMove, ...] = ()

    def move_on(self, day: date) -> HomeMove | None:
        """Return the last move noted up to a day; None without one."""
        return latest(self.moves, day)

    def place_on(self, day: date) -> str:
        """Return the name of the spot or room where it stands on a day."""
        move = self.move_on(day)
        return self.spot if move is None else move.to

    @property
    def called(self) -> str:
        """What its keeper calls it: the label, else the name."""
        return self.label or self.name

    def in_pot(self) -> FilledPot:
        """Return its pot.

        Raises
        ------
        InputError
            An unknown pot or medium, or a size out of range.
        """
        return FilledPot.named(
            *(self.pot, self.pot_diameter_cm, self.medium),
            wetness=self.wetness,
            stand=self.stands_on,
            watered_every_d=self.watered_every_days,
            color=self.pot_color,
        ).with_layers(self.crocking, self.top_dressing)


def latest(moves: Sequence[HomeMove], day: date) -> HomeMove | None:
    """Return the last move up to a day; of several on one day the last noted."""
    past = [m for m in moves if m.on <= day]
    return max(reversed(past), key=lambda m: m.on, default=None)


def references(plants: Sequence[HomePlant]) -> list[str]:
    """Return a reference for each plant that holds until the plant is changed.

    It is made from the entry itself, so that it never leads to another plant after
    rows were added or removed. Entries of the same words are numbered, and each says
    how many there are: when one of them is gone, no reference to it finds another.
    """
    names = [sha256(p.model_dump_json().encode()).hexdigest()[:12] for p in plants]
    alike, seen = Counter(names), Counter[str]()
    out = []
    for name in names:
        seen[name] += 1
        of = f"-of-{alike[name]}" if alike[name] > 1 else ""
        out.append(f"{name}-{seen[name]}{of}")
    return out


class Home(HomePart):
    """A home.

    Parameters
    ----------
    version : int
        Of the file's format (`climrisk.home.version`); 0 where the file says none.
    name : str
    at : str, optional
        LAT,LON[,ELEVATION] of the home, for its forecast; the place of the weather
        where not given.
    elevation_m : float, optional
        Height above sea level; that of `at`, else the station's where not given.
    risk : float
        Accepted share of years with a cold night outside; a plant may have its own.
    units : {"metric", "us"}, optional
        Units in which answers are shown and bare numbers are typed; the file's own
        numbers are metric, as their keys say.
    weather : HomeWeather
    spot : tuple of HomeSpot
    room : tuple of HomeRoom
    plant : tuple of HomePlant
    answers : dict of str to str
        What a name that covers several plants was said to mean.
    """

    version: int = Field(default=0, ge=0, le=VERSION, strict=True)
    name: ShortText = "home"
    at: str | None = None
    elevation_m: Annotated[float | None, within(HEIGHT_M)] = None
    risk: RiskShare = DEFAULT_RISK
    units: Literal["metric", "us"] | None = None
    weather: HomeWeather
    spot: tuple[HomeSpot, ...] = ()
    room: tuple[HomeRoom, ...] = ()
    plant: tuple[HomePlant, ...] = ()
    answers: dict[str, str] = Field(default_factory=dict)

    @field_validator("at")
    @classmethod
    def _a_place(cls, at: str | None) -> str | None:
        try:
            if at is not None:
                parse_at(at)
        except InputError as error:
            raise EntryError.of(error) from error
        return at

    @model_validator(mode="after")
    def _names_fit(self) -> Home:
        names: list[str] = []
        every = [("spot", i, s.name) for i, s in enumerate(self.spot)]
        every += [("room", i, r.name) for i, r in enumerate(self.room)]
        for table, i, name in every:
            if name.lower() in names:
                what = "this name is used twice"
                raise EntryError(what, at=(table, i, "name"), value=name)
            names.append(name.lower())
        places = ", ".join(s.name for s in self.places) or "none yet"
        rooms = ", ".join(s.name for s in self.places if s.name.lower() in self._inside)
        for i, spot in enumerate(self.spot):
            if spot.room is not None and spot.room.lower() not in self._inside:
                raise EntryError(
                    *("is no room here",),
                    at=("spot", i, "room"),
                    value=spot.room,
                    allowed=rooms or "none yet",
                )
        for i, plant in enumerate(self.plant):
            if plant.spot.lower() not in names:
                raise EntryError(
                    "is no spot here",
                    at=("plant", i, "spot"),
                    value=plant.spot,
                    allowed=places,
                    next_step="add a [[spot]] of this name, or name another",
                )
            if plant.room is not None and plant.room.lower() not in self._inside:
                raise EntryError(
                    "is no room here",
                    at=("plant", i, "room"),
                    value=plant.room,
                    allowed=rooms or "none yet",
                    next_step="add a [[room]] of this name, or name an indoor spot",
                )
            for k, move in enumerate(plant.moves):
                if move.to.lower() not in names:
                    raise EntryError(
                        "is no spot here",
                        at=("plant", i, "moves", k, "to"),
                        value=move.to,
                        allowed=places,
                        next_step="name a spot or room of this file",
                    )
        return self

    @property
    def places(self) -> tuple[HomePlace, ...]:
        """Spots and rooms: everywhere a plant may stand."""
        return (*self.spot, *self.room)

    @property
    def _inside(self) -> set[str]:
        return {p.name.lower() for p in self.places if p.as_kind.indoors}

    def spot_named(self, name: str) -> HomePlace:
        """Return a spot or room by its name.

        Raises
        ------
        InputError
            With the names there are.
        """
        for spot in self.places:
            if spot.name.lower() == name.lower():
                return spot
        raise InputError(
            "no such spot in the home file",
            where=field("spot"),
            value=name,
            allowed=", ".join(s.name for s in self.places) or "none",
        )

    def knows_spot(self, name: str) -> bool:
        """Whether a spot or room of this name is in the file."""
        return name.lower() in {s.name.lower() for s in self.places}

    @property
    def indoors(self) -> tuple[SpotKind, ...]:
        """The indoor spots and rooms, in the order of the file."""
        kinds = (place.as_kind for place in self.places)
        return tuple(dict.fromkeys(k for k in kinds if k.indoors))

    def room_of(self, plant: HomePlant) -> str | None:
        """Return where a plant is carried to: its own room, else its spot's."""
        if plant.room is not None:
            return plant.room
        spot = self.spot_named(plant.spot)
        return spot.room if isinstance(spot, HomeSpot) else None

    def now_at(self, plant: HomePlant, day: date) -> HomePlace:
        """Return the spot or room where a plant stands on a day, by the moves noted."""
        return self.spot_named(plant.place_on(day))

    def is_inside(self, plant: HomePlant, day: date) -> bool | None:
        """Return whether a plant was noted as carried in; None without a note."""
        if plant.move_on(day) is None:
            return None
        return self.now_at(plant, day).as_kind.indoors

    @property
    def plant_names(self) -> tuple[str, ...]:
        """A name for each plant that no other has, by its spot or a number on need."""
        names = [p.called for p in self.plant]
        counts = Counter(n.lower() for n in names)
        longer = [
            f"{n} ({p.spot})" if counts[n.lower()] > 1 else n
            for n, p in zip(names, self.plant, strict=True)
        ]
        counts, seen = Counter(n.lower() for n in longer), Counter[str]()
        out = []
        for name in longer:
            seen[name.lower()] += 1
            number = f", no. {seen[name.lower()]}" if counts[name.lower()] > 1 else ""
            out.append(name + number)
        return tuple(out)

    def risk_of(self, plant: HomePlant) -> float:
        """Return the risk accepted for a plant: its own, else the home's."""
        return self.risk if plant.risk is None else plant.risk

    def profile(self, name: str) -> Profile:
        """Return the profile of a plant; an ambiguous name by the remembered answer.

        Raises
        ------
        AmbiguousPlantError, InputError
            As `climrisk.plants.registry.find`.
        """
        meant = {key(typed): answer for typed, answer in self.answers.items()}
        return find(meant.get(key(name), name))

    def entries(self) -> Iterator[tuple[HomePlant, Profile]]:
        """Yield every plant with its profile."""
        known: dict[str, Profile] = {}
        for plant in self.plant:
            if plant.name not in known:
                known[plant.name] = self.profile(plant.name)
            yield plant, known[plant.name]

    @property
    def place(self) -> tuple[float, ...] | None:
        """Latitude, longitude and, where known, height of the home."""
        if self.at is None:
            return None
        place = parse_at(self.at)
        return place if self.elevation_m is None else (*place[:2], self.elevation_m)

    @property
    def height_m(self) -> float | None:
        """Height of the home above sea level, where the file tells it."""
        if self.elevation_m is not None or self.place is None:
            return self.elevation_m
        return self.place[2] if len(self.place) == 3 else None

    def choice(self, base: Path, given: WeatherChoice) -> WeatherChoice:
        """Return the weather to use: the file's, with what the options add.

        Paths in the file count from the file's own folder.
        """
        return self.weather.choice(base, given, self.place)
