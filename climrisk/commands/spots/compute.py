"""Spots ranked for a plant, clear still nights and windy ones apart."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.cautions import ESTIMATE, HEAT, WIND
from climrisk.commands.shared.exposure_info import yearly_hours, yearly_nights
from climrisk.commands.shared.exposures import sweep, sweep_heat
from climrisk.commands.shared.judgements import (
    RECENT_H,
    Judgement,
    Judgements,
    Order,
    order,
)
from climrisk.commands.shared.light import dryness, light
from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.commands.shared.plant_limits import shown_limits
from climrisk.commands.shared.request import AssessRequest
from climrisk.commands.shared.weather_info import (
    assumed_info,
    caution_info,
    only_known,
    weather_info,
)
from climrisk.commands.shared.wind import wind as wind_of
from climrisk.commands.spots.result import RegimeNights, SpotRow, SpotsResult
from climrisk.core import validation
from climrisk.core.arrays import Float
from climrisk.core.calendar import WINTER_MONTHS
from climrisk.core.quantities import LENGTH, difference, quantity, temperature
from climrisk.core.ranges import Band
from climrisk.core.references import field
from climrisk.core.version import __version__
from climrisk.exposure.hours import Exposure
from climrisk.exposure.toppling import Standing
from climrisk.spot.climate import SpotClimate
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import SpotKind
from climrisk.spot.radiation import SURROUNDINGS
from climrisk.spot.regimes import NIGHT_KINDS, NightKind, of_kind
from climrisk.spot.transfer import Prepared, prepare, spot_climate
from climrisk.weather.series import WeatherSeries

_MOST_SPOTS = 30
#: Fewer hours a winter than this are none worth a word.
_FEW_HOURS = 5.0


def spots(
    weather: WeatherSeries,
    compared: Sequence[NamedSpot],
    request: AssessRequest,
) -> SpotsResult:
    """Return spots ranked for a plant: by verdict, harmful nights, then cold hours.

    Parameters
    ----------
    weather : WeatherSeries
    compared : sequence of NamedSpot
    request : AssessRequest
        Its plant, pot, state and risks; its own spot is not looked at.

    Raises
    ------
    InputError
        No spot or too many, or a plant without a night minimum.
    """
    validation.number_in(
        len(compared), 1, _MOST_SPOTS, what="number of spots", where=field("spot")
    )
    only_known(weather.air_temp_c, weather)
    plant, pot, limits = request.plant, request.pot, request.limits
    members, height = validation.members(request.members), request.elevation_m
    prepared = prepare(weather, ensemble(members), spot_elevation_m=height)
    alone = prepare(_last(weather), ensemble(1), spot_elevation_m=height)
    home = Judgements(prepared, request.rooms, request.spots, [limits])
    table = _SpotsTable(home, alone, request)
    rows = [table.row(name, kind) for name, kind in compared]
    rows.sort(key=_place)
    best = rows[0]
    rows = [
        r.model_copy(
            update={
                "rank": i + 1,
                "differs_from_best": None if i == 0 else _apart(best, r),
            }
        )
        for i, r in enumerate(rows)
    ]
    assumed = assumed_info(prepared.assumed, (k for _, k in compared))
    cautions = [ESTIMATE]
    if any(not kind.indoors for _, kind in compared):
        cautions.append(WIND)
    if any(kind.group == "glazed" for _, kind in compared):
        cautions.append(HEAT)
    result = SpotsResult(
        command="spots",
        version=__version__,
        plant=plant.name,
        preferred_c=limits.preferred_c,
        tolerated_c=limits.tolerated_c,
        limits=shown_limits(limits),
        pot=f"{quantity(LENGTH, pot.diameter_cm)} {pot.kind}, {pot.medium_name}",
        members=prepared.ensemble.count,
        years=table.years_n,
        weather=weather_info(weather, assumed),
        spots=rows,
        sentence="",
        cautions=caution_info(cautions),
        files=[],
    )
    return result.model_copy(update={"sentence": _sentence(result)})


class _SpotsTable:
    """Spots in one record."""

    def __init__(
        self, home: Judgements, alone: Prepared, request: AssessRequest
    ) -> None:
        self.home, self.alone, self.request = home, alone, request
        self.limits, self.preferred = request.limits, request.limits.preferred_c
        self.pot, self.state = request.pot, request.state
        prepared = self.prepared = home.prepared
        station = sweep(prepared, prepared.weather.air_temp_c, [])
        self.station_low = station.nights.lowest_c[:, 0]
        nights = station.nights
        self.winter = np.isin(nights.month, WINTER_MONTHS[nights.north])
        self.year = nights.growing_year
        counted = nights.winters
        self.winters = [y for y, good in counted.items() if good[0]]
        self.first = np.searchsorted(
            prepared.nightly.index, np.arange(len(self.station_low))
        )
        # A record without a whole winter is judged as the one stretch it is.
        self.years_n = len(self.winters)

    def row(self, name: str, kind: SpotKind) -> SpotRow:
        """Return the row of one spot; its rank comes later."""
        from climrisk.pot.root_zone import root_zone

        climate = spot_climate(self.prepared, kind)
        limits = [self.preferred, self.limits.tolerated_c]
        air = sweep(self.prepared, climate.air_c, limits)
        root_c = root_zone(climate, self.pot).mean_c
        root = sweep(self.prepared, root_c, [self.preferred])
        swept_hot = sweep_heat(self.prepared, climate.air_c, self.limits)
        hot = None
        if self.limits.heat is not None:
            k = self.limits.day_limits.index(self.limits.heat)
            hot = yearly_hours(swept_hot, k)
        below = yearly_hours(air, 0)
        self.home.share(kind, air.nights, swept_hot)
        request = self.request
        found = self.home.at(kind, request.plant, self.limits, request.risks)
        hours = tuple(self._nightly_hours(x) for x in (climate.air_c, root_c))
        still, mixed, windy = (self._regime(air, hours, kind) for kind in NIGHT_KINDS)
        wind = float(np.nanmedian(climate.wind_m_s) / self._station_wind())
        surroundings = {} if kind.indoors else self._surroundings(kind)
        return SpotRow(
            rank=0,
            kind=kind.name,
            spot=name or kind.name,
            at=kind.at,
            word=found.verdict.word,
            may_be=found.verdict.may_be,
            why=_why(found),
            months={str(m): s for m, s in found.shown.items()},
            harmful_nights=yearly_nights(air, self.limits.tolerated_c),
            cold_nights=yearly_nights(air, self.preferred),
            hours_below_preferred=below,
            hours_below_tolerated=yearly_hours(air, 1),
            hours_above_hot_limit=hot,
            root_zone_hours_below_preferred=yearly_hours(root, 0),
            lowest_c=Band.of(np.nanmin(air.nights.lowest_c, axis=0)).rounded(1),
            still_nights=still,
            mixed_nights=mixed,
            windy_nights=windy,
            wind_share=round(wind, 2),
            surroundings_k=surroundings,
            dryness=dryness(
                climate,
                self.prepared,
                humidity_low_pct=self.limits.humidity_pct,
                state=self.state,
            ),
            light=light(climate, self.prepared, kind, None),
            wind=wind_of(climate, self.prepared, kind, Standing(self.pot)),
            differs_from_best=None,
            reason=_reason(kind, still, windy, below, hot, wind),
        )

    def _nightly_hours(self, values: Float) -> NDArray[np.int32]:
        """Return each night's known hours below the minimum, (night, case)."""
        below = values < self.preferred
        return np.asarray(np.add.reduceat(below, self.first, axis=0, dtype=np.int32))

    def _station_wind(self) -> float:
        return max(float(np.nanmedian(self.prepared.sky.wind_m_s)), 0.1)

    def _regime(
        self, air: Exposure, hours: tuple[NDArray[np.int32], ...], kind: NightKind
    ) -> RegimeNights:
        """Return what the winters' nights of a kind did to air and roots."""
        which = of_kind(self.prepared.regimes.weight, kind)
        cold = air.nights.lowest_c < self.preferred
        years = self.winters or sorted(set(self.year.tolist()))
        rows = [
            np.flatnonzero(which & self.winter & (self.year == year)) for year in years
        ]
        every = np.concatenate(rows) if rows else np.array([], int)
        lowest = air.nights.lowest_c[every]
        known = np.isfinite(lowest).any(axis=1) if len(every) else np.array([], bool)
        coldest = (
            Band.of(np.nanmin(lowest[known], axis=0))
            if known.any()
            else Band(None, None, None)
        )
        offset = None
        if known.any():
            middle = np.nanmedian(lowest[known], axis=1)
            above = middle - self.station_low[every][known]
            offset = round(float(np.nanmean(above)), 2)
        of_air, of_root = (
            Band.of([h[r].sum(axis=0) for r in rows]).rounded(1) for h in hours
        )
        return RegimeNights(
            nights_per_winter=round(len(every) / max(len(years), 1), 1),
            cold_nights=Band.of([cold[r].sum(axis=0) for r in rows]).rounded(1),
            hours_below_preferred=of_air,
            root_zone_hours_below_preferred=of_root,
            lowest_c=coldest.rounded(1),
            offset_k=offset,
        )

    def _surroundings(self, kind: SpotKind) -> dict[str, float]:
        """Return what each thing around adds to the roots' winter night lows. [K]"""
        with_all = self._root_lows(spot_climate(self.alone, kind, only_pot=True))
        seasons = self.alone.seasons
        evenings = int(seasons.night[0]) + np.arange(len(with_all))
        winter = np.isin(seasons.night_month(evenings), WINTER_MONTHS[seasons.north])
        out = {}
        for name in SURROUNDINGS:
            without = frozenset({name})
            climate = spot_climate(self.alone, kind, without=without, only_pot=True)
            gain = with_all - self._root_lows(climate)
            out[name] = round(float(np.nanmean(gain[winter])), 2) + 0.0
        return out

    def _root_lows(self, climate: SpotClimate) -> Float:
        from climrisk.pot.root_zone import root_zone

        root = root_zone(climate, self.pot)
        return np.asarray(sweep(self.alone, root.mean_c, []).nights.lowest_c[:, 0])


def _last(weather: WeatherSeries) -> WeatherSeries:
    """Return the last years of a long record: enough for what the surroundings add."""
    return weather.between(max(0, len(weather) - RECENT_H), len(weather))


def _place(row: SpotRow) -> Order:
    return order(row.word, row.harmful_nights, row.hours_below_preferred, row.lowest_c)


def _why(found: Judgement) -> str:
    """Return the reason of the word and what it asks for."""
    rows = [*found.verdict.reasons, *(c.words for c in found.conditions)]
    return "; ".join(dict.fromkeys(rows))


def _apart(best: SpotRow, other: SpotRow) -> bool:
    """Whether the words differ, or the ranges of the cold hours do not meet."""
    if best.word != other.word:
        return True
    high, low = best.hours_below_preferred.high, other.hours_below_preferred.low
    return high is not None and low is not None and low > high


def _reason(
    kind: SpotKind,
    still: RegimeNights,
    windy: RegimeNights,
    below: Band,
    hot: Band | None,
    wind: float,
) -> str:
    """Return in words where the hours come from."""
    parts = []
    calm = still.hours_below_preferred.mid or 0.0
    blown = windy.hours_below_preferred.mid or 0.0
    if calm + blown < _FEW_HOURS:
        parts.append("no cold nights to speak of in a usual winter")
    elif blown < 0.15 * (calm + blown):
        parts.append("cold on clear calm nights only")
    elif calm < 0.15 * (calm + blown):
        parts.append("cold on windy or cloudy nights only")
    elif kind.indoors:
        parts.append("follows the mean of the days before, whatever the night")
    else:
        share = calm / (calm + blown)
        parts.append(f"{share:.0%} of its cold hours come on clear calm nights")
    if not kind.indoors and still.offset_k is not None and windy.offset_k is not None:
        parts.append(
            f"{_warmer(still.offset_k)} than the station on clear calm nights and "
            f"{_warmer(windy.offset_k)} on windy or cloudy ones"
        )
    if not kind.indoors and kind.group != "as-measured":
        parts.append(f"{wind:.0%} of the station's wind")
    if hot is not None and (hot.mid or 0.0) > max(below.mid or 0.0, _FEW_HOURS):
        parts.append("its heat is the harder limit")
    return "; ".join(parts)


def _warmer(offset_k: float) -> str:
    return f"{difference(abs(offset_k), 1)} {'colder' if offset_k < 0 else 'warmer'}"


def _cold(row: SpotRow, result: SpotsResult) -> str:
    """Return a year's harmful nights, else its cold hours, as words."""
    harmful = row.harmful_nights.mid or 0.0
    if harmful >= 0.5:
        return (
            f"about {harmful:.0f} nights a year below {temperature(result.tolerated_c)}"
        )
    hours = row.hours_below_preferred.mid or 0.0
    return f"{hours:,.0f} hours a year below {temperature(result.preferred_c)}"


def _sentence(result: SpotsResult) -> str:
    rows = result.spots
    best, worst = rows[0], rows[-1]
    first = f"{best.spot} ({best.word}): {_cold(best, result)}"
    if len(rows) == 1:
        return f"{result.plant} on {first}."
    said = (
        f"For {result.plant} the best of {len(rows)} spots is {first}; the worst is "
        f"{worst.spot} ({worst.word}): {_cold(worst, result)}."
    )
    same = [r.spot for r in rows[1:] if r.differs_from_best is False]
    if same:
        said += f" Not clearly worse than the best: {', '.join(same[:3])}."
    warmer = [
        r.spot
        for r in rows[1:]
        if (r.hours_below_preferred.mid or 0.0)
        < 0.9 * (best.hours_below_preferred.mid or 0.0) - _FEW_HOURS
    ]
    if warmer:
        said += f" Warmer, but ranked lower for other reasons: {', '.join(warmer[:3])}."
    windy = [
        r.spot
        for r in rows
        if (r.windy_nights.hours_below_preferred.mid or 0) > _FEW_HOURS
        and (r.still_nights.hours_below_preferred.mid or 0) < _FEW_HOURS
    ]
    if windy:
        said += f" Too cold only on windy or cloudy nights: {', '.join(windy)}."
    return said
