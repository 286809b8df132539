"""The winter exposure of a spot: one winter night by night, all winters in a row."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.cautions import ESTIMATE, WIND
from climrisk.advice.limits import limits_of
from climrisk.commands.shared.exposure_info import middle_member
from climrisk.commands.shared.exposures import USUAL_THRESHOLDS, sweep
from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.commands.shared.plant_limits import shown_limits
from climrisk.commands.shared.trend import drift_info
from climrisk.commands.shared.weather_info import (
    assumed_info,
    caution_info,
    only_known,
    weather_info,
)
from climrisk.commands.shared.winter_nights import WinterNights
from climrisk.commands.winter.result import (
    NightRow,
    ThresholdSum,
    WinterResult,
    WinterRow,
)
from climrisk.core import validation
from climrisk.core.arrays import Float
from climrisk.core.quantities import temperature
from climrisk.core.ranges import Band
from climrisk.core.references import field
from climrisk.core.version import __version__
from climrisk.exposure.hours import Exposure
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import SpotKind
from climrisk.spot.regimes import night_kind
from climrisk.spot.transfer import Prepared, prepare, spot_air_c
from climrisk.weather.series import Origin, WeatherSeries

if TYPE_CHECKING:
    from climrisk.plants.model import Profile


#: The evening temperature is that of the third dark hour after sunset.
_EVENING_HOUR = 2


def winter(
    weather: WeatherSeries,
    spot: NamedSpot,
    *,
    plant: Profile | None = None,
    state: str = "established",
    below: Sequence[float] = (),
    shown: str | None = None,
    elevation_m: float | None = None,
    members: int = 20,
) -> WinterResult:
    """Return the winter exposure of a spot.

    Parameters
    ----------
    weather : WeatherSeries
    spot : NamedSpot
    plant : Profile, optional
        Its limits are counted; else `below`, else 13, 10, 5 and 0 °C.
    state : str
    below : sequence of float
        Further thresholds. [°C]
    shown : str, optional
        Label of the winter shown night by night; the last that counts otherwise.
    elevation_m : float, optional
    members : int
    """
    for value in below:
        validation.threshold_c(value, where=field("below"))
    members = validation.members(members)
    only_known(weather.air_temp_c, weather)
    named = _thresholds(plant, state, below)
    prepared = prepare(weather, ensemble(members), spot_elevation_m=elevation_m)
    name, kind = spot
    air = spot_air_c(prepared, kind)
    swept = sweep(prepared, air, [t for t, _ in named])
    table = _WinterTable(prepared, swept, air, [t for t, _ in named])
    year = table.year_to_show(shown)
    label, nights = table.label(year), table.night_rows(year)
    known = [n for n in nights if n.lowest_c is not None]
    worst = sorted(known, key=lambda n: n.lowest_c or 0.0)[:5]
    winters = table.winters()
    sums = [table.sums(k, words) for k, (_, words) in enumerate(named)]
    assumed = assumed_info(prepared.assumed, [kind])
    return WinterResult(
        command="winter",
        version=__version__,
        plant=None if plant is None else plant.name,
        limits={} if plant is None else shown_limits(limits_of(plant, state)),
        spot=name,
        spot_kind=kind.name,
        spot_words=kind.words,
        spot_at=kind.at,
        members=members,
        weather=weather_info(weather, assumed),
        shown=label,
        thresholds=sums,
        nights=nights,
        winters=winters,
        worst=worst,
        drift=None if weather.typical else drift_info(swept.nights),
        sentence=_sentence(
            *(plant, kind, next(w for w in winters if w.label == label)),
            *(nights, sums),
        ),
        cautions=caution_info((ESTIMATE, WIND)),
        report=None,
        files=[],
    )


def _thresholds(
    plant: Profile | None, state: str, below: Sequence[float]
) -> list[tuple[float, str]]:
    out: dict[float, str] = {}
    if plant is not None:
        limits = limits_of(plant, state)
        for value, words in (
            (limits.preferred_c, "preferred"),
            (limits.tolerated_c, "tolerated"),
        ):
            if value is not None:
                out.setdefault(value, words)
    for value in below:
        out.setdefault(float(value), "")
    if not out:
        out = dict.fromkeys(USUAL_THRESHOLDS, "")
    return sorted(out.items(), reverse=True)


class _WinterTable(WinterNights):
    """Nights of all winters, with hours below limits."""

    def __init__(
        self, prepared: Prepared, swept: Exposure, air: Float, limits: list[float]
    ) -> None:
        super().__init__(prepared, swept.nights)
        self.limits = limits
        index = prepared.nightly.index
        first = np.searchsorted(index, np.arange(len(self.nights)))
        self.hours = [
            np.add.reduceat(air < t, first, axis=0, dtype=np.int32) for t in limits
        ]
        self.evening = self._evening(middle_member(air))
        self.origin = self._origin()

    def _evening(self, middle: Float) -> Float:
        """Return the temperature of each night's third dark hour."""
        dark, index = self.prepared.dark, self.prepared.nightly.index
        rows = np.flatnonzero(dark)
        _, first = np.unique(index[rows], return_index=True)
        out = np.full(len(self.nights), np.nan)
        pick = np.minimum(first + _EVENING_HOUR, len(rows) - 1)
        out[index[rows[first]]] = middle[rows[pick]]
        return out

    def _origin(self) -> NDArray[np.int64]:
        """Return the weakest origin among each night's known hours."""
        origin = self.prepared.weather.origin.max(axis=1).astype(np.int64)
        out = np.zeros(len(self.nights), np.int64)
        np.maximum.at(out, self.prepared.nightly.index, origin)
        return out

    def night_rows(self, year: int) -> list[NightRow]:
        """Return the winter nights of a growing year."""
        return [self._row(int(i)) for i in self.rows(year)]

    def _row(self, i: int) -> NightRow:
        regimes = self.prepared.regimes
        weight = float(regimes.weight[i])
        kind = night_kind(weight)
        names: dict[int, Literal["measured", "modeled", "filled", "missing"]] = {
            Origin.MISSING: "missing",
            Origin.MEASURED: "measured",
            Origin.FILLED: "filled",
            Origin.MODELED: "modeled",
        }
        return NightRow(
            evening=self.date(i),
            lowest_c=_number(self.middle[i]),
            low_c=_number(self.low[i]),
            high_c=_number(self.high[i]),
            evening_c=_number(self.evening[i]),
            hours_below={
                f"{t:g}": float(np.median(self.hours[k][i]))
                for k, t in enumerate(self.limits)
            },
            regime_weight=round(weight, 2),
            regime_spread=round(float(regimes.spread[i]), 2),
            kind=kind,
            wind_m_s=_number(regimes.wind_m_s[i]),
            counts=bool(self.nights.valid[i].mean() >= 0.5),
            known=names[int(self.origin[i])],
        )

    def winters(self) -> list[WinterRow]:
        """Return all winters of the record."""
        return [self._winter(y) for y in self.years()]

    def _winter(self, year: int) -> WinterRow:
        rows = self.rows(year)
        lowest, every = self.middle[rows], self.nights.lowest_c[rows]
        known = rows[np.isfinite(lowest)]
        coldest = known[np.argmin(self.middle[known])] if len(known) else None
        return WinterRow(
            label=self.label(year),
            counts=self.counted[year],
            lowest_c=None if coldest is None else _number(self.middle[coldest]),
            lowest_evening=None if coldest is None else self.date(int(coldest)),
            cold_nights={
                f"{t:g}": round(float(np.median((every < t).sum(axis=0))))
                for t in self.limits
            },
            hours_below={
                f"{t:g}": float(np.median(self.hours[k][rows].sum(axis=0)))
                for k, t in enumerate(self.limits)
            },
            unknown_nights=int((self.nights.valid[rows].mean(axis=1) < 0.5).sum()),
        )

    def sums(self, k: int, words: str) -> ThresholdSum:
        """Return what a winter that counts has below a threshold."""
        limit = self.limits[k]
        hours, nights, runs = [], [], [0]
        for year, counts in self.counted.items():
            if not counts:
                continue
            rows = (self.nights.growing_year == year) & self.winter
            hours.append(self.hours[k][rows].sum(axis=0))
            nights.append((self.nights.lowest_c[rows] < limit).sum(axis=0))
            # A run is that of a winter: one that began in October counts from November.
            runs.append(int(np.median(self.nights.longest_run(limit, rows)[1])))
        return ThresholdSum(
            threshold_c=limit,
            words=words,
            hours_per_winter=Band.of(np.concatenate(hours) if hours else []).rounded(1),
            nights_per_winter=Band.of(np.concatenate(nights) if nights else []),
            longest_run_nights=max(runs),
        )


def _number(x: float) -> float | None:
    return round(float(x), 1) if np.isfinite(x) else None


def _sentence(
    plant: Profile | None,
    kind: SpotKind,
    shown: WinterRow,
    nights: list[NightRow],
    sums: list[ThresholdSum],
) -> str:
    label = shown.label
    known = [n.lowest_c for n in nights if n.lowest_c is not None]
    if not known:
        return f"Nothing is known of the nights of winter {label} {kind.at}."
    first = sums[0]
    key = f"{first.threshold_c:g}"
    cold, hours = shown.cold_nights[key], shown.hours_below[key]
    whose = "" if plant is None else f", the {first.words} minimum of {plant.name}"
    lost = len(nights) - len(known)
    gap = f" {lost} nights are unknown." if lost else ""
    windy = sum(
        n.kind == "windy"
        for n in nights
        if n.lowest_c is not None and n.lowest_c < first.threshold_c
    )
    text = (
        f"In winter {label}, {cold} of {len(known)} nights {kind.at} fell "
        f"below {temperature(float(key))}{whose}: {hours:,.0f} hours, the coldest "
        f"{temperature(min(known), 1)}"
    )
    if cold:
        text += f"; {windy} of these nights were windy or cloudy"
    return text + "." + gap
