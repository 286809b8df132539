"""At arrival: is the coming time at the spot within the new plant's comfort?"""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from climrisk.advice.arrival import AFTERCARE, BASIS, HOLD_DAYS, CalendarWeeks, Weeks
from climrisk.advice.cautions import (
    ESTIMATE,
    NEW_IMPORT,
    PESTS,
    UNROOTED,
    CautionText,
)
from climrisk.advice.limits import PlantLimits
from climrisk.advice.verdict import when
from climrisk.commands.arrive.result import ArriveResult, Care, SpanInfo, WeekInfo
from climrisk.commands.shared.judgements import Judgement, Judgements, RoomChoice
from climrisk.commands.shared.plant_limits import plant_info
from climrisk.commands.shared.request import AssessRequest
from climrisk.commands.shared.spot_and_pot import spot_info
from climrisk.commands.shared.weather_info import (
    assumed_info,
    caution_info,
    only_known,
    weather_info,
)
from climrisk.core.calendar import season_date
from climrisk.core.days import day_in_words
from climrisk.core.errors import InputError
from climrisk.core.quantities import temperature
from climrisk.core.version import __version__
from climrisk.exposure.nights import Nights
from climrisk.spot.ensemble import ensemble
from climrisk.spot.transfer import prepare
from climrisk.weather.series import WeatherSeries

#: A plant needs so long to settle (6 to 8 weeks, growers' reports).
#: A stretch longer than this is all year.
_ALL_YEAR = 365


def arrive_at(
    weather: WeatherSeries, request: AssessRequest, weeks: int
) -> ArriveResult:
    """Return the answer to whether a new plant may go to its spot now, else when."""
    only_known(weather.air_temp_c, weather)
    if weather.typical:
        raise InputError(
            "a typical year has no years to look ahead by",
            where=weather.source.label,
            allowed="a record of at least three years",
        )
    limits = request.limits
    prepared = prepare(
        weather, ensemble(request.members), spot_elevation_m=request.elevation_m
    )
    kind = request.kind(weather)
    home = Judgements(prepared, request.rooms, request.spots)
    found = home.at(kind, request.plant, limits, request.risks)
    nights = found.nights
    ahead = Weeks.of(
        *(nights, found.cold, found.harmful, limits.heat_c, found.hot_months),
        indoors=_indoors(found),
    )
    days = 7 * weeks
    coming = ahead.span(request.today, days)
    least = request.today + timedelta(days=HOLD_DAYS.get(request.state, 0))
    until = ahead.first_comfortable(least, days, request.risk)
    now = until == request.today
    room = None
    if not now and not kind.indoors:
        room = found.room_for(_months(request.today, until))
    after = None if now or until is None else ahead.span(until, days)
    last = None if until is None else ahead.last_comfortable(until, days, request.risk)
    if last is not None and until is not None and (last - until).days > _ALL_YEAR:
        last = None
    why = _why(coming, request, limits, found.hot_months)
    assumed = assumed_info(prepared.assumed, [kind])
    return ArriveResult(
        command="arrive",
        version=__version__,
        plant=plant_info(request.plant, request.typed, limits, request.read_as),
        weather=weather_info(weather, assumed),
        spot=spot_info(kind, weather, request.members),
        state=request.state,
        risk=request.risk,
        as_of=request.today.isoformat(),
        weeks=weeks,
        verdict=found.verdict.word,
        preferred_c=limits.preferred_c,
        tolerated_c=limits.tolerated_c,
        hot_c=limits.heat_c,
        hot_months=list(found.hot_months),
        coming=_span_info(coming),
        by_week=_by_week(nights, request.today, weeks),
        put_out_now=now,
        hold_until=None if now or until is None else until.isoformat(),
        hold_where=None if room is None else room.room,
        hold_where_serves=None if room is None else room.serves,
        hold_where_why=None if room is None else room.why,
        stays_until=None if last is None else last.isoformat(),
        after_holding=None if after is None else _span_info(after),
        why=why,
        sentence=_sentence(
            *(request, (until, last), room, why, kind.at),
            poor=found.verdict.word == "poor match",
        ),
        aftercare=[Care(words=w, basis=BASIS[b]) for w, b in AFTERCARE[request.state]],
        cautions=caution_info(_cautions(request.state)),
        files=[],
    )


def _indoors(found: Judgement) -> frozenset[tuple[int, int]]:
    """Return month and day of what the calendar calls indoors."""
    begin, end = found.dates.indoors
    days = {season_date(d, north=found.home.north): d for d in range(365)}
    dated = {m for (m, _), d in days.items() if begin <= d < end}
    return frozenset(
        (m, of_month)
        for (m, of_month), d in days.items()
        if begin <= d < end or (m not in dated and found.shown[m] == "in")
    )


def _cautions(state: str) -> list[CautionText]:
    more = {"unrooted": [UNROOTED], "new-import": [NEW_IMPORT]}
    return [ESTIMATE, *more.get(state, []), PESTS]


def _span_info(span: CalendarWeeks) -> SpanInfo:
    share = span.share_harmful
    return SpanInfo(
        first=span.first.isoformat(),
        last=(span.first + timedelta(days=span.days - 1)).isoformat(),
        years=span.years,
        share_with_harmful_night=None if share is None else round(share, 3),
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


def _months(first: date, until: date | None) -> tuple[int, ...]:
    """Return the months from a day to another; all without an end."""
    if until is None:
        return tuple(range(1, 13))
    days = range((until - first).days + 1)
    return tuple(dict.fromkeys((first + timedelta(days=k)).month for k in days))


def _why(
    coming: CalendarWeeks,
    request: AssessRequest,
    limits: PlantLimits,
    hot_months: tuple[int, ...],
) -> str:
    share = coming.share_harmful
    if share is None or coming.cold_nights is None:
        return f"only {coming.years} years of these weeks are known, 3 are needed"
    weeks = f"the coming {coming.days // 7} weeks"
    parts = []
    hold = HOLD_DAYS.get(request.state)
    if coming.comfortable(request.risk):
        if hold is None:
            return (
                f"{weeks} had a night below {temperature(limits.tolerated_c)} there in "
                f"{_years(share, coming.years)}, and few nights were below "
                f"{temperature(limits.preferred_c)}"
            )
        words = request.state.replace("-", " ")
        parts.append(f"{_article(words)} plant is kept indoors for {hold} days first")
    if share > request.risk:
        parts.append(
            f"{weeks} had a night below {temperature(limits.tolerated_c)} there in "
            f"{_years(share, coming.years)}"
        )
    elif not coming.comfortable(request.risk) and not coming.hot:
        parts.append(
            f"about {coming.cold_nights.mid:.0f} of the nights of {weeks} are below "
            f"{temperature(limits.preferred_c)} there"
        )
    if coming.hot:
        parts.append(f"it is too hot there {when(hot_months)}")
    if not parts:
        parts.append(f"{weeks} reach into the time that it spends indoors")
    return "; ".join(parts)


def _years(share: float, years: int) -> str:
    """Return a share of past years in words."""
    if share == 0:
        return f"none of {years} years"
    if share == 1:
        return f"all of {years} years"
    if f"{share:.0%}" == "100%":
        return f"nearly all of {years} years"
    return f"{share:.0%} of {years} years"


def _article(words: str) -> str:
    return f"an {words}" if words[0] in "aeiou" else f"a {words}"


def _sentence(
    request: AssessRequest,
    stay: tuple[date | None, date | None],
    room: RoomChoice | None,
    why: str,
    at: str,
    *,
    poor: bool,
) -> str:
    name, (until, last) = request.plant.name, stay
    end = (
        "" if last is None else f" It can stay there until about {day_in_words(last)}."
    )
    if poor:
        end += f" For a whole year it is a poor match {at}."
    if until == request.today:
        return f"{name} can go to its place {at} now: {why}.{end}"
    where = ""
    if room is not None:
        where = f" ({room.room}{'' if room.serves else f', {room.why}'})"
    if until is None:
        return f"Keep {name} indoors{where}; no time of year suits it {at}: {why}."
    return f"Keep {name} indoors{where} until {day_in_words(until)}: {why}.{end}"
