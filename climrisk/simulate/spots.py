"""Spots ranked for a plant, clear still nights and windy ones apart."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from climrisk import __version__, checks
from climrisk.advice.cautions import ESTIMATE, HEAT, WIND
from climrisk.bands import Band
from climrisk.errors import InputError
from climrisk.exposure.hours import Exposure
from climrisk.exposure.toppling import Standing
from climrisk.result.spots import RegimeNights, SpotRow, SpotsResult
from climrisk.seasons import WINTER_MONTHS
from climrisk.simulate.describe import (
    assumed_info,
    caution_info,
    only_known,
    weather_info,
)
from climrisk.simulate.judge import Limits, sweep
from climrisk.simulate.light import dryness, light
from climrisk.simulate.planted import limits_of, shown_limits
from climrisk.simulate.wind import wind as wind_of
from climrisk.spot.climate import SpotClimate
from climrisk.spot.kinds import SpotKind
from climrisk.spot.members import worlds
from climrisk.spot.radiation import SURROUNDINGS
from climrisk.spot.transfer import Prepared, prepare, spot_climate
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    from climrisk.plants.model import Profile
    from climrisk.pot.model import Pot

Float = NDArray[np.floating]
Bool = NDArray[np.bool_]

DEFAULT_MEMBERS = 9
_MOST_SPOTS = 30
#: Nights with at least this regime weight are counted as clear and still.
_HALF = 0.5
#: Fewer hours a winter than this are none worth a word.
_FEW_HOURS = 5.0
#: What the surroundings add is told from the last five years.
_SURROUNDINGS_HOURS = 5 * 8766


def spots(
    weather: WeatherSeries,
    compared: Sequence[tuple[str, SpotKind]],
    plant: Profile,
    pot: Pot,
    *,
    state: str = "established",
    elevation_m: float | None = None,
    members: int = DEFAULT_MEMBERS,
) -> SpotsResult:
    """Return spots ranked for a plant.

    Parameters
    ----------
    weather : WeatherSeries
    compared : sequence of (str, SpotKind)
        The keeper's names and the kinds.
    plant : Profile
    pot : Pot
        What it would stand in.
    state : str
    elevation_m : float, optional
    members : int

    Raises
    ------
    InputError
        No spot or too many, or a plant without a night minimum.
    """
    checks.number_in(
        len(compared), 1, _MOST_SPOTS, what="number of spots", where="--spot"
    )
    only_known(weather.air_temp_c, weather)
    limits = limits_of(plant, state)
    if limits.preferred_c is None:
        raise InputError(
            "the profile has no night minimum to judge by",
            where=plant.name,
            next_step="put a profile of your own with a source into the user folder",
        )
    prepared = prepare(
        weather, worlds(checks.members(members)), spot_elevation_m=elevation_m
    )
    alone = prepare(_last(weather), worlds(1), spot_elevation_m=elevation_m)
    table = _Table(prepared, alone, limits, limits.preferred_c, pot, state)
    rows = [table.row(name, kind) for name, kind in compared]
    rows.sort(key=lambda r: (r.hours_outside, -(r.lowest_c.mid or 0.0)))
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
    assumed = assumed_info(prepared.assumed)
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
        limits=shown_limits(plant, state),
        pot=f"{pot.diameter_cm:g} cm {pot.kind}, {pot.medium_name}",
        members=prepared.worlds.count,
        years=table.years_n,
        weather=weather_info(weather, assumed),
        spots=rows,
        sentence="",
        cautions=caution_info(cautions),
        files=[],
    )
    return result.model_copy(update={"sentence": _sentence(result)})


class _Table:
    """Spots in one record."""

    def __init__(
        self,
        prepared: Prepared,
        alone: Prepared,
        limits: Limits,
        preferred: float,
        pot: Pot,
        state: str,
    ) -> None:
        self.prepared, self.alone, self.limits = prepared, alone, limits
        self.preferred, self.pot, self.state = preferred, pot, state
        self.still = prepared.regimes.weight >= _HALF
        station = sweep(prepared, prepared.weather.air_temp_c, [])
        self.station_low = station.nights.lowest_c[:, 0]
        nights = station.nights
        self.winter = np.isin(nights.month, WINTER_MONTHS[nights.north])
        self.year = nights.growing_year
        counted = nights.winters()
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
        limits = [self.preferred]
        if self.limits.tolerated_c is not None:
            limits.append(self.limits.tolerated_c)
        air = sweep(self.prepared, climate.air_c, limits)
        root_c = root_zone(climate, self.pot).mean_c
        root = sweep(self.prepared, root_c, [self.preferred])
        hot = None
        if self.limits.hot_c is not None:
            hot_c = -self.limits.hot_c
            hot = self._per_year(sweep(self.prepared, -climate.air_c, [hot_c]), 0)
        below = self._per_year(air, 0)
        outside = (below.mid or 0.0) + ((hot.mid or 0.0) if hot else 0.0)
        hours = tuple(self._nightly_hours(x) for x in (climate.air_c, root_c))
        still = self._regime(air, hours, self.still)
        windy = self._regime(air, hours, ~self.still)
        wind = float(np.nanmedian(climate.wind_m_s) / self._station_wind())
        surroundings = {} if kind.indoors else self._surroundings(kind)
        return SpotRow(
            rank=0,
            kind=kind.name,
            spot=name or kind.name,
            at=kind.at,
            hours_outside=round(outside, 1),
            hours_below_preferred=below,
            hours_below_tolerated=self._per_year(air, 1) if len(limits) > 1 else None,
            hours_above_hot_limit=hot,
            root_zone_hours_below_preferred=self._per_year(root, 0),
            lowest_c=Band.of(np.nanmin(air.nights.lowest_c, axis=0)).rounded(1),
            still_nights=still,
            windy_nights=windy,
            wind_share=round(wind, 2),
            surroundings_k=surroundings,
            dryness=dryness(
                climate,
                self.prepared,
                humidity_low_pct=self.limits.humidity_low_pct,
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

    def _per_year(self, swept: Exposure, k: int) -> Band:
        """Return hours of a growing year, over whole years and worlds."""
        expected = swept.expected.sum(axis=1)
        unknown = np.median(swept.unknown.sum(axis=1), axis=1)
        whole = (expected >= 8760) & (unknown <= 0.2 * expected)
        hours = swept.hours[:, :, k].sum(axis=1)
        if not whole.any():
            return Band.of(hours.sum(axis=0)).rounded(1)
        return Band.of(hours[whole]).rounded(1)

    def _regime(
        self, air: Exposure, hours: tuple[NDArray[np.int32], ...], which: Bool
    ) -> RegimeNights:
        """Return what the winters' nights of a regime did to air and roots."""
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
        with_all = self._root_lows(spot_climate(self.alone, kind))
        seasons = self.alone.seasons
        evenings = int(seasons.night[0]) + np.arange(len(with_all))
        winter = np.isin(seasons.night_month(evenings), WINTER_MONTHS[seasons.north])
        out = {}
        for name in SURROUNDINGS:
            climate = spot_climate(self.alone, kind, without=frozenset({name}))
            gain = with_all - self._root_lows(climate)
            out[name] = round(float(np.nanmean(gain[winter])), 2) + 0.0
        return out

    def _root_lows(self, climate: SpotClimate) -> Float:
        from climrisk.pot.root_zone import root_zone

        root = root_zone(climate, self.pot)
        return np.asarray(sweep(self.alone, root.mean_c, []).nights.lowest_c[:, 0])


def _last(weather: WeatherSeries) -> WeatherSeries:
    """Return the last years of a long record: enough for what the surroundings add."""
    return weather.between(max(0, len(weather) - _SURROUNDINGS_HOURS), len(weather))


def _apart(best: SpotRow, other: SpotRow) -> bool:
    """Whether the bands of the hours below the minimum do not meet."""
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
        parts.append("cold on clear still nights only")
    elif calm < 0.15 * (calm + blown):
        parts.append("cold on windy or overcast nights only")
    elif kind.indoors:
        parts.append("follows the mean of the days before, whatever the night")
    else:
        share = calm / (calm + blown)
        parts.append(f"{share:.0%} of its cold hours come on clear still nights")
    if not kind.indoors and still.offset_k is not None and windy.offset_k is not None:
        parts.append(
            f"{still.offset_k:+.1f} K against the station on these, "
            f"{windy.offset_k:+.1f} K in wind"
        )
    if not kind.indoors and kind.group != "as-measured":
        parts.append(f"{wind:.0%} of the station's wind")
    if hot is not None and (hot.mid or 0.0) > max(below.mid or 0.0, _FEW_HOURS):
        parts.append("its heat is the harder limit")
    return "; ".join(parts)


def _outside(row: SpotRow, preferred_c: float) -> str:
    """Return a year's hours outside the limits as words."""
    below, hot = row.hours_below_preferred, row.hours_above_hot_limit
    said = f"{below.mid or 0:,.0f} hours a year below {preferred_c:g} °C"
    if below.low != below.high:
        said += f" ({below.low or 0:,.0f} to {below.high or 0:,.0f})"
    if hot is not None and (hot.mid or 0.0) > _FEW_HOURS:
        said += f" and {hot.mid:,.0f} too hot"
    return said


def _sentence(result: SpotsResult) -> str:
    rows = result.spots
    best, worst = rows[0], rows[-1]
    said = (
        f"For {result.plant} the best of {len(rows)} spots is {best.spot}: "
        f"{_outside(best, result.preferred_c)}"
    )
    if len(rows) == 1:
        return said + "."
    said += f"; the worst is {worst.spot}: {_outside(worst, result.preferred_c)}."
    same = [r.spot for r in rows[1:] if r.differs_from_best is False]
    if same:
        said += f" Not clearly worse than the best: {', '.join(same[:3])}."
    windy = [
        r.spot
        for r in rows
        if (r.windy_nights.hours_below_preferred.mid or 0) > _FEW_HOURS
        and (r.still_nights.hours_below_preferred.mid or 0) < _FEW_HOURS
    ]
    if windy:
        said += f" Fails only in wind: {', '.join(windy)}."
    return said
