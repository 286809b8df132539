"""The move-indoors calendar of a home, or of single plants at a spot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from climrisk import __version__, checks
from climrisk.advice.cautions import ESTIMATE, LIFTING, PESTS, WIND
from climrisk.advice.dates import RiskDate, move_in, move_out, spring_risk
from climrisk.advice.judged import ColdNights
from climrisk.advice.months import Month, month_states, reconciled, typical_months
from climrisk.errors import InputError
from climrisk.pot.mass import pot_mass_kg
from climrisk.result.assess import Move
from climrisk.result.calendar import CalendarResult, PlantMonths
from climrisk.result.wanted import WantedInfo
from climrisk.seasons import MONTH_NAMES, month_day
from climrisk.simulate.asked import DEFAULT_MEMBERS
from climrisk.simulate.coming import coming
from climrisk.simulate.dated import move
from climrisk.simulate.describe import (
    assumed_info,
    caution_info,
    only_known,
    weather_info,
)
from climrisk.simulate.judge import sweep
from climrisk.simulate.kept_plant import Kept
from climrisk.simulate.planted import limits_of
from climrisk.simulate.trips import Dated, Trip, entries, plan
from climrisk.simulate.wanted import wanted_info
from climrisk.simulate.winter_rooms import Choice, Room, WinterRooms, usual_rooms
from climrisk.spot.kinds import SpotKind
from climrisk.spot.members import Worlds, worlds
from climrisk.spot.transfer import prepare, spot_air_c
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    from climrisk.exposure.nights import Nights

__all__ = ["DEFAULT_TRIPS", "Kept", "calendar"]

#: A grower has few free evenings (our choice).
DEFAULT_TRIPS = 5
_TYPICAL = RiskDate(None, "few", None, None, 0, "")


def calendar(
    weather: WeatherSeries,
    kept: Sequence[Kept],
    *,
    risk: float,
    spring: float | None = None,
    trips: int = DEFAULT_TRIPS,
    today: date,
    home: str = "home",
    rooms: Sequence[Room] = (),
    elevation_m: float | None = None,
    members: int = DEFAULT_MEMBERS,
) -> CalendarResult:
    """Return when plants are out, in, or to be moved.

    Entries cover the growing year that holds `today` and the next; those already past
    stay in, so that a date never depends on the day it is asked.

    Parameters
    ----------
    weather : WeatherSeries
    kept : sequence of Kept
    risk : float
        Accepted share of years with a cold night before moving in.
    spring : float, optional
        The same after moving out; twice `risk` up to 25 % where not said.
    trips : int
        Trips a year at most, in and out together; one each way at least.
    today : date
    home : str
    rooms : sequence of Room
        Where plants are carried; without any, an unheated and a heated room.
    elevation_m : float, optional
        Height of the home.
    members : int

    Raises
    ------
    InputError
        No plants, a plant without a night minimum, a number out of range.
    """
    checks.risk(risk, where="--risk")
    checks.risk(spring_risk(risk, spring), where="--spring-risk")
    checks.number_in(trips, 2, 50, what="trips a year", where="--trips")
    members = checks.members(members)
    if not kept:
        raise InputError(
            "no plants to make a calendar for",
            where="calendar",
            allowed="plant names, or --home FILE with plants",
        )
    only_known(weather.air_temp_c, weather)
    told = _Calendar(
        weather, worlds(members), elevation_m, rooms or usual_rooms(), today
    )
    own = [
        (
            one,
            (
                risk
                if one.risk is None
                else checks.risk(one.risk, where=f"risk of {one.label}")
            ),
        )
        for one in kept
    ]
    dated = [told.dated(one, (r, spring_risk(r, spring))) for one, r in own]
    going = plan([d for d in dated if not d.kept.kind.indoors], trips)
    rows = [
        told.row(d, (r, spring_risk(r, spring)), going)
        for d, (_, r) in zip(dated, own, strict=True)
    ]
    assumed = assumed_info(told.prepared.assumed)
    return CalendarResult(
        command="calendar",
        version=__version__,
        home=home,
        risk=risk,
        spring_risk=spring_risk(risk, spring),
        as_of=today.isoformat(),
        trips=trips,
        weather=weather_info(weather, assumed),
        months=rows,
        entries=entries(going, home, today, north=told.north),
        sentence=_sentence(rows, going, risk, north=told.north),
        cautions=caution_info((ESTIMATE, WIND, LIFTING, PESTS)),
        files=[],
    )


class _Calendar:
    """The calendar of one home: what plants share is computed once."""

    def __init__(
        self,
        weather: WeatherSeries,
        members: Worlds,
        elevation_m: float | None,
        rooms: Sequence[Room],
        today: date,
    ) -> None:
        self.prepared = prepare(weather, members, spot_elevation_m=elevation_m)
        self.typical = weather.typical
        self.north = self.prepared.seasons.north
        self.today = today
        self.rooms = WinterRooms(self.prepared, rooms)
        self._nights: dict[SpotKind, Nights] = {}
        self._cold: dict[tuple[SpotKind, float], ColdNights] = {}
        self._choices: dict[tuple[str, float, str | None], Choice | None] = {}
        self._wanted: dict[tuple[str, SpotKind, float, int | None], WantedInfo | None]
        self._wanted = {}
        self._months: dict[
            tuple[SpotKind, float, tuple[float, float]], dict[int, Month]
        ]
        self._months = {}

    def nights(self, kind: SpotKind) -> Nights:
        if kind not in self._nights:
            air = spot_air_c(self.prepared, kind)
            self._nights[kind] = sweep(self.prepared, air, []).nights
        return self._nights[kind]

    def cold(self, one: Kept) -> ColdNights:
        key = one.kind, _limit(one)
        if key not in self._cold:
            self._cold[key] = ColdNights.of(self.nights(one.kind), key[1])
        return self._cold[key]

    def dated(self, one: Kept, risks: tuple[float, float]) -> Dated:
        cold = self.cold(one)
        into, out = move_in(cold, risks[0]), move_out(cold, risks[1])
        if self.typical:
            into = out = _TYPICAL
        choice = None if one.kind.indoors else self.choice(one)
        room = None if choice is None else choice.room
        return Dated(one, cold, into, out, room)

    def choice(self, one: Kept) -> Choice | None:
        key = one.plant.name, _limit(one), one.room
        if key not in self._choices:
            self._choices[key] = self.rooms.choose(one.plant, key[1], one.room)
        return self._choices[key]

    def row(
        self, told: Dated, risks: tuple[float, float], going: Sequence[Trip]
    ) -> PlantMonths:
        one = told.kept
        choice = None if one.kind.indoors else self.choice(one)
        days = {t.action: t.day for t in going if told in t.plants}
        return PlantMonths(
            plant=one.plant.name,
            label=one.label,
            count=one.count,
            spot=one.spot,
            spot_kind=one.kind.name,
            room=told.room,
            room_serves=None if choice is None else choice.serves,
            room_why=None if choice is None else choice.why,
            weight_kg=None if one.pot is None else round(pot_mass_kg(one.pot), 1),
            preferred_c=_limit(one),
            risk=risks[0],
            states={str(m): r.state for m, r in self.months(told, risks).items()},
            move_in=self._move(told.into, risks[0]),
            move_out=self._move(told.out, risks[1]),
            trip_in=month_day(days.get("move in"), north=self.north),
            trip_out=month_day(days.get("move out"), north=self.north),
            wanted=self.wanted(told, days.get("move in")),
            indoors=one.kind.indoors,
            coming=coming(self.nights(one.kind), self.today, _limit(one)),
        )

    def months(self, told: Dated, risks: tuple[float, float]) -> dict[int, Month]:
        one = told.kept
        key = one.kind, _limit(one), risks
        if key not in self._months:
            self._months[key] = (
                typical_months(told.cold)
                if self.typical
                else reconciled(
                    month_states(told.cold, risks[0]),
                    told.into,
                    told.out,
                    north=self.north,
                )
            )
        return self._months[key]

    def wanted(self, told: Dated, day: int | None) -> WantedInfo | None:
        one = told.kept
        key = one.plant.name, one.kind, _limit(one), day
        if key not in self._wanted:
            self._wanted[key] = wanted_info(
                one.plant,
                self.nights(one.kind),
                told.cold,
                replace(told.into, day=day),
                self.today,
                room=self.rooms.named(told.room),
                typical=self.typical,
            )
        return self._wanted[key]

    def _move(self, told: RiskDate, risk: float) -> Move:
        return move(
            told, risk=risk, today=self.today, north=self.north, typical=self.typical
        )


def _limit(one: Kept) -> float:
    limit = limits_of(one.plant, one.state).preferred_c
    if limit is None:
        raise InputError(
            "the profile has no night minimum to judge by", where=one.plant.name
        )
    return limit


def _sentence(
    rows: list[PlantMonths], trips: Sequence[Trip], risk: float, *, north: bool
) -> str:
    moving = [r for r in rows if r.trip_in is not None]
    if not moving:
        return f"No plant of {len(rows)} has a moving date at a risk of {risk:.0%}."
    autumn = [t for t in trips if t.action == "move in"]
    days = [_spoken(t.day, north=north) for t in autumn]
    if len(rows) == 1:
        name = rows[0].label
        return f"{name} moves in by the evening of {days[0]}, at a risk of {risk:.0%}."
    listed = days[0] if len(days) == 1 else ", ".join(days[:-1]) + f" and {days[-1]}"
    first = autumn[0].plants[0].kept.label
    more = len(autumn[0].plants) - 1
    others = "" if not more else f" with {more} other{'s' * (more > 1)}"
    return (
        f"{len(moving)} of {len(rows)} kinds of plants move in at a risk of "
        f"{risk:.0%}, in {len(days)} trip{'s' * (len(days) > 1)}: by the "
        f"evening{'s' * (len(days) > 1)} of {listed}; first in is {first}{others}."
    )


def _spoken(day: int, *, north: bool) -> str:
    month, of_month = (month_day(day, north=north) or "1-1").split("-")
    return f"{int(of_month)} {MONTH_NAMES[int(month) - 1]}"
