"""From dates of plants to days on which something is carried, checked or hardened."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal

from climrisk.advice.chilling import window_of
from climrisk.advice.dates import RiskDate, spring_risk
from climrisk.advice.trips import Mover, grouped
from climrisk.advice.verdict import retreat_days, when
from climrisk.commands.calendar.result import (
    CalendarAction,
    CalendarEntry,
    Load,
    LoadPlant,
)
from climrisk.commands.shared.judgements import Judgement
from climrisk.commands.shared.potted_plant import PottedPlant
from climrisk.core.calendar import growing_year_of, growing_year_start, season_date
from climrisk.core.days import day as written_day
from climrisk.core.quantities import temperature
from climrisk.pot.mass import HEAVY_KG, pot_mass_kg

#: Pests are looked for this many days before moving in (1 to 2 weeks, common practice).
PEST_DAYS = 10
#: Days before the first night out on which a plant is put out by day: first an hour in
#: full shade, then half a day (7 to 14 days in all, extension services and growers).
HARDEN = (
    (10, "one hour in full shade by day, in again by night; a little longer each day"),
    (5, "half a day in bright shade, in again by night"),
)
#: Who goes together is settled at this risk, whatever risk is asked for.
_FIXED_RISK = 0.1


@dataclass(frozen=True, eq=False)
class DatedPlant:
    """A plant with its dates and where it goes; another of the same kind is another."""

    potted: PottedPlant
    judgement: Judgement
    room: str | None

    @property
    def into(self) -> RiskDate:
        """Date to move in."""
        return self.judgement.dates.move_in

    @property
    def out(self) -> RiskDate:
        """Date to move out."""
        return self.judgement.dates.move_out

    @property
    def name(self) -> str:
        """What stands on the list."""
        count = self.potted.count
        return self.potted.label + (f" ({count})" if count > 1 else "")


@dataclass(frozen=True)
class Trip:
    """Plants that move together, and the day of the growing year by which they go."""

    number: int
    action: Literal["move in", "move out"]
    day: int
    plants: tuple[DatedPlant, ...]
    pressing: DatedPlant


def plan(plants: Sequence[DatedPlant], trips: int) -> list[Trip]:
    """Return the trips of a growing year, those of autumn first.

    Parameters
    ----------
    plants : sequence of DatedPlant
        Of spots outdoors.
    trips : int
        At most so many a year, in and out together; one each way at least.
    """
    ways: tuple[tuple[Literal["move in", "move out"], int], ...] = (
        ("move in", max(1, trips - trips // 2)),
        ("move out", max(1, trips // 2)),
    )
    out: list[Trip] = []
    for action, most in ways:
        autumn = action == "move in"
        movers = [_mover(p, autumn=autumn) for p in plants]
        for group in grouped(movers, most, autumn=autumn):
            going = [plants[i] for i in group]
            days = [(_day(p, autumn=autumn), p) for p in going]
            dated = [(d, p) for d, p in days if d is not None]
            if not dated:
                continue
            pick = min if autumn else max
            day, pressing = pick(dated, key=lambda pair: pair[0])
            number = 1 + sum(t.action == action for t in out)
            moving = tuple(p for _, p in dated)
            out.append(Trip(number, action, day, moving, pressing))
    return out


def _day(plant: DatedPlant, *, autumn: bool) -> int | None:
    return (plant.into if autumn else plant.out).day


def _mover(plant: DatedPlant, *, autumn: bool) -> Mover:
    risks = _FIXED_RISK, spring_risk(_FIXED_RISK)
    dates = plant.judgement.dates_at(risks)
    date_ = dates.move_in if autumn else dates.move_out
    wants = window_of(plant.potted.plant) is not None
    return Mover(date_.day, wants_cool=wants, always=date_.status == "always")


def entries(
    trips: Sequence[Trip], home: str, today: date, *, north: bool
) -> list[CalendarEntry]:
    """Return the days of the growing year that holds today and of the next.

    What was noted as carried already is not on the list of the next trip that way.
    """
    this = growing_year_of(today, north=north)
    days = [
        (calendar_day(trip.day, year, north=north), trip, year)
        for year in (this, this + 1)
        for trip in trips
    ]
    out = []
    for day, trip, year in days:
        going = [p for p in trip.plants if not _done(p, trip.action, day, today, days)]
        if going:
            first = trip.pressing if trip.pressing in going else going[0]
            left = replace(trip, plants=tuple(going), pressing=first)
            out += _of_trip(left, day, home, year)
    return sorted(out, key=lambda e: (e.date, e.action, e.trip))


def _done(
    plant: DatedPlant,
    action: str,
    day: date,
    today: date,
    days: Sequence[tuple[date, Trip, int]],
) -> bool:
    """Return whether a coming move was noted as made; not if one back lies between."""
    inside = plant.potted.inside
    if inside is None or inside != (action == "move in") or day < today:
        return False
    back = (d for d, t, _ in days if t.action != action and plant in t.plants)
    return not any(today <= d <= day for d in back)


def retreats(
    plants: Sequence[DatedPlant], home: str, today: date, *, north: bool
) -> list[CalendarEntry]:
    """Return the days on which plants are moved out of the summer heat, and back."""
    groups: dict[tuple[tuple[int, ...], str], list[DatedPlant]] = {}
    for plant in plants:
        found = plant.judgement.verdict
        if found.retreat is not None:
            key = found.retreat_months, found.retreat.name
            groups.setdefault(key, []).append(plant)
    this = growing_year_of(today, north=north)
    out = []
    for (months, place), going in groups.items():
        rows = [replace(p, room=place) for p in going]
        for year in (this, this + 1, this + 2):
            first, last = _retreat_days(months, year)
            why = f"it is too hot there {when(months)}"
            moves: tuple[tuple[CalendarAction, date], ...] = (
                ("retreat", first),
                ("return", last),
            )
            for action, day in moves:
                uid = _uid(f"{home}|{action}|{year}|{place}|{months[0]}")
                out.append(_retreat(rows, action, day, why, uid))
    return sorted(out, key=lambda e: (e.date, e.action))


def _retreat_days(months: Sequence[int], year: int) -> tuple[date, date]:
    first, last = (date.fromisoformat(f"{year}-{d}") for d in retreat_days(months))
    return first, last if last > first else last.replace(year=year + 1)


def _retreat(
    rows: Sequence[DatedPlant], action: CalendarAction, day: date, why: str, uid: str
) -> CalendarEntry:
    loads = _loads(rows)
    return CalendarEntry(
        date=day.isoformat(),
        action=action,
        trip=0,
        spot=", ".join(dict.fromkeys(load.spot for load in loads)),
        plants=[p.name for p in rows],
        loads=loads,
        why=why,
        uid=uid,
    )


def _of_trip(trip: Trip, day: date, home: str, year: int) -> list[CalendarEntry]:
    move = trip.pressing.into if trip.action == "move in" else trip.pressing.out
    why = f"{trip.pressing.name} is the most pressing: {move.why}"
    if len(trip.plants) == 1:
        why = move.why
    rows = [_entry(trip, trip.action, day, why, home, year, 0)]
    follows = f"follows on {written_day(day)}"
    if trip.action == "move in":
        early = day - timedelta(days=PEST_DAYS)
        rows.append(
            _entry(trip, "pest check", early, f"moving in {follows}", home, year, 0)
        )
    else:
        for i, (days, words) in enumerate(HARDEN):
            early = day - timedelta(days=days)
            why = f"{words}; the first night out {follows}"
            rows.append(_entry(trip, "harden", early, why, home, year, i))
    return rows


def _entry(
    trip: Trip,
    action: CalendarAction,
    day: date,
    why: str,
    home: str,
    year: int,
    step: int,
) -> CalendarEntry:
    loads = _loads(trip.plants)
    return CalendarEntry(
        date=day.isoformat(),
        action=action,
        trip=trip.number,
        spot=", ".join(dict.fromkeys(load.spot for load in loads)),
        plants=[p.name for p in trip.plants],
        loads=loads,
        why=why,
        uid=_uid(f"{home}|{action}|{step}|{year}|{trip.number}"),
    )


def watches(
    plants: Sequence[DatedPlant], home: str, today: date, *, north: bool
) -> list[CalendarEntry]:
    """Return when to watch for single harmful nights, a time for each spot.

    Of plants with different dates at one spot, the earliest and the latest.
    """
    by_spot: dict[str, list[tuple[int, int, DatedPlant]]] = {}
    for plant in plants:
        dates = plant.judgement.dates
        begin, end = dates.watch_from, dates.watch_until
        if begin is None or end is None or begin.day is None or end.day is None:
            continue
        if begin.day < end.day:
            row = begin.day, end.day, plant
            by_spot.setdefault(plant.potted.spot, []).append(row)
    this = growing_year_of(today, north=north)
    out = []
    for spot, rows in by_spot.items():
        for year in (this, this + 1):
            first = calendar_day(min(r[0] for r in rows), year, north=north)
            last = calendar_day(max(r[1] for r in rows), year, north=north)
            out += _of_watch([r[2] for r in rows], spot, (first, last), home, year)
    return out


def _of_watch(
    plants: Sequence[DatedPlant],
    spot: str,
    days: tuple[date, date],
    home: str,
    year: int,
) -> list[CalendarEntry]:
    first, last = (day.isoformat() for day in days)
    limits = dict.fromkeys(
        f"below {temperature(p.judgement.limits.tolerated_c)} ({p.potted.label})"
        for p in plants
    )
    below = f"carry in for every night that may fall {', '.join(limits)}"
    rows: tuple[tuple[CalendarAction, str, str | None, str], ...] = (
        ("watch", first, last, f"until {written_day(last)}, {below}"),
        (
            "watch ends",
            last,
            None,
            f"since {written_day(first)} single nights were to be watched",
        ),
    )
    return [
        CalendarEntry(
            date=day,
            until=until,
            action=action,
            trip=0,
            spot=spot,
            plants=[p.name for p in plants],
            loads=_loads(plants),
            why=why,
            uid=_uid(f"{home}|{action}|{year}|{spot}"),
        )
        for action, day, until, why in rows
    ]


def _loads(plants: Sequence[DatedPlant]) -> list[Load]:
    grouped_by: dict[tuple[str, str | None], list[LoadPlant]] = {}
    for plant in plants:
        potted = plant.potted
        kg = None if potted.pot is None else round(pot_mass_kg(potted.pot), 1)
        row = LoadPlant(
            label=potted.label,
            count=potted.count,
            weight_kg=kg,
            heavy=kg is not None and kg >= HEAVY_KG,
        )
        grouped_by.setdefault((potted.spot, plant.room), []).append(row)
    return [
        Load(
            spot=spot,
            room=room,
            plants=sorted(rows, key=lambda r: -(r.weight_kg or 0.0)),
        )
        for (spot, room), rows in grouped_by.items()
    ]


def calendar_day(day: int, start_year: int, *, north: bool) -> date:
    """Return the date of a day of a growing year."""
    month, of_month = season_date(day, north=north)
    first = growing_year_start(start_year, north=north)
    year = first.year + (1 if north and month < 7 else 0)
    return date(year, month, of_month)


def _uid(text: str) -> str:
    """Return an identity that survives a re-made calendar: importing replaces."""
    return hashlib.sha256(text.encode()).hexdigest()[:20] + "@climrisk.invalid"
