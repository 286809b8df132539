"""The move-indoors calendar of a home, or of single plants at a spot."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from climrisk import __version__, checks
from climrisk.advice.cautions import ESTIMATE, LIFTING, PESTS, WIND
from climrisk.advice.dates import RiskDate, move_in, move_out, spring_risk
from climrisk.advice.judged import ColdNights
from climrisk.advice.months import month_states, reconciled, typical_months
from climrisk.errors import InputError
from climrisk.result.assess import Move
from climrisk.result.calendar import CalendarResult, Entry, PlantMonths
from climrisk.result.common import Assumed, Caution
from climrisk.seasons import MONTH_NAMES, growing_year_start, season_date
from climrisk.simulate.assess import DEFAULT_MEMBERS
from climrisk.simulate.dated import move
from climrisk.simulate.describe import only_known, weather_info
from climrisk.simulate.judge import sweep
from climrisk.simulate.planted import limits_of
from climrisk.spot.kinds import SpotKind
from climrisk.spot.members import worlds
from climrisk.spot.transfer import Prepared, prepare, spot_air_c
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    from climrisk.exposure.nights import Nights
    from climrisk.plants.model import Profile

#: Pests are looked for this many days before moving in (1 to 2 weeks, common practice).
_PEST_DAYS = 10


@dataclass(frozen=True)
class Kept:
    """A plant as it is kept.

    Parameters
    ----------
    plant : Profile
    label : str
        What its keeper calls it.
    spot : str
        Name of the spot; its kind where it has no other.
    kind : SpotKind
    state : str
    count : int
    risk : float, optional
        Of this plant; that of the calendar where not given.
    """

    plant: Profile
    label: str
    spot: str
    kind: SpotKind
    state: str = "established"
    count: int = 1
    risk: float | None = None


def calendar(
    weather: WeatherSeries,
    kept: Sequence[Kept],
    *,
    risk: float,
    spring: float | None = None,
    today: date,
    home: str = "home",
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
    today : date
    home : str
    elevation_m : float, optional
        Height of the home.
    members : int
    """
    checks.risk(risk, where="--risk")
    risks = (risk, checks.risk(spring_risk(risk, spring), where="--spring-risk"))
    members = checks.members(members)
    if not kept:
        raise InputError(
            "no plants to make a calendar for",
            where="calendar",
            allowed="plant names, or --home FILE with plants",
        )
    only_known(weather.air_temp_c, weather)
    prepared = prepare(weather, worlds(members), spot_elevation_m=elevation_m)
    nights: dict[str, Nights] = {}
    rows, dated = [], []
    for one in kept:
        if one.kind.name not in nights:
            air = spot_air_c(prepared, one.kind)
            nights[one.kind.name] = sweep(prepared, air, []).nights
        own = risk if one.risk is None else checks.risk(one.risk, where=one.label)
        both = (own, spring_risk(own, spring))
        row, into, out = _row(one, nights[one.kind.name], prepared, both, today)
        rows.append(row)
        dated.append((one, row, into, out))
    entries = _entries(dated, today, north=prepared.seasons.north)
    assumed = tuple(
        Assumed(variable=a.variable, value=a.value, spread=a.spread, why=a.why)
        for a in prepared.assumed
    )
    return CalendarResult(
        command="calendar",
        version=__version__,
        home=home,
        risk=risk,
        spring_risk=risks[1],
        as_of=today.isoformat(),
        weather=weather_info(weather, assumed),
        months=rows,
        entries=entries,
        sentence=_sentence(rows, risk),
        cautions=[
            Caution(topic=c.topic, text=c.text)
            for c in (ESTIMATE, WIND, LIFTING, PESTS)
        ],
        files=[],
    )


def _row(
    one: Kept,
    nights: Nights,
    prepared: Prepared,
    risks: tuple[float, float],
    today: date,
) -> tuple[PlantMonths, RiskDate, RiskDate]:
    limit = limits_of(one.plant, one.state).preferred_c
    if limit is None:
        raise InputError(
            "the profile has no night minimum to judge by", where=one.plant.name
        )
    cold = ColdNights.of(nights, limit)
    into, out = move_in(cold, risks[0]), move_out(cold, risks[1])
    typical, north = prepared.weather.typical, prepared.seasons.north
    months = (
        typical_months(cold)
        if typical
        else reconciled(month_states(cold, risks[0]), into, out, north=north)
    )

    def moved(told: RiskDate, risk: float) -> Move:
        return move(told, risk=risk, today=today, north=north, typical=typical)

    row = PlantMonths(
        plant=one.plant.name,
        label=one.label,
        count=one.count,
        spot=one.spot,
        spot_kind=one.kind.name,
        preferred_c=limit,
        risk=risks[0],
        states={str(m): r.state for m, r in months.items()},
        move_in=moved(into, risks[0]),
        move_out=moved(out, risks[1]),
    )
    if typical:
        none = RiskDate(None, "few", None, None, 0, "")
        return row, none, none
    return row, into, out


def _entries(
    dated: list[tuple[Kept, PlantMonths, RiskDate, RiskDate]],
    today: date,
    *,
    north: bool,
) -> list[Entry]:
    this = today.year - (1 if north and today.month < 7 else 0)
    grouped: dict[tuple[date, str, str, int], list[tuple[str, str]]] = defaultdict(list)
    for one, row, into, out in dated:
        if one.kind.indoors:
            continue
        name = row.label + (f" ({row.count})" if row.count > 1 else "")
        for year in (this, this + 1):
            for action, told in (("move in", into), ("move out", out)):
                if told.day is None:
                    continue
                day = _calendar_day(told.day, year, north=north)
                grouped[day, action, one.spot, year].append((name, told.why))
                if action == "move in":
                    early = day - timedelta(days=_PEST_DAYS)
                    why = f"moving in follows on {day.isoformat()}"
                    grouped[early, "pest check", one.spot, year].append((name, why))
    return [
        Entry(
            date=day.isoformat(),
            action=action,
            spot=spot,
            plants=[name for name, _ in plants],
            why="; ".join(dict.fromkeys(why for _, why in plants)),
            uid=_uid(action, spot, year, plants[0][0]),
        )
        for (day, action, spot, year), plants in sorted(grouped.items())
    ]


def _calendar_day(day: int, start_year: int, *, north: bool) -> date:
    month, of_month = season_date(day, north=north)
    first = growing_year_start(start_year, north=north)
    year = first.year + (1 if north and month < 7 else 0)
    return date(year, month, of_month)


def _uid(action: str, spot: str, year: int, plant: str) -> str:
    """Return an identity that survives a re-made calendar: importing replaces.

    The first plant of an entry stands in no other entry of its action, spot and year.
    """
    text = f"{action}|{spot}|{year}|{plant}"
    return hashlib.sha256(text.encode()).hexdigest()[:20] + "@climrisk.invalid"


def _sentence(rows: list[PlantMonths], risk: float) -> str:
    moving = [r for r in rows if r.move_in.month_day is not None]
    if not moving:
        return f"No plant of {len(rows)} has a moving date at a risk of {risk:.0%}."
    # The growing year orders the dates; both halves of the Earth move in by autumn.
    months = list(rows[0].states)
    first = min(
        moving,
        key=lambda r: (
            months.index(str(int((r.move_in.month_day or "1")[:2]))),
            r.move_in.month_day,
        ),
    )
    month, day = (first.move_in.month_day or "1-1").split("-")
    evening = f"by the evening of {int(day)} {MONTH_NAMES[int(month) - 1]}"
    if len(rows) == 1:
        return f"{first.label} moves in {evening}, at a risk of {risk:.0%}."
    return (
        f"{len(moving)} of {len(rows)} kinds of plants move at a risk of {risk:.0%}; "
        f"first in is {first.label}, {evening}."
    )
