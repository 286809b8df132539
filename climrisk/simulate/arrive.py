"""At arrival: is the coming time at the spot within the new plant's comfort?"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np

from climrisk import __version__, checks
from climrisk.advice.arrival import AFTERCARE, BASIS, HOLD_DAYS, Span, Weeks
from climrisk.advice.cautions import (
    ESTIMATE,
    NEW_IMPORT,
    PESTS,
    UNROOTED,
    CautionText,
)
from climrisk.errors import InputError
from climrisk.exposure.nights import Nights
from climrisk.result.arrive import ArriveResult, Care, SpanInfo, WeekInfo
from climrisk.seasons import MONTH_NAMES
from climrisk.simulate import calls
from climrisk.simulate.ask import question_of
from climrisk.simulate.asked import Question
from climrisk.simulate.describe import (
    assumed_info,
    caution_info,
    only_known,
    weather_info,
)
from climrisk.simulate.judge import sweep
from climrisk.simulate.kept import rooms_of
from climrisk.simulate.place import spot_info
from climrisk.simulate.planted import limits_of, plant_info
from climrisk.simulate.winter_rooms import Choice, Room, WinterRooms, usual_rooms
from climrisk.spot.members import worlds
from climrisk.spot.transfer import prepare, spot_air_c
from climrisk.weather.series import WeatherSeries

#: A plant needs so long to settle (6 to 8 weeks, growers' reports).
DEFAULT_WEEKS = 7


def arrive(
    plant: str,
    weather: calls.Weather,
    *,
    weeks: int = DEFAULT_WEEKS,
    home: str | Path | None = None,
    as_of: str | date | None = None,
    **options: Any,
) -> ArriveResult:
    """Return whether a new plant may go to its spot now, else until when to hold it.

    Parameters
    ----------
    plant : str
    weather : WeatherSeries or WeatherChoice
    weeks : int
        The time looked ahead, 1 to 26; 6 to 8 is what a plant takes to settle.
    home : str or Path, optional
    as_of : date or ``YYYY-MM-DD``, optional
        The day it arrives.
    options
        ``spot site state risk members elevation``, as of `climrisk.assess`, and own
        limits.

    Raises
    ------
    InputError
        A name that is not known, a number out of range, a typical year.
    """
    checks.number_in(weeks, 1, 26, what="weeks ahead", where="--weeks")
    own, choice, source = calls.home_of(weather, home)
    kept = own if home is not None else None
    today = calls.today_of(choice, as_of)
    asked = question_of(plant, kept, today, **options)
    return arrive_at(calls.hours_of(source), asked, weeks, rooms_of(kept))


def arrive_at(
    weather: WeatherSeries, asked: Question, weeks: int, rooms: Sequence[Room] = ()
) -> ArriveResult:
    """Return the answer for a question; see `arrive`."""
    only_known(weather.air_temp_c, weather)
    if weather.typical:
        raise InputError(
            "a typical year has no years to look ahead by",
            where=weather.source.label,
            allowed="a record of at least three years",
        )
    limits = limits_of(asked.plant, asked.state)
    if limits.preferred_c is None:
        raise InputError(
            "the profile has no night minimum to judge by", where=asked.plant.name
        )
    prepared = prepare(
        weather, worlds(asked.members), spot_elevation_m=asked.elevation_m
    )
    kind = asked.kind(weather)
    nights = sweep(prepared, spot_air_c(prepared, kind), []).nights
    told = Weeks.of(nights, limits.preferred_c, limits.hot_c)
    days = 7 * weeks
    coming = told.span(asked.today, days)
    least = asked.today + timedelta(days=HOLD_DAYS.get(asked.state, 0))
    until = told.first_comfortable(least, days, asked.risk)
    now = until == asked.today
    room = None
    if not now and not kind.indoors:
        tried = WinterRooms(prepared, rooms or usual_rooms())
        room = tried.choose(asked.plant, limits.preferred_c)
    after = None if now or until is None else told.span(until, days)
    why = _why(coming, asked, until, limits.preferred_c)
    assumed = assumed_info(prepared.assumed)
    return ArriveResult(
        command="arrive",
        version=__version__,
        plant=plant_info(asked.plant, asked.asked, asked.state, asked.read_as),
        weather=weather_info(weather, assumed),
        spot=spot_info(kind, weather, asked.members),
        state=asked.state,
        risk=asked.risk,
        as_of=asked.today.isoformat(),
        weeks=weeks,
        preferred_c=limits.preferred_c,
        hot_c=limits.hot_c,
        coming=_span_info(coming),
        by_week=_by_week(nights, asked.today, weeks),
        put_out_now=now,
        hold_until=None if now or until is None else until.isoformat(),
        hold_where=None if room is None else room.room,
        hold_where_serves=None if room is None else room.serves,
        hold_where_why=None if room is None else room.why,
        after_holding=None if after is None else _span_info(after),
        why=why,
        sentence=_sentence(asked, until, room, why, kind.at),
        aftercare=[Care(words=w, basis=BASIS[b]) for w, b in AFTERCARE[asked.state]],
        cautions=caution_info(_cautions(asked.state)),
        files=[],
    )


def _cautions(state: str) -> list[CautionText]:
    more = {"unrooted": [UNROOTED], "new-import": [NEW_IMPORT]}
    return [ESTIMATE, *more.get(state, []), PESTS]


def _span_info(span: Span) -> SpanInfo:
    share = span.share_cold
    return SpanInfo(
        first=span.first.isoformat(),
        last=(span.first + timedelta(days=span.days - 1)).isoformat(),
        years=span.years,
        share_with_cold_night=None if share is None else round(share, 3),
        cold_nights=span.cold_nights,
        lowest_c=None if span.lowest_c is None else span.lowest_c.rounded(1),
        hot_days=span.hot_days,
    )


def _by_week(nights: Nights, today: date, weeks: int) -> list[WeekInfo]:
    """Return the spread of night minima of each coming week."""
    evening = nights.evening.astype("datetime64[D]")
    month = evening.astype("datetime64[M]").astype(np.int64) % 12 + 1
    of_month = (evening - evening.astype("datetime64[M]")).astype(np.int64) + 1
    out = []
    for week in range(weeks):
        first = today + timedelta(days=7 * week)
        near = np.zeros(len(nights), dtype=bool)
        for ahead in range(7):
            day = first + timedelta(days=ahead)
            near |= (month == day.month) & (of_month == day.day)
        values = nights.lowest_c[near]
        values = values[np.isfinite(values)]
        low = mid = high = None
        if values.size:
            low, mid, high = (
                round(float(v), 1) for v in np.percentile(values, (10, 50, 90))
            )
        out.append(WeekInfo(first=first.isoformat(), low_c=low, mid_c=mid, high_c=high))
    return out


def _why(coming: Span, asked: Question, until: date | None, limit_c: float) -> str:
    if coming.share_cold is None:
        return f"only {coming.years} years of these weeks are known, 3 are needed"
    weeks = coming.days // 7
    why = (
        f"in {coming.share_cold:.0%} of {coming.years} years the coming {weeks} weeks "
        f"had a night below {limit_c:g} °C there"
    )
    hold = HOLD_DAYS.get(asked.state)
    if hold is not None and coming.share_cold <= asked.risk:
        words = asked.state.replace("-", " ")
        why += f", but {_article(words)} plant is held for {hold} days first"
    hot = coming.hot_days
    if hot is not None and hot.mid:
        why += f", and about {hot.mid:.0f} days too hot for it: shade it then"
    if until is None:
        why += f"; no {weeks} weeks of the year keep the risk of {asked.risk:.0%}"
    return why


def _article(words: str) -> str:
    return f"an {words}" if words[0] in "aeiou" else f"a {words}"


def _sentence(
    asked: Question, until: date | None, room: Choice | None, why: str, at: str
) -> str:
    name = asked.plant.name
    if until == asked.today:
        return f"{name} may go to its place {at} now: {why}."
    where = "" if room is None else f" in {room.room}"
    if room is not None and not room.serves:
        where += f" ({room.why})"
    if until is None:
        return f"Hold {name} indoors{where}; no date to put it out can be given: {why}."
    day = f"{until.day} {MONTH_NAMES[until.month - 1]} {until.year}"
    return f"Hold {name} indoors{where} until {day}: {why}."
