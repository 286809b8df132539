"""The move-indoors calendar of a home, or of single plants at a spot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from climrisk.advice.cautions import ESTIMATE, LIFTING, PESTS, WIND
from climrisk.advice.cold_nights import ColdNights
from climrisk.advice.dates import RiskDate, spring_risk
from climrisk.advice.limits import limits_of
from climrisk.commands.calendar.next_weeks import coming
from climrisk.commands.calendar.result import CalendarResult, Coming, PlantMonths
from climrisk.commands.calendar.trips import (
    DatedPlant,
    Trip,
    entries,
    plan,
    retreats,
    watches,
)
from climrisk.commands.shared.chilling import wanted_info
from climrisk.commands.shared.chilling_result import WantedInfo
from climrisk.commands.shared.dates_result import Move
from climrisk.commands.shared.judgements import (
    Judgement,
    Judgements,
    RoomChoice,
    judgements_of,
)
from climrisk.commands.shared.moving_dates import move, usual_nights
from climrisk.commands.shared.named_spots import HomePlaces
from climrisk.commands.shared.potted_plant import PottedPlant
from climrisk.commands.shared.weather_info import (
    assumed_info,
    caution_info,
    only_known,
    weather_info,
)
from climrisk.core import validation
from climrisk.core.calendar import month_day
from climrisk.core.days import day_in_words
from climrisk.core.defaults import DEFAULT_MEMBERS, DEFAULT_RISK, TRIPS_A_YEAR
from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.core.version import __version__
from climrisk.core.wording import one_in, plural
from climrisk.inputs.values import Risk
from climrisk.plants.names import read_as
from climrisk.pot.mass import pot_mass_kg
from climrisk.spot.kinds import SpotKind
from climrisk.weather.series import WeatherSeries

#: A grower has few free evenings (our choice).
DEFAULT_TRIPS = 5
_USUAL_RISK, _ANY_HOME = Risk(), HomePlaces()


def calendar(
    weather: WeatherSeries,
    potted: Sequence[PottedPlant],
    risk: Risk = _USUAL_RISK,
    *,
    today: date,
    trips: int = DEFAULT_TRIPS,
    home: HomePlaces = _ANY_HOME,
    members: int = DEFAULT_MEMBERS,
) -> CalendarResult:
    """Return when plants are out, in, or to be moved.

    Entries cover the growing year that holds `today` and the next; those already past
    stay in, so that a date never depends on the day it is asked.

    Parameters
    ----------
    weather : WeatherSeries
    potted : sequence of PottedPlant
    risk : Risk
        Of plants without a risk of their own.
    today : date
    trips : int
        Trips a year at most, in and out together; one each way at least.
    home : HomePlaces
        Rooms to which plants are carried, and outdoor spots to which they may retreat
        from the heat.
    members : int

    Raises
    ------
    InputError
        No plants, a plant without a night minimum, a number out of range.
    """
    autumn = DEFAULT_RISK if risk.autumn is None else risk.autumn
    validation.risk(autumn, where=field("risk"))
    spring = spring_risk(autumn, risk.spring)
    validation.risk(spring, where=field("spring_risk"))
    validation.number_in(
        trips, *TRIPS_A_YEAR, what="trips a year", where=field("trips")
    )
    members = validation.members(members)
    if not potted:
        raise InputError(
            "no plants to make a calendar for",
            where="calendar",
            allowed=f"plant names, or {field('home', 'FILE')} with plants",
        )
    only_known(weather.air_temp_c, weather)
    limits = [limits_of(one.plant, one.state, strict=risk.strict) for one in potted]
    judgements = judgements_of(
        weather, members, home.elevation_m, home.rooms, home.spots, limits
    )
    shared = _Calendar(judgements, today, strict=risk.strict)
    risks = [
        autumn
        if one.risk is None
        else validation.risk(one.risk, where=f"risk of {one.label}")
        for one in potted
    ]
    both = [(r, spring_risk(r, risk.spring)) for r in risks]
    dated = [shared.dated(one, r) for one, r in zip(potted, both, strict=True)]
    outdoors = [d for d in dated if not d.potted.kind.indoors]
    going = plan(outdoors, trips)
    rows = [shared.row(d, r, going) for d, r in zip(dated, both, strict=True)]
    assumed = assumed_info(judgements.prepared.assumed)
    return CalendarResult(
        command="calendar",
        version=__version__,
        home=home.name,
        risk=autumn,
        spring_risk=spring,
        as_of=today.isoformat(),
        trips=trips,
        weather=weather_info(weather, assumed),
        months=rows,
        entries=sorted(
            entries(going, home.name, today, north=shared.north)
            + watches(outdoors, home.name, today, north=shared.north)
            + retreats(dated, home.name, today, north=shared.north),
            key=lambda e: (e.date, e.action, e.trip, e.spot),
        ),
        sentence=_sentence(rows, going, autumn, north=shared.north),
        cautions=caution_info((ESTIMATE, WIND, LIFTING, PESTS)),
        files=[],
    )


class _Calendar:
    """The calendar of one home: what plants share is computed once."""

    def __init__(self, home: Judgements, today: date, *, strict: bool) -> None:
        self.home, self.today, self.strict = home, today, strict
        self.north = home.north
        self._coming: dict[tuple[SpotKind, float], Coming] = {}
        self._wanted: dict[tuple[Any, ...], WantedInfo | None] = {}

    def dated(self, one: PottedPlant, risks: tuple[float, float]) -> DatedPlant:
        limits = limits_of(one.plant, one.state, strict=self.strict)
        judgement = self.home.at(one.kind, one.plant, limits, risks)
        room = self._room(one, judgement)
        return DatedPlant(one, judgement, None if room is None else room.room)

    def _room(self, one: PottedPlant, judgement: Judgement) -> RoomChoice | None:
        return None if one.kind.indoors else judgement.room(one.room)

    def row(
        self, dated: DatedPlant, risks: tuple[float, float], going: Sequence[Trip]
    ) -> PlantMonths:
        one, found = dated.potted, dated.judgement
        room = self._room(one, found)
        retreat = found.verdict.retreat
        days = {t.action: t.day for t in going if dated in t.plants}
        return PlantMonths(
            row=one.row,
            plant=one.plant.name,
            label=one.label,
            count=one.count,
            spot=one.spot,
            spot_kind=one.kind.name,
            verdict=found.verdict.word,
            may_be=found.verdict.may_be,
            basis=self.home.basis,
            notes=[*_read_as(one), *_notes(found)],
            room=dated.room,
            room_serves=None if room is None else room.serves,
            room_why=None if room is None else room.why,
            weight_kg=None if one.pot is None else round(pot_mass_kg(one.pot), 1),
            preferred_c=found.limits.preferred_c,
            tolerated_c=found.limits.tolerated_c,
            tolerated_basis=found.limits.tolerated.basis,
            risk=risks[0],
            states={str(m): state for m, state in found.shown.items()},
            state_notes={str(m): note for m, note in found.month_notes.items()},
            move_in=self._move(dated.into),
            move_out=self._move(dated.out),
            watch_from=self._watch(found.dates.watch_from),
            watch_until=self._watch(found.dates.watch_until),
            usual=usual_nights(found.dates, north=self.north),
            retreat=None if retreat is None else retreat.name,
            retreat_months=list(found.verdict.retreat_months),
            trip_in=month_day(days.get("move in"), north=self.north),
            trip_out=month_day(days.get("move out"), north=self.north),
            wanted=self.wanted(dated, days.get("move in")),
            indoors=one.kind.indoors,
            inside=one.inside,
            coming=self._soon(found),
        )

    def _soon(self, found: Judgement) -> Coming:
        key = found.kind, found.limits.tolerated_c
        if key not in self._coming:
            self._coming[key] = coming(found.nights, self.today, key[1])
        return self._coming[key]

    def wanted(self, dated: DatedPlant, day: int | None) -> WantedInfo | None:
        one, found = dated.potted, dated.judgement
        key = one.plant.name, one.kind, found.limits, day, dated.room
        if key not in self._wanted:
            rooms = {r.name: r.kind for r in self.home.rooms}
            room = rooms.get(dated.room or "")
            self._wanted[key] = wanted_info(
                one.plant,
                found.nights,
                ColdNights.of(found.nights, found.limits.preferred_c),
                replace(dated.into, day=day),
                self.today,
                room=None if room is None else self.home.nights(room),
                indoors=one.kind.indoors,
                typical=self.home.typical,
            )
        return self._wanted[key]

    def _move(self, date_: RiskDate) -> Move:
        return move(
            date_, today=self.today, north=self.north, typical=self.home.typical
        )

    def _watch(self, date_: RiskDate | None) -> Move | None:
        return None if date_ is None else self._move(date_)


def _read_as(one: PottedPlant) -> list[str]:
    """Return what a name was read as, where that differs from what was typed."""
    name = None if one.typed is None else read_as(one.plant, one.typed)
    return [] if name is None else [f"read as {name}"]


def _notes(judgement: Judgement) -> list[str]:
    """Return what the grower must know beside the dates: heat, light, dry air."""
    found = judgement.verdict
    if found.word in ("poor match", "cannot say"):
        return list(found.reasons)
    return [c.words for c in judgement.conditions]


def _sentence(
    rows: list[PlantMonths], trips: Sequence[Trip], risk: float, *, north: bool
) -> str:
    parts = [
        _moving(rows, trips, risk, north=north),
        _passed(rows),
        _watched(rows),
        _poor(rows),
    ]
    return " ".join(part for part in parts if part)


def _moving(
    rows: list[PlantMonths], trips: Sequence[Trip], risk: float, *, north: bool
) -> str:
    moving = [r for r in rows if r.trip_in is not None]
    if not moving:
        return f"No plant of {len(rows)} has a moving date ({_risk(risk)})."
    autumn = [t for t in trips if t.action == "move in"]
    if len(rows) == 1:
        name, day = rows[0].label, _spoken(autumn[0].day, north=north)
        return f"Bring {name} in by {day} ({_risk(risk)})."
    days = [
        f"{_spoken(t.day, north=north)} "
        f"({plural(sum(m.potted.count for m in t.plants), 'plant')})"
        for t in autumn
    ]
    return f"{_carry_in(len(days))}: {', '.join(days)}; {_risk(risk)}."


def _carry_in(days: int) -> str:
    names = {1: "One carry-in day", 2: "Two", 3: "Three", 4: "Four", 5: "Five"}
    return names.get(days, f"{days}") + (" carry-in days" if days > 1 else "")


def _risk(risk: float) -> str:
    """Return the accepted risk in words."""
    return f"a harmful night comes earlier in {one_in(risk)}"


def _passed(rows: list[PlantMonths]) -> str:
    """Return which plants should be inside by now."""
    late = [
        r
        for r in rows
        if r.move_in.next_date is not None
        and r.move_out.next_date is not None
        and r.move_out.next_date < r.move_in.next_date
    ]
    if not late:
        return ""
    if any(r.inside is not None for r in rows):
        return _still_outside(late)
    if len(rows) == 1:
        since = late[0].move_in.month_day or "01-01"
        return f"It should be inside since {day_in_words(since)}."
    pots = sum(r.count for r in late)
    return f"{plural(pots, 'plant')} should be inside by now."


def _still_outside(late: list[PlantMonths]) -> str:
    """Return which of the plants that should be inside are not, by the notes."""
    out = [r for r in late if not r.inside]
    count = sum(r.count for r in late)
    what = f"all {count} plants that should be inside by now"
    if count == 1:
        what = f"{late[0].label}, which should be inside by now,"
    if not out:
        return f"By your notes {what} {'is' if count == 1 else 'are'}."
    names = [(f"{r.count} " if r.count > 1 else "") + r.label for r in out]
    places = dict.fromkeys(r.spot for r in out)
    there = f" ({', '.join(places)})"
    return (
        f"{count} plant{'s' * (count > 1)} should be inside by now; by your notes "
        f"still outside: {'; '.join(names)}{there}."
    )


def _watched(rows: list[PlantMonths]) -> str:
    """Return which plants stay out and are carried in on single nights."""
    watched = [r.label for r in rows if r.watch_from is not None and not r.indoors]
    if not watched:
        return ""
    names = "; ".join(dict.fromkeys(watched))
    return f"Out all year, carried in on single nights: {names}."


def _poor(rows: list[PlantMonths]) -> str:
    poor = [f"{r.label} on {r.spot}" for r in rows if r.verdict == "poor match"]
    return f"A poor match: {'; '.join(dict.fromkeys(poor))}." if poor else ""


def _spoken(day: int, *, north: bool) -> str:
    return day_in_words(month_day(day, north=north) or "01-01")
