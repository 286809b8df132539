"""The cold that a spot went through, from a record or from words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.cold_dose import Met
from climrisk.advice.limits import limits_of
from climrisk.commands.event.result import EventSource, HourMet, SpotMet
from climrisk.commands.shared.exposure_info import middle_member
from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.commands.shared.standing import StandingPlant
from climrisk.commands.shared.weather_info import assumed_info, weather_info
from climrisk.core import validation
from climrisk.core.arrays import Float
from climrisk.core.calendar import as_date
from climrisk.core.errors import InputError
from climrisk.core.ranges import PERCENTILES, Band
from climrisk.core.references import field
from climrisk.render.document import WeatherInfo
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import SpotKind
from climrisk.spot.transfer import Prepared, prepare, spot_air_c
from climrisk.weather.series import WeatherSeries
from climrisk.weather.typed.event_text import TypedCold

WARMING_H = 6
#: Stands for hours before the first day. [°C]
EVEN_C = 99.0
#: Days before the first one that pots and rooms remember, and after the last.
BEFORE_D, AFTER_D = 20, 2


@dataclass(frozen=True)
class Cold:
    """What one spot went through.

    Parameters
    ----------
    name : str
    kind : SpotKind
    air_c : ndarray, shape (time, case), or None
        Hour by hour, from midnight of the first day.
    words : TypedCold or None
    row : SpotMet
    roots : dict of str to ndarray, shape (time, case)
        Root zones over the same hours, by the pot.
    stamps : tuple of str
        Local standard time of the hours.
    """

    name: str
    kind: SpotKind
    air_c: Float | None
    words: TypedCold | None
    row: SpotMet
    roots: dict[str, Float]
    stamps: tuple[str, ...] = ()

    def hours(self) -> list[HourMet]:
        """Return the hours with their spread; none from words."""
        if self.air_c is None:
            return []
        known = np.asarray(np.isfinite(self.air_c).all(axis=1), bool).reshape(-1)
        filled = np.where(known[:, None], self.air_c, 0.0)
        low, mid, high = np.percentile(filled, PERCENTILES, axis=1)
        return [
            HourMet(
                spot=self.name,
                at=at,
                low_c=round(float(low[i]), 2) if known[i] else None,
                mid_c=round(float(mid[i]), 2) if known[i] else None,
                high_c=round(float(high[i]), 2) if known[i] else None,
            )
            for i, at in enumerate(self.stamps)
        ]

    def met(self) -> Met:
        """Return the dose as the reports are graded by it."""
        if self.words is not None:
            words = self.words
            return Met(words.lowest_c, below_c=words.below_c, hours=words.hours)
        assert self.air_c is not None
        # Days are counted from noon to noon: half a day before the first one is even.
        before = np.full(12, EVEN_C)
        return Met.of(np.concatenate([before, middle_member(self.air_c)]))


def from_words(words: TypedCold, name: str, kind: SpotKind, ended: date) -> Cold:
    """Return a spot's cold as told in words."""
    at = None
    if words.at_h is not None:
        minutes = round(words.at_h * 60)
        at = f"{ended.isoformat()} {minutes // 60:02d}:{minutes % 60:02d}"
    warming = words.warming_k_per_h
    row = SpotMet(
        name=name,
        kind=kind.name,
        words=kind.words,
        lowest_c=Band.exact(words.lowest_c),
        lowest_at=at,
        warming_k_per_h=None if warming is None else round(warming, 1),
        unknown_hours=None,
    )
    return Cold(name, kind, None, words, row, {})


def from_record(
    weather: WeatherSeries,
    places: Sequence[NamedSpot],
    standing: Sequence[StandingPlant],
    first: date | None,
    last: date | None,
    *,
    members: int,
    elevation_m: float | None = None,
) -> tuple[list[Cold], EventSource, date, WeatherInfo]:
    """Return each spot's cold from a record, its days, and the last cold day.

    Without days, those around the coldest night of the record's last year.

    Raises
    ------
    InputError
        Days outside the record.
    """
    members = validation.members(members)
    chosen = "the days asked for"
    if first is None and last is None:
        first, last = _coldest_days(weather)
        chosen = "the coldest night of the record's last year"
    first, last = first or last, last or first
    assert first is not None
    assert last is not None
    prepared = prepare(
        _around(weather, first, last), ensemble(members), spot_elevation_m=elevation_m
    )
    rows = _days(prepared, first, last)
    colds = [_spot_cold(n, k, prepared, rows, standing) for n, k in places]
    source = EventSource(
        kind="record",
        words=None,
        first=first.isoformat(),
        last=last.isoformat(),
        chosen=chosen,
    )
    assumed = assumed_info(prepared.assumed, (k for _, k in places))
    ended = _ended(prepared, rows, colds, standing, last)
    return colds, source, ended, weather_info(weather, assumed)


def _coldest_days(weather: WeatherSeries) -> tuple[date, date]:
    seasons, air = weather.seasons(), weather.air_temp_c[:, 0]
    late = np.where(seasons.day > seasons.day[-1] - 365, air, np.nan)
    if not np.isfinite(late).any():
        raise InputError(
            "nothing is known of the record's last year",
            where=weather.source.label,
            next_step=f"give the days by {field('from_')} and {field('to')}",
        )
    evening = as_date(int(seasons.night[int(np.nanargmin(late))]))
    return evening, evening + timedelta(days=1)


def _around(weather: WeatherSeries, first: date, last: date) -> WeatherSeries:
    """Return the days with those before that pots and rooms remember."""
    day, epoch = weather.seasons().day, date(1970, 1, 1)
    inside = day >= (first - epoch).days - BEFORE_D
    inside &= day <= (last - epoch).days + AFTER_D
    if not inside.any():
        raise _outside(first, last, day)
    rows = np.flatnonzero(inside)
    return weather.between(int(rows[0]), int(rows[-1]) + 1)


def _outside(first: date, last: date, day: NDArray[np.int64]) -> InputError:
    return InputError(
        "no hour of the record lies in these days",
        where=f"{field('from_')}, {field('to')}",
        value=f"{first.isoformat()} to {last.isoformat()}",
        allowed=f"{as_date(int(day[0]))} to {as_date(int(day[-1]))}",
    )


def _days(prepared: Prepared, first: date, last: date) -> NDArray[np.int64]:
    day = prepared.seasons.day
    epoch = date(1970, 1, 1)
    inside = (day >= (first - epoch).days) & (day <= (last - epoch).days)
    if not inside.any():
        raise _outside(first, last, day)
    return np.flatnonzero(inside)


def _spot_cold(
    name: str,
    kind: SpotKind,
    prepared: Prepared,
    rows: NDArray[np.int64],
    standing: Sequence[StandingPlant],
) -> Cold:
    here = [s for s in standing if s.potted.spot == name and s.pot is not None]
    roots: dict[str, Float] = {}
    if here:
        from climrisk.pot.root_zone import root_zone
        from climrisk.spot.transfer import spot_climate

        climate = spot_climate(prepared, kind)
        air = climate.air_c
        for one in here:
            key = repr(one.pot)
            if one.pot is not None and key not in roots:
                roots[key] = root_zone(climate, one.pot).mean_c[rows]
    else:
        air = spot_air_c(prepared, kind)
    inside = air[rows]
    middle = middle_member(inside)
    known = np.isfinite(middle)
    lowest_at, warming = None, None
    if known.any():
        low = int(np.nanargmin(middle))
        at = rows[low]
        lowest_at = _stamp(prepared.seasons.day[at], prepared.seasons.hour[at])
        # The rise goes on beyond the last day asked for.
        then = middle_member(air[rows[low] : rows[low] + WARMING_H + 1])
        rise = np.diff(then)
        if np.isfinite(rise).any():
            warming = round(float(np.nanmax(rise)), 1)
    row = SpotMet(
        name=name,
        kind=kind.name,
        words=kind.words,
        lowest_c=band_of(lowest_of(inside), 1),
        lowest_at=lowest_at,
        warming_k_per_h=warming,
        unknown_hours=int((~known).sum()),
    )
    seasons = prepared.seasons
    stamps = tuple(_stamp(seasons.day[i], seasons.hour[i]) for i in rows)
    return Cold(name, kind, inside, None, row, roots, stamps)


def _stamp(day: int, hour: float) -> str:
    moment = datetime.combine(as_date(int(day)), datetime.min.time())
    return (moment + timedelta(hours=float(hour))).strftime("%Y-%m-%d %H:%M")


def _ended(
    prepared: Prepared,
    rows: NDArray[np.int64],
    colds: Sequence[Cold],
    standing: Sequence[StandingPlant],
    last: date,
) -> date:
    """Return the last day on which a plant met cold; the last asked for where none."""
    latest = -1
    for one in standing:
        limit = limits_of(one.potted.plant, one.potted.state).preferred_c
        cold = next(c for c in colds if c.name == one.potted.spot)
        if cold.air_c is None:
            continue
        below = np.flatnonzero(middle_member(cold.air_c) < limit)
        if len(below):
            latest = max(latest, int(below[-1]))
    if latest < 0:
        return last
    return as_date(int(prepared.seasons.day[rows[latest]]))


def lowest_of(values: Float) -> Float:
    """Return the lowest known value of each case, NaN where none is."""
    known = np.isfinite(values)
    low = np.where(known, values, np.inf).min(axis=0)
    return np.where(np.isinf(low), np.nan, low)


def band_of(members: Float, digits: int) -> Band:
    """Return the rounded band of some members."""
    return Band.of(members).rounded(digits)
