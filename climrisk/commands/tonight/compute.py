"""The coming night at each spot, and what to carry, cover or leave."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from climrisk.advice import tonight as advice
from climrisk.advice.chilling import Exemption
from climrisk.advice.limits import PlantLimits, limit_row, limits_of
from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.commands.shared.standing import StandingPlant
from climrisk.commands.shared.weather_info import assumed_info
from climrisk.commands.tonight import wording as words
from climrisk.commands.tonight.result import (
    ForecastInfo,
    NightForecast,
    NotJudged,
    PlantTonight,
    SpotTonight,
    TonightResult,
)
from climrisk.core.arrays import Float
from climrisk.core.calendar import known_zone, standard_offset_min
from climrisk.core.errors import InputError
from climrisk.core.ranges import Band
from climrisk.core.references import field
from climrisk.core.version import __version__
from climrisk.physics.solar import sunset_utc
from climrisk.pot.mass import HEAVY_KG, pot_mass_kg
from climrisk.render.document import Assumed
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import SpotKind
from climrisk.spot.modifiers import sited
from climrisk.spot.regimes import Regimes, night_kind
from climrisk.spot.transfer import Prepared, prepare, spot_air_c, spot_climate
from climrisk.weather.series import Place, WeatherSeries

if TYPE_CHECKING:
    pass


#: Members from which a spot's standard deviation is taken.
_MEMBERS = 60
#: Where a night's dark hours are known by this share, its minimum is believed.
_KNOWN_SHARE = 0.8
#: A night is known to its end where its hours reach this one of the morning.
_MORNING_HOUR = 9


@dataclass(frozen=True)
class Evening:
    """The hours of a forecast around one night.

    Parameters
    ----------
    weather : WeatherSeries
    evening : date
        The night's evening, local standard time.
    source : ForecastInfo
    regimes : (float, float), optional
        Weight and standard deviation, where the hours do not tell them.
    assumed : tuple of Assumed
        What stands in for what the forecast leaves open.
    room_sd_k : float
        What rooms are uncertain by because the days before are not known. [K]
    lowest_at : bool
        Whether the hour of the minimum means anything.
    highest_c : float or None
        Of the day, where it was told. [°C]
    """

    weather: WeatherSeries
    evening: date
    source: ForecastInfo
    regimes: tuple[float, float] | None = None
    assumed: tuple[Assumed, ...] = ()
    room_sd_k: float = 0.0
    lowest_at: bool = True
    highest_c: float | None = None


def tonight(
    evening: Evening,
    places: Sequence[NamedSpot],
    standing: Sequence[StandingPlant],
    *,
    home: str = "home",
) -> TonightResult:
    """Return what to do before a night.

    Parameters
    ----------
    evening : Evening
    places : sequence of NamedSpot
    standing : sequence of StandingPlant
    home : str

    Raises
    ------
    InputError
        The forecast does not reach that night.
    """
    middle = _prepared(evening, 1)
    spread = _prepared(evening, _MEMBERS)
    rows = _rows(middle, evening)
    night, air = _night(middle, rows, evening)
    spots = [
        _spot(name, kind, middle, spread, rows, air, evening) for name, kind in places
    ]
    by_name = {s.name: s for s in spots}
    latitude = evening.weather.place.latitude_deg
    gusts = {
        name: _gust(middle, kind, rows)
        for name, kind in places
        if any(s.potted.spot == name for s in standing)
    }
    windy = {name: sited(kind, latitude).wind_mean for name, kind in places}
    lists: dict[advice.NightAction, list[PlantTonight]] = {
        "carry": [],
        "cover": [],
        "leave": [],
    }
    inside: list[PlantTonight] = []
    left_out: list[NotJudged] = []
    picked = False
    for one in standing:
        plant, state = one.potted.plant, one.potted.state
        if limit_row(plant, "preferred", state) is None:
            reason = "the profile has no night minimum to judge by"
            left_out.append(NotJudged(label=one.potted.label, reason=reason))
            continue
        limits = limits_of(plant, state)
        spot = by_name[one.potted.spot]
        resting = Exemption.of(plant).covers(
            evening.evening.month, spot.plan_for_c, north=middle.seasons.north
        )
        what = advice.action(
            *(spot.plan_for_c, (limits.preferred_c, limits.tolerated_c), air),
            outdoors=not spot.indoors,
            state=state,
            exempt=resting,
        )
        row = _plant(
            one, spot, by_name, limits, what, gusts[spot.name], resting=resting
        )
        if one.potted.inside and what != "carry":
            inside.append(row)
            continue
        lists[what].append(row)
        picked |= one.room is None and row.to is not None

    def order(row: PlantTonight) -> tuple[bool, float, float, float, str]:
        exposed = windy[row.spot] if air.wind_first else 0.0
        heavy = row.weight_kg or 0.0
        return not row.may_fall, -exposed, -heavy, -row.short_k, row.label

    carry = sorted(lists["carry"], key=order)
    cover = sorted(lists["cover"], key=order)
    leave = sorted(lists["leave"], key=order)
    inside.sort(key=order)
    open_air = any(not s.indoors for s in spots)
    secure = [row.label for row in (*cover, *leave) if row.may_fall]
    notes = {s.potted.plant.name: s.potted.plant.toxic_note for s in standing}
    return TonightResult(
        command="tonight",
        version=__version__,
        home=home,
        forecast=evening.source,
        night=night,
        spots=spots,
        wind_first=air.wind_first,
        cover_helps=air.cover_helps,
        cover_words=words.cover_words(air),
        rooms_words=words.rooms_words(spots, picked=picked),
        first=words.what_first(
            air, secure, open_air=open_air, carry=carry, cold=bool(carry or cover)
        ),
        carry=carry,
        cover=cover,
        leave=leave,
        inside=inside,
        needed=bool(carry or cover or secure),
        secure=secure,
        not_judged=left_out,
        sentence=words.sentence(night, spots, carry, cover, leave, inside),
        figures=words.figures(air),
        assumed=[*evening.assumed, *assumed_info((), (k for _, k in places))],
        cautions=words.cautions(air, carry, notes, open_air=open_air, places=places),
        files=[],
    )


def _prepared(evening: Evening, count: int) -> Prepared:
    """Return the hours made ready, with the regime that was told of the night."""
    made = prepare(evening.weather, ensemble(count))
    if evening.regimes is None:
        return made
    weight, spread = evening.regimes
    known = made.regimes
    same = Regimes(
        np.full_like(known.weight, weight),
        np.full_like(known.spread, spread),
        known.wind_m_s,
        known.cloud_frac,
    )
    return replace(made, nightly=replace(made.nightly, regimes=same))


def _rows(made: Prepared, evening: Evening) -> NDArray[np.int64]:
    """Return the hours of the night; enough of its dark ones must be known."""
    day = (evening.evening - date(1970, 1, 1)).days
    rows = np.flatnonzero(made.seasons.night == day)
    dark = rows[made.dark[rows]]
    known = np.isfinite(made.weather.air_temp_c[dark, 0])
    # Of a night that runs already only the rest is known, and its end is what counts.
    ends = len(rows) > 0 and made.seasons.hour[rows[-1]] >= _MORNING_HOUR
    if len(dark) == 0 or not ends or known.mean() < _KNOWN_SHARE:
        first, last = made.weather.time[[0, -1]]
        raise InputError(
            "the forecast does not reach this night",
            where=field("as_of"),
            value=evening.evening.isoformat(),
            allowed=f"nights within {first} and {last} UTC",
        )
    return rows


def _night(
    made: Prepared, rows: NDArray[np.int64], evening: Evening
) -> tuple[NightForecast, advice.NightAir]:
    weather = made.weather
    air_c = weather.air_temp_c[rows, 0]
    dark = rows[made.dark[rows]]
    index = int(made.nightly.index[rows[0]])
    regimes = made.regimes
    weight = float(regimes.weight[index])
    wind = _most(weather.get("wind_speed_m_s"), dark)
    gust = _most(weather.get("wind_gust_m_s"), rows)
    air = advice.NightAir(weight, wind, gust)
    kind = night_kind(weight)
    gusts = air.gusts_m_s
    cloud = _number(regimes.cloud_frac[index], 2)
    lowest = int(np.nanargmin(air_c))
    return (
        NightForecast(
            evening=evening.evening.isoformat(),
            sunset=_sunset(weather.place, evening.evening),
            lowest_c=round(float(air_c[lowest]), 1),
            lowest_at=_clock(weather, int(rows[lowest])) if evening.lowest_at else None,
            highest_c=_number(evening.highest_c),
            wind_m_s=_number(wind),
            gust_m_s=_number(gusts),
            gust_from_wind=gust is None and gusts is not None,
            cloud_frac=cloud,
            regime_weight=round(weight, 2),
            kind=kind,
            words=words.night_words(kind, air, cloud),
        ),
        air,
    )


def _sunset(place: Place, day: date) -> str | None:
    """Return when the sun sets by the clock of the place, with summer time."""
    found = sunset_utc(day, place.latitude_deg, place.longitude_deg)
    if found is None:
        return None
    moment = found.astype("datetime64[s]").item().replace(tzinfo=UTC)
    return f"{moment.astimezone(known_zone(place.zone)):%H:%M}"


def _clock(weather: WeatherSeries, row: int) -> str:
    moment = weather.time[row]
    year = int(str(moment)[:4])
    offset = standard_offset_min(weather.place.zone, year)
    return str(moment + np.timedelta64(offset, "m"))[11:16]


def _most(x: Float | None, rows: NDArray[np.int64]) -> float | None:
    if x is None or not np.isfinite(x[rows, 0]).any():
        return None
    return float(np.nanmax(x[rows, 0]))


def _number(x: float | None, digits: int = 1) -> float | None:
    return None if x is None or not np.isfinite(x) else round(float(x), digits)


def _gust(middle: Prepared, kind: SpotKind, rows: NDArray[np.int64]) -> float | None:
    """Return the strongest gust of the night at a plant; None behind glass or walls."""
    if kind.group not in ("open-air", "as-measured"):
        return None
    gust = spot_climate(middle, kind).gust_m_s[rows]
    return _number(float(np.nanmax(gust))) if np.isfinite(gust).any() else None


def _spot(
    name: str,
    kind: SpotKind,
    middle: Prepared,
    spread: Prepared,
    rows: NDArray[np.int64],
    air: advice.NightAir,
    evening: Evening,
) -> SpotTonight:
    # Night-to-night scatter is the forecast's; only what differs between members is
    # the spot's own.
    if kind.learned is None:
        quiet = replace(kind, night_noise_sd=(0.0, 0.0))
    else:
        quiet = replace(kind, learned=replace(kind.learned, noise_k=0.0))
    expected = float(np.nanmin(spot_air_c(middle, quiet)[rows, 0]))
    lowest = np.nanmin(spot_air_c(spread, quiet)[rows], axis=0)
    spot_k = float(lowest.std())
    if kind.indoors:
        spot_k = float(np.hypot(spot_k, evening.room_sd_k))
    forecast_k = air.forecast_margin_k
    plan = advice.planned_c(expected, forecast_k, spot_k)
    return SpotTonight(
        name=name,
        kind=kind.name,
        words=kind.words,
        indoors=kind.indoors,
        expected_c=round(expected, 1),
        plan_for_c=round(plan, 1),
        margin_k=round(expected - plan, 1),
        forecast_sd_k=round(forecast_k, 2),
        spot_sd_k=round(spot_k, 2),
    )


def _plant(
    one: StandingPlant,
    spot: SpotTonight,
    spots: dict[str, SpotTonight],
    limits: PlantLimits,
    what: advice.NightAction,
    gust_m_s: float | None,
    *,
    resting: bool,
) -> PlantTonight:
    preferred_c, tolerated_c = limits.preferred_c, limits.tolerated_c
    to = None
    if what == "carry":
        to = _refuge(one, spot, spots, limits, resting=resting)
    weight = None if one.pot is None else round(pot_mass_kg(one.pot), 1)
    falls_at = Band(None, None, None) if gust_m_s is None else one.falls_at_m_s()
    weakest = falls_at.low
    short = round(max(preferred_c - spot.plan_for_c, 0.0), 1)
    return PlantTonight(
        plant=one.potted.plant.name,
        label=one.potted.label,
        row=one.potted.row,
        count=one.potted.count,
        state=one.potted.state,
        spot=spot.name,
        to=None if to is None else to.name,
        to_plan_for_c=None if to is None else to.plan_for_c,
        plan_for_c=spot.plan_for_c,
        preferred_c=preferred_c,
        tolerated_c=tolerated_c,
        short_k=short,
        weight_kg=weight,
        heavy=weight is not None and weight >= HEAVY_KG,
        gust_m_s=gust_m_s,
        falls_at_m_s=falls_at,
        may_fall=gust_m_s is not None and weakest is not None and gust_m_s >= weakest,
        needs_cold=resting,
        why=words.why(spot, limits, what, resting=resting)
        + words.even_there(to, preferred_c),
    )


def _refuge(
    one: StandingPlant,
    spot: SpotTonight,
    spots: dict[str, SpotTonight],
    limits: PlantLimits,
    *,
    resting: bool,
) -> SpotTonight | None:
    """Return the plant's own room, else the first room of the home that is warm enough.

    A plant that rests, or needs cold, goes to the coolest room that does it no harm.
    """
    inside = [s for s in spots.values() if s.indoors and s.name != spot.name]
    if one.room is not None:
        return next(
            (s for s in inside if s.name.lower() == one.room.lower()),
            spots.get(one.room),
        )
    least = limits.tolerated_c if resting else limits.preferred_c
    enough = [s for s in inside if s.plan_for_c >= least]
    if not enough:
        return max(inside, key=lambda s: s.plan_for_c, default=None)
    return min(enough, key=lambda s: s.plan_for_c) if resting else enough[0]
