"""One judgement of plants at spots, shared by every command that gives advice."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np

from climrisk.advice.chilling import Exemption, Window, window_of
from climrisk.advice.cold_nights import ColdNights
from climrisk.advice.conditions import (
    DRY_ROOM_PCT,
    Condition,
    light_condition,
)
from climrisk.advice.dates import (
    LongCold,
    MovingDates,
    RiskDate,
    moving_dates,
    usual_cold,
)
from climrisk.advice.flowering import (
    DROP_SHARE,
    Flowering,
    Need,
    cool_spell_met,
    flowering,
)
from climrisk.advice.heat import (
    HeatCount,
    HeatCounts,
    HeatKind,
    heat_rows,
    warm_nights,
)
from climrisk.advice.limits import PlantLimits
from climrisk.advice.months import Month, MonthTable, State, overlapped
from climrisk.advice.verdict import (
    RANK,
    Alternative,
    PlaceYear,
    Verdict,
    VerdictBasis,
    VerdictWord,
    best_room,
    single_nights,
    verdict,
    when,
)
from climrisk.commands.shared.exposure_info import yearly_hours, yearly_nights
from climrisk.commands.shared.exposures import sweep, sweep_above
from climrisk.commands.shared.named_spots import USUAL_ROOMS, NamedSpot
from climrisk.core.arrays import Float
from climrisk.core.calendar import (
    GROWING_MONTHS,
    season_date,
    season_months,
)
from climrisk.core.days import day_in_words
from climrisk.core.quantities import difference
from climrisk.core.ranges import Band
from climrisk.exposure.hours import Exposure
from climrisk.exposure.light import daily_light_mol_m2
from climrisk.exposure.nights import COVERAGE, Nights, by_warmth
from climrisk.physics.humidity import rel_humidity_pct
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import SpotKind
from climrisk.spot.modifiers import note_spot, sited
from climrisk.spot.sunlight import sunlight
from climrisk.spot.transfer import Prepared, dew_at_kind_c, prepare, spot_air_c

if TYPE_CHECKING:
    from climrisk.plants.model import LimitRow, Profile
    from climrisk.weather.series import WeatherSeries


#: Light and dry air of a place are taken from the last five years.
RECENT_H = 5 * 8766
#: Plants at spots that are kept judged; a home of hundreds has some dozens of kinds.
_MOST_JUDGED = 200
#: Limits at spots whose nights are kept: many plants have the same, and each is looked
#: at in every room. Some 0.2 MB each, of 30 winters and 20 members.
_MOST_LIMITS = 400
#: Members that stand for the range of the spot: a cold and a warm one.
_QUANTILES = (0.1, 0.9)


_NONE_EXEMPT = Exemption()
Key = TypeVar("Key")
Held = TypeVar("Held")

#: Day limits that plants have are whole and half degrees from 24 to 41: where answers
#: for other plants may follow, all are counted in one pass. [°C]
_USUAL_DAY_LIMITS_C = tuple(k / 2 for k in range(48, 83))

#: Judgements of the last homes, each with the weather behind it; empty where nothing
#: is held.
_HELD: dict[tuple[object, ...], tuple[WeatherSeries, Judgements]] = {}
_MOST_HELD = 0


def hold_judgements(most: int) -> None:
    """Keep the judgements of the last few homes in memory."""
    global _MOST_HELD
    _MOST_HELD = most
    _HELD.clear()


def judgements_of(
    weather: WeatherSeries,
    members: int,
    elevation_m: float | None,
    rooms: Sequence[NamedSpot],
    spots: Sequence[NamedSpot],
    limits: Iterable[PlantLimits],
) -> Judgements:
    """Return the judgements of a home, with what was computed of its weather before.

    Parameters
    ----------
    weather : WeatherSeries
    members : int
    elevation_m : float or None
        Height of the home; the station's where not given.
    rooms, spots, limits
        As of `Judgements`.
    """
    # A weather that is held keeps its identity.
    key = id(weather), members, elevation_m
    held = _HELD.pop(key, None)
    if held is None:
        prepared = prepare(weather, ensemble(members), spot_elevation_m=elevation_m)
        home = Judgements(prepared, rooms, spots)
    else:
        home = held[1].moved(rooms, spots)
        for place in (*home.rooms, *home.spots):
            note_spot(place.kind)
    home.expect(limits)
    if _MOST_HELD:
        home.expect_day_limits(_USUAL_DAY_LIMITS_C)
        _HELD[key] = weather, home
        while len(_HELD) > _MOST_HELD:
            del _HELD[next(iter(_HELD))]
    return home


class Judgements:
    """Judges plants at the spots of a home; what they share is computed once.

    Parameters
    ----------
    prepared : Prepared
    rooms : sequence of NamedSpot
        Rooms of the home; without any, `USUAL_ROOMS`.
    spots : sequence of NamedSpot
        Its spots outdoors, to which a plant may retreat from the heat.
    limits : iterable of PlantLimits
        Of plants that will be asked about, so that their heat is counted in one pass.
    """

    def __init__(
        self,
        prepared: Prepared,
        rooms: Sequence[NamedSpot] = (),
        spots: Sequence[NamedSpot] = (),
        limits: Iterable[PlantLimits] = (),
    ) -> None:
        self.prepared = prepared
        self.rooms = tuple(rooms) or USUAL_ROOMS
        self.rooms_assumed = not rooms
        self.spots = tuple(spots)
        self.typical = prepared.weather.typical
        away = prepared.weather.away
        self.basis: VerdictBasis = "winters"
        if self.typical:
            self.basis = "typical year"
        elif away is not None and away.rough:
            self.basis = "far station"
        self.north = prepared.seasons.north
        self._tops: set[float] = set()
        self.expect(limits)
        self._nights: dict[SpotKind, Nights] = {}
        self._hot: dict[SpotKind, Exposure] = {}
        self._light: dict[SpotKind, dict[int, float | None]] = {}
        self._dry: dict[SpotKind, dict[int, float | None]] = {}
        self._below: dict[tuple[SpotKind, float, Exemption], ColdNights] = {}
        self._long: dict[tuple[SpotKind, float, Exemption], LongCold] = {}
        self._months: dict[tuple[object, ...], dict[int, Month]] = {}
        self._wanted: dict[tuple[SpotKind, Window], float] = {}
        self._heat: dict[tuple[SpotKind, HeatKind, float], HeatCount] = {}
        self._years: dict[
            tuple[SpotKind, Exemption, PlantLimits, float], PlaceYear
        ] = {}
        self._judged: dict[tuple[object, ...], Judgement] = {}
        self._by_recent_years: dict[float | None, Judgements] = {}

    def at(
        self,
        kind: SpotKind,
        plant: Profile,
        limits: PlantLimits,
        risks: tuple[float, float],
        *,
        lowest_c: Float | None = None,
    ) -> Judgement:
        """Judge a plant at a spot.

        Parameters
        ----------
        kind : SpotKind
        plant : Profile
        limits : PlantLimits
            Of the plant in its state.
        risks : (float, float)
            Accepted share of years with a harmful night before moving in, and after
            moving out.
        lowest_c : ndarray, shape (night, member), optional
            Judged in place of the air's lowest temperatures.
        """
        self.expect([limits])
        if lowest_c is not None:
            return Judgement(self, kind, plant, limits, risks, lowest_c)
        key = kind, plant, limits, risks
        note_spot(kind)
        if key not in self._judged:
            self._judged[key] = Judgement(self, kind, plant, limits, risks)
        return _used(self._judged, key, _MOST_JUDGED)

    def expect(self, limits: Iterable[PlantLimits]) -> None:
        """Count the heat of plants that will be asked about in one pass."""
        self.expect_day_limits(row.value for one in limits for row in one.day_limits)

    def expect_day_limits(self, limits_c: Iterable[float]) -> None:
        """Count the hours above some day limits in one pass. [°C]"""
        self._tops.update(limits_c)

    def moved(
        self, rooms: Sequence[NamedSpot], spots: Sequence[NamedSpot]
    ) -> Judgements:
        """Return the judgements of a home with other rooms and spots.

        What was computed of a kind of spot goes along.
        """
        other = Judgements(self.prepared, rooms, spots)
        if (other.rooms, other.spots) == (self.rooms, self.spots):
            return self
        other._tops, other._nights, other._hot = self._tops, self._nights, self._hot
        other._light, other._dry, other._years = self._light, self._dry, self._years
        other._below, other._long = self._below, self._long
        other._months, other._heat = self._months, self._heat
        other._wanted = self._wanted
        other._by_recent_years = {
            height: quick.moved(rooms, spots)
            for height, quick in self._by_recent_years.items()
        }
        return other

    def nights(self, kind: SpotKind) -> Nights:
        """Return the table of nights at a spot."""
        if kind not in self._nights:
            # The air is not kept: what it is needed for is counted at once.
            air = spot_air_c(self.prepared, kind)
            self._nights[kind] = sweep(self.prepared, air, []).nights
            self._hot[kind] = self._above(air)
        return self._nights[kind]

    def _above(self, air_c: Float) -> Exposure:
        """Count the hours above every day limit that is asked about."""
        return sweep_above(self.prepared, air_c, sorted(self._tops))

    def share(
        self, kind: SpotKind, nights: Nights, hot: Exposure | None = None
    ) -> None:
        """Take over what was computed of a spot, where nothing is known of it yet."""
        self._nights.setdefault(kind, nights)
        if hot is not None:
            self._hot.setdefault(kind, hot)

    def heat(self, kind: SpotKind, limits: PlantLimits) -> HeatCounts:
        """Return how often a spot passes the heat limits of a plant."""
        return HeatCounts(
            tuple(self._counted(kind, name, row) for name, row in heat_rows(limits))
        )

    def _counted(self, kind: SpotKind, name: HeatKind, row: LimitRow) -> HeatCount:
        key = kind, name, row.value
        if key not in self._heat:
            count = self._warm_nights if name == "warm_night" else self._hot_hours
            self._heat[key] = HeatCount(name, row, count(kind, row.value))
        return replace(self._heat[key], row=row)

    def _hot_hours(self, kind: SpotKind, limit_c: float) -> Float:
        """Return hours above a limit in whole years, shape (year, 12, member)."""
        known = self._hot.get(kind)
        if known is None or -limit_c not in known.thresholds:
            self._tops.add(limit_c)
            known = self._hot[kind] = self._above(spot_air_c(self.prepared, kind))
        k = int(np.flatnonzero(known.thresholds == -limit_c)[0])
        return self._whole(known.hours[:, :, k], known)

    def _warm_nights(self, kind: SpotKind, limit_c: float) -> Float:
        nights = self.nights(kind)
        counts = warm_nights(nights, limit_c)
        if self.typical:
            return np.asarray(counts.sum(axis=0, keepdims=True))
        # Of a whole year enough nights are known: a missing night is not a cool one.
        of_year = nights.growing_year - nights.growing_year[0]
        length = np.bincount(of_year)
        known = np.bincount(of_year, nights.valid.mean(axis=1))
        return counts[(length >= 365) & (known >= COVERAGE * length)]

    def _whole(self, counts: Float, swept: Exposure) -> Float:
        """Return the counts of growing years that are known well enough."""
        if self.typical:
            return np.asarray(counts.sum(axis=0, keepdims=True))
        return counts[swept.whole_years]

    def year(
        self, kind: SpotKind, plant: Profile, limits: PlantLimits, risk: float
    ) -> PlaceYear:
        """Return a place through the year as a plant finds it, all members pooled."""
        key = kind, Exemption.of(plant), limits, risk
        if key not in self._years:
            months = self.months(kind, plant, limits, risk)
            harmful = self.below(kind, limits.tolerated_c)
            heat = self.heat(kind, limits)
            self._years[key] = PlaceYear(months, heat, self.winters(harmful))
        return self._years[key]

    def months(
        self,
        kind: SpotKind,
        plant: Profile,
        limits: PlantLimits,
        risk: float,
        member: int | None = None,
    ) -> dict[int, Month]:
        """Return the state of each month at a spot, for all members or for one."""
        exempt = Exemption.of(plant)
        key = kind, exempt, limits.preferred_c, limits.tolerated_c, risk, member
        if key not in self._months:
            both = self.cold_nights(kind, plant, limits)
            self._months[key] = self.months_of(kind, *both, risk, member)
        return self._months[key]

    def months_of(
        self,
        kind: SpotKind,
        cold: ColdNights,
        harmful: ColdNights,
        risk: float,
        member: int | None = None,
    ) -> dict[int, Month]:
        """Return the state of each month by its nights, for all members or for one."""
        if member is not None:
            cold, harmful = cold.member(member), harmful.member(member)
        table = MonthTable.of(cold, harmful)
        if self.typical:
            return table.typical(north=self.north, heated=kind.heated)
        return table.months(risk, north=self.north, heated=kind.heated)

    def winters(self, nights: ColdNights) -> int | None:
        """Return the winters that count; None for a typical year."""
        return None if self.typical else len(nights.winters)

    def cold_nights(
        self,
        kind: SpotKind,
        plant: Profile,
        limits: PlantLimits,
        lowest_c: Float | None = None,
    ) -> tuple[ColdNights, ColdNights]:
        """Return the cold nights, without exempt ones, and the harmful nights."""
        exempt = Exemption.of(plant)
        if lowest_c is None:
            return (
                self.below(kind, limits.preferred_c, exempt),
                self.below(kind, limits.tolerated_c),
            )
        nights = self.nights(kind)
        return (
            ColdNights.of(
                nights, limits.preferred_c, lowest_c, exempt=exempt.nights(nights)
            ),
            ColdNights.of(nights, limits.tolerated_c, lowest_c),
        )

    def below(
        self, kind: SpotKind, limit_c: float, exempt: Exemption = _NONE_EXEMPT
    ) -> ColdNights:
        """Return the nights below a limit at a spot."""
        key = kind, limit_c, exempt
        if key not in self._below:
            nights = self.nights(kind)
            self._below[key] = ColdNights.of(
                nights, limit_c, exempt=exempt.nights(nights)
            )
        return _used(self._below, key, _MOST_LIMITS)

    def long_cold(self, kind: SpotKind, limit_c: float, exempt: Exemption) -> LongCold:
        """Return when most nights at a spot are below a limit."""
        key = kind, limit_c, exempt
        if key not in self._long:
            self._long[key] = LongCold.of(self.below(*key))
        return self._long[key]

    def alternatives(
        self, kind: SpotKind, plant: Profile, limits: PlantLimits, risk: float
    ) -> list[Alternative]:
        """Return the other spots and rooms of the home, as the plant finds them."""
        out = []
        for i, place in enumerate((*self.rooms, *self.spots)):
            if place.kind == kind:
                continue
            year = self.year(place.kind, plant, limits, risk)
            order = self._order(place.kind, plant, limits, i)
            at = place.kind.at
            out.append(Alternative(place.name, at, year, place.kind.indoors, order))
        return out

    def _order(
        self, kind: SpotKind, plant: Profile, limits: PlantLimits, place: int
    ) -> tuple[float, ...]:
        """Return what ranks acceptable places: wanted cold, light, the home's order."""
        floor = limits.light_floor
        known = [x for x in self.light(kind).values() if x is not None]
        dark = bool(floor is not None and known and min(known) < floor.value)
        window = window_of(plant)
        wanted = 0.0 if window is None else self._wanted_nights(kind, window)
        return (-round(wanted), float(dark), float(place))

    def _wanted_nights(self, kind: SpotKind, window: Window) -> float:
        """Return the wanted nights of the median winter at a spot."""
        key = kind, window
        if key not in self._wanted:
            got = _per_winter(window, self.nights(kind), None, ())
            self._wanted[key] = float(np.median(got)) if got.size else 0.0
        return self._wanted[key]

    @cached_property
    def _recent(self) -> Prepared:
        return prepare(self._recent_weather, ensemble(1))

    @property
    def _recent_weather(self) -> WeatherSeries:
        weather = self.prepared.weather
        return weather.between(max(0, len(weather) - RECENT_H), len(weather))

    def of_recent_years(self, elevation_m: float | None) -> Judgements:
        """Return the judgements by the last five years and the median member.

        Parameters
        ----------
        elevation_m : float or None
            Height of the home, as for these judgements.
        """
        if elevation_m not in self._by_recent_years:
            prepared = prepare(
                self._recent_weather, ensemble(1), spot_elevation_m=elevation_m
            )
            quick = Judgements(prepared, self.rooms, self.spots)
            quick.expect_day_limits(self._tops)
            self._by_recent_years[elevation_m] = quick
        return self._by_recent_years[elevation_m]

    def light(self, kind: SpotKind) -> dict[int, float | None]:
        """Return the daily light of each month at a spot, median member. [mol/m²]"""
        if kind not in self._light:
            recent = self._recent
            here = sited(kind, recent.weather.place.latitude_deg)
            top = sunlight(here, recent.sky, north=self.north)[1][:, 0]
            self._light[kind] = _by_month(
                recent, top, lambda known: daily_light_mol_m2(known.mean())
            )
        return self._light[kind]

    def humidity_pct(self, kind: SpotKind) -> dict[int, float | None]:
        """Return the median humidity of each month in a room, median member. [%]"""
        if kind not in self._dry:
            recent = self._recent
            here = sited(kind, recent.weather.place.latitude_deg)
            air = spot_air_c(recent, kind)
            dew = dew_at_kind_c(recent, here, air)
            humidity = rel_humidity_pct(air, dew)[:, 0]
            self._dry[kind] = _by_month(recent, humidity, np.median)
        return self._dry[kind]


def _used(held: dict[Key, Held], key: Key, most: int) -> Held:
    """Return what is held, now the one used last; the oldest beyond `most` goes."""
    found = held[key] = held.pop(key)
    while len(held) > most:
        del held[next(iter(held))]
    return found


def _by_month(
    prepared: Prepared, hourly: Float, of: Callable[[Float], Any]
) -> dict[int, float | None]:
    """Return a statistic of the known hours of each month; None where none is known."""
    finite = np.isfinite(hourly)
    out: dict[int, float | None] = {}
    for month in range(1, 13):
        known = hourly[finite & (prepared.seasons.month == month)]
        out[month] = float(of(known)) if known.size else None
    return out


@dataclass(frozen=True)
class RoomChoice:
    """Where a plant goes for the cold months.

    Parameters
    ----------
    room : str
    serves : bool
        Whether it is acceptable in those months.
    why : str
        What is wrong with it, where it is not.
    """

    room: str
    serves: bool
    why: str


@dataclass(frozen=True, eq=False)
class Judgement:
    """A plant at a spot: months, dates, heat, verdict and conditions.

    Parameters
    ----------
    home : Judgements
    kind : SpotKind
    plant : Profile
    limits : PlantLimits
    risks : (float, float)
        Of autumn and spring.
    lowest_c : ndarray, shape (night, member), or None
        Judged in place of the air's.
    """

    home: Judgements
    kind: SpotKind
    plant: Profile
    limits: PlantLimits
    risks: tuple[float, float]
    lowest_c: Float | None = field(default=None, repr=False)
    _dates: dict[tuple[float, float], MovingDates] = field(
        default_factory=dict, repr=False
    )
    _rooms: dict[str | None, RoomChoice | None] = field(
        default_factory=dict, repr=False
    )

    @property
    def nights(self) -> Nights:
        """The table of nights at the spot."""
        return self.home.nights(self.kind)

    @cached_property
    def _both(self) -> tuple[ColdNights, ColdNights]:
        return self.home.cold_nights(self.kind, self.plant, self.limits, self.lowest_c)

    @property
    def cold(self) -> ColdNights:
        """Nights below the preferred minimum, without exempt ones."""
        return self._both[0]

    @property
    def harmful(self) -> ColdNights:
        """Nights below the tolerated minimum."""
        return self._both[1]

    @cached_property
    def year(self) -> PlaceYear:
        """The spot through the year, all members pooled."""
        by_air = self.home.year(self.kind, self.plant, self.limits, self.risks[0])
        if self.lowest_c is None:
            return by_air
        return replace(by_air, months=self._months())

    def _months(self, member: int | None = None) -> dict[int, Month]:
        risk = self.risks[0]
        if self.lowest_c is None:
            return self.home.months(self.kind, self.plant, self.limits, risk, member)
        return self.home.months_of(self.kind, *self._both, risk, member)

    @property
    def heat(self) -> HeatCounts:
        """Heat limits of the plant at the spot."""
        return self.year.heat

    @property
    def months(self) -> Mapping[int, Month]:
        """State of each month by its nights."""
        return self.year.months

    @cached_property
    def dates(self) -> MovingDates:
        """Dates to move or to watch."""
        if self.home.typical:
            why = "a typical year has no winters to count: no date and no risk"
            none = RiskDate(None, "few", None, None, 0, why)
            return MovingDates(none, none, None, None, None, None)
        return self.dates_at(self.risks)

    def dates_at(self, risks: tuple[float, float]) -> MovingDates:
        """Return the dates at other risks of autumn and spring."""
        if risks not in self._dates:
            self._dates[risks] = self._dated(risks)
        return self._dates[risks]

    def _dated(self, risks: tuple[float, float]) -> MovingDates:
        found = moving_dates(
            self.cold,
            self.harmful,
            self._long_cold,
            risks,
            any_month_in=any(m.state == "in" for m in self.months.values()),
            limits_c=(self.limits.preferred_c, self.limits.tolerated_c),
        )
        first, last = self._usual_cold
        return replace(found, usual_first_cold=first, usual_last_cold=last)

    @cached_property
    def _usual_cold(self) -> tuple[int | None, int | None]:
        """First and last night below the preferred minimum, in its rest as well."""
        limit_c = self.limits.preferred_c
        if self.lowest_c is None:
            return usual_cold(self.home.below(self.kind, limit_c))
        return usual_cold(ColdNights.of(self.nights, limit_c, self.lowest_c))

    @cached_property
    def _long_cold(self) -> LongCold:
        if self.kind.heated:
            return LongCold(np.array([np.inf]), np.array([-np.inf]))
        if self.lowest_c is None:
            exempt = Exemption.of(self.plant)
            return self.home.long_cold(self.kind, self.limits.preferred_c, exempt)
        return LongCold.of(self.cold)

    @cached_property
    def shown(self) -> dict[int, State]:
        """States as they are shown: between the dates every month is ``in``."""
        begin, end = self.dates.indoors
        inside = overlapped(np.array([begin]), np.array([end]), north=self.home.north)
        return {
            m: "in" if inside[m - 1, 0] and row.state != "unknown" else row.state
            for m, row in self.months.items()
        }

    @cached_property
    def month_notes(self) -> dict[int, str]:
        """Words of the months that a moving date divides."""
        out: dict[int, str] = {}
        for day, word in (
            (self.dates.move_in.day, "from"),
            (self.dates.move_out.day, "until"),
        ):
            if day is not None and 0 < day < 365:
                month, of_month = season_date(day, north=self.home.north)
                # A short stay begins and ends in one month.
                before = out.get(month, "in")
                on = day_in_words(f"{month:02d}-{of_month:02d}")
                out[month] = f"{before} {word} {on}"
        return out

    @cached_property
    def alternatives(self) -> list[Alternative]:
        """Other spots and rooms of the home."""
        return self.home.alternatives(self.kind, self.plant, self.limits, self.risks[0])

    @cached_property
    def _by_months(self) -> Verdict:
        return verdict(self.year, self._edges(), self.alternatives)

    @cached_property
    def verdict(self) -> Verdict:
        """The word with its reasons."""
        found, window = self._by_months, window_of(self.plant)
        if window is None or not window.obligate:
            return found
        need = self._cool_spell(found)
        if need is None or need.met is not False or found.word == "cannot say":
            return found
        why = f"its winter is not cold enough: {need.words}"
        return replace(found, word="poor match", reasons=(why,), may_be=None)

    def _edges(self) -> list[PlaceYear]:
        """Return the cold and the warm member."""
        count = self.harmful.members
        if count == 1:
            return [self.year]
        own = self.lowest_c
        warmth = self.nights.by_warmth if own is None else by_warmth(own)
        return [self._member(int(warmth[round(q * (count - 1))])) for q in _QUANTILES]

    def _member(self, index: int) -> PlaceYear:
        months = self._months(index)
        return PlaceYear(months, self.heat.member(index), self.year.winters)

    def acceptable(self, months: Iterable[int]) -> bool:
        """Whether the plant may stay in some months."""
        return self.year.acceptable(tuple(months))

    @cached_property
    def hot_months(self) -> tuple[int, ...]:
        """Months in which the heat rules the spot out; all where no month helps."""
        free = [m for m in self.months if m not in self.verdict.months_in]
        if not self.heat.too_hot(free):
            return ()
        return self.heat.retreat(free) or tuple(free)

    def room(self, wished: str | None = None) -> RoomChoice | None:
        """Return where the plant spends its months indoors; None where it has none.

        Parameters
        ----------
        wished : str, optional
            The room that its grower names: it is kept, and judged.
        """
        if wished not in self._rooms:
            self._rooms[wished] = self.room_for(self.verdict.months_in, wished)
        return self._rooms[wished]

    def room_for(
        self, months: Sequence[int], wished: str | None = None
    ) -> RoomChoice | None:
        """Return the room that serves best in some months, else the least bad one."""
        rooms = [a for a in self.alternatives if a.indoors]
        if wished is not None:
            rooms = [a for a in rooms if a.name.lower() == wished.lower()] or rooms
        if not months or not rooms:
            return None
        best = best_room(rooms, months)
        if best is not None:
            return RoomChoice(best.name, serves=True, why="")
        least = min(rooms, key=lambda a: (len(a.year.too_cold(months)), a.order))
        return RoomChoice(least.name, serves=False, why=least.year.lacks(months))

    @cached_property
    def room_kind(self) -> SpotKind | None:
        """Kind of the room that takes the plant for the cold months."""
        return self._kind_of(self._by_months.room)

    def _kind_of(self, place: Alternative | None) -> SpotKind | None:
        if place is None:
            return None
        places = (*self.home.rooms, *self.home.spots)
        return next(p.kind for p in places if p.name == place.name)

    def stands_at(self, month: int) -> SpotKind:
        """Return where the plant stands in a month by the verdict."""
        found = self._by_months
        if month in found.months_in and self.room_kind is not None:
            return self.room_kind
        if month in found.retreat_months:
            return self._kind_of(found.retreat) or self.kind
        return self.kind

    @cached_property
    def conditions(self) -> list[Condition]:
        """What has to be done besides moving."""
        if self.verdict.word in ("poor match", "cannot say"):
            return []
        order = season_months(north=self.home.north)
        light = {m: self.home.light(self.stands_at(m))[m] for m in order}
        floor = self.limits.light_floor
        rows = [
            light_condition(None if floor is None else floor.value, light, order),
            self._single_nights(),
            self._retreat(),
            self._warm(),
            self._dry(order),
        ]
        return [row for row in rows if row is not None]

    def _single_nights(self) -> Condition | None:
        found = self.verdict
        # Between the moving dates it is inside, also in months that are not wholly so.
        watched = tuple(m for m, state in self.shown.items() if state == "watch")
        watched = tuple(m for m in watched if m not in found.months_in)
        if not watched:
            return None
        nights = sum(self.months[m].harmful_nights or 0.0 for m in watched)
        words = single_nights(self.year, watched, nights)
        if self.kind.heated:
            words = (
                f"nights {when(watched)} are colder than it prefers: keep it away "
                "from the glass or turn up the heating"
            )
        elif self.kind.indoors:
            words = words.replace("carry it in", "take it to a warmer room")
        return Condition("single nights", words, watched)

    def _retreat(self) -> Condition | None:
        found = self.verdict
        if found.retreat is None:
            return None
        months = when(found.retreat_months)
        words = f"too hot here {months}: move it to {found.retreat.name} then"
        return Condition("retreat", words, found.retreat_months)

    @property
    def _months_here(self) -> list[int]:
        """Months that the plant spends at the spot by the verdict."""
        return [m for m in self.months if self.stands_at(m) == self.kind]

    def _warm(self) -> Condition | None:
        stays = self._months_here
        rows = self.heat.warnings(stays)
        if not rows:
            return None
        words = f"{rows[0].words(stays)} in a usual year: give it shade and moving air"
        return Condition("heat", words)

    def _dry(self, order: Sequence[int]) -> Condition | None:
        dry = []
        for month in order:
            kind = self.stands_at(month)
            if not kind.heated:
                continue
            found = self.home.humidity_pct(kind)[month]
            if found is not None and found < DRY_ROOM_PCT:
                dry.append(month)
        if not dry:
            return None
        words = f"heated air is drier than {DRY_ROOM_PCT:.0f} % {when(dry)}: raise it"
        return Condition("dry air", words, tuple(dry))

    @cached_property
    def flowering(self) -> Flowering:
        """Whether it is likely to flower there."""
        if self.verdict.word in ("poor match", "cannot say"):
            return Flowering("cannot say", "it would not live there as it should")
        rows = [self._cool_spell(self._by_months), self._drop(), self._cool_nights()]
        return flowering([row for row in rows if row is not None])

    def _cool_spell(self, found: Verdict) -> Need | None:
        window = window_of(self.plant)
        if window is None or window.optional:
            return None
        inside = found.months_in
        room = None if self.room_kind is None else self.home.nights(self.room_kind)
        got = _per_winter(window, self.nights, room, inside)
        if got.size == 0:
            return None
        usual = float(np.median(got))
        share = None if window.nights is None else float((got >= window.nights).mean())
        words = f"it needs {window.words} and gets about {usual:.0f} a winter"
        return Need(cool_spell_met(window.nights, share, usual), words)

    def _drop(self) -> Need | None:
        wanted = self.plant.night_drop_required_k
        if wanted is None:
            return None
        growing = np.isin(self.nights.month, GROWING_MONTHS[self.home.north])
        drop = self.nights.drop_k[growing]
        drop = drop[np.isfinite(drop)]
        if drop.size == 0:
            return None
        usual = float(np.median(drop))
        words = (
            f"nights are about {difference(usual, 0)} colder than days, and its "
            "sources ask "
            f"for nights {difference(wanted[0])} colder"
        )
        return Need(usual >= DROP_SHARE * wanted[0], words)

    def _cool_nights(self) -> Need | None:
        rows = [c for c in self.heat.counts if c.kind == "warm_night"]
        stays = self._months_here
        if not rows or rows[0].typical(stays) is None:
            return None
        return Need(not rows[0].too_hot(stays), rows[0].words(stays))


def _per_winter(
    window: Window, nights: Nights, room: Nights | None, inside: Sequence[int]
) -> Float:
    """Return the wanted nights of each year and member, indoors in some months."""
    counts = window.counts(nights)
    if room is not None and inside:
        there = np.isin(nights.month, inside)[:, None]
        counts = np.where(there, window.counts(room), counts)
    season = window.season(nights)
    year, known = nights.growing_year[season], nights.valid[season].any(axis=1)
    first = np.flatnonzero(np.diff(year, prepend=-1))
    length = np.diff(first, append=len(year))
    enough = np.add.reduceat(known, first, dtype=np.int64) >= 0.8 * length
    # A year that the record cuts short has fewer nights of the season than others.
    whole = enough & (length >= 0.8 * length.max(initial=0, where=enough))
    got = np.add.reduceat(counts[season], first, axis=0, dtype=np.int16)
    return np.asarray(got[whole], dtype=float)


Order = tuple[float, ...]


def order(word: VerdictWord, harmful: Band, hours: Band, lowest: Band) -> Order:
    """Return what spots rank by: the word, harmful nights, cold hours, the lowest."""
    return (
        *(RANK[word], harmful.mid or 0.0),
        *(hours.mid or 0.0, -(lowest.mid or 0.0)),
    )


def order_of(found: Judgement, air: Exposure) -> Order:
    """Return the same for a plant at a spot.

    Parameters
    ----------
    found : Judgement
    air : Exposure
        Below the preferred minimum.
    """
    lowest = Band.of(np.nanmin(air.nights.lowest_c, axis=0)).rounded(1)
    harmful = yearly_nights(air, found.limits.tolerated_c)
    return order(found.verdict.word, harmful, yearly_hours(air, 0), lowest)
