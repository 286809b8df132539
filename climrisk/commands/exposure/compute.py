"""The record as it is: hours beyond thresholds, no plant."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from climrisk.commands.exposure.result import (
    AboveTemperature,
    BelowTemperature,
    BeyondOther,
    ExposureResult,
)
from climrisk.commands.shared.weather_info import local_stamp, only_known, weather_info
from climrisk.core import validation
from climrisk.core.arrays import Float
from climrisk.core.calendar import Seasons, season_months
from climrisk.core.errors import InputError
from climrisk.core.quantities import temperature
from climrisk.core.references import field
from climrisk.core.version import __version__
from climrisk.exposure.hours import Exposure, expose
from climrisk.physics import humidity
from climrisk.physics.solar import night_hours, sun_path
from climrisk.render.document import NightDrop, Range, YearCount
from climrisk.weather.series import WeatherSeries


def exposure(
    weather: WeatherSeries,
    *,
    below: Sequence[float] = (),
    above: Sequence[float] = (),
    humidity_below: Sequence[float] = (),
    vpd_above: Sequence[float] = (),
    wind_above: Sequence[float] = (),
    inclusive: bool = False,
) -> ExposureResult:
    """Return hours beyond thresholds of a record.

    Parameters
    ----------
    weather : WeatherSeries
        One place; unknown hours are counted apart.
    below, above : sequence of float
        Air temperatures. [°C]
    humidity_below : sequence of float
        Relative humidity. [%]
    vpd_above : sequence of float
        Vapor pressure deficit. [kPa]
    wind_above : sequence of float
        Wind as the record gives it, mostly at 10 m. [m/s]
    inclusive : bool
        Count values equal to a threshold as well.

    Raises
    ------
    InputError
        A threshold out of range, or a variable that the record lacks.
    """
    for option, values in ((field("below"), below), (field("above"), above)):
        for value in values:
            validation.threshold_c(value, where=option)
    sun = sun_path(
        weather.time, weather.place.latitude_deg, weather.place.longitude_deg
    )
    counter = _Counter(weather, night_hours(sun), inclusive=inclusive)
    air = weather.air_temp_c[:, :1]
    only_known(air, weather)
    cold = counter.sweep(air, [float(t) for t in below])
    lowest = int(np.nanargmin(air[:, 0]))
    result = ExposureResult(
        command="exposure",
        version=__version__,
        weather=weather_info(weather),
        lowest_c=float(air[lowest, 0]),
        lowest_at=local_stamp(weather, lowest, counter.seasons.offset_min),
        lowest_reading_c=_lowest_reading(weather),
        highest_c=float(np.nanmax(air)),
        below=[counter.below(cold, k) for k in range(len(below))],
        above=counter.above(air, above),
        humidity_below=counter.other("rel_humidity_pct", humidity_below),
        vpd_above=counter.other("vpd_kpa", vpd_above),
        wind_above=counter.other("wind_speed_m_s", wind_above),
        night_drop=night_drop(cold),
        sentence="",
    )
    return result.model_copy(update={"sentence": _sentence(result)})


def _lowest_reading(weather: WeatherSeries) -> float | None:
    """Return the lowest single reading; None where readings are hours."""
    if weather.lowest_c is None or not np.isfinite(weather.lowest_c).any():
        return None
    return round(float(np.nanmin(weather.lowest_c)), 2)


def night_drop(swept: Exposure) -> NightDrop:
    """Return day maximum minus the following night's lowest, over counted nights."""
    drop = swept.nights.drop_k
    drop = drop[np.isfinite(drop)]
    if drop.size == 0:
        return NightDrop(mean_k=None, p95_k=None, nights=0)
    return NightDrop(
        mean_k=round(float(drop.mean()), 2),
        p95_k=round(float(np.percentile(drop, 95)), 2),
        nights=int(drop.size),
    )


_OTHER = {
    "rel_humidity_pct": ("below", "%", 0.0, 100.0, field("humidity_below")),
    "vpd_kpa": ("above", "kPa", 0.0, 10.0, field("vpd_above")),
    "wind_speed_m_s": ("above", "m/s", 0.0, 75.0, field("wind_above")),
}


class _Counter:
    """Counts of one record, kept together with its calendar."""

    def __init__(
        self, weather: WeatherSeries, dark: NDArray[np.bool_], *, inclusive: bool
    ) -> None:
        self.weather, self.dark, self.inclusive = weather, dark, inclusive
        self.seasons: Seasons = weather.seasons()

    def sweep(
        self, values: Float, thresholds: Sequence[float], *, turned: bool = False
    ) -> Exposure:
        return expose(
            *(values, self.seasons, self.dark, np.array(thresholds, dtype=float)),
            inclusive=self.inclusive,
            turned=turned,
        )

    def counts(self, swept: Exposure, k: int) -> dict[str, Any]:
        """Return the fields of `Beyond` for threshold `k`."""
        hours, unknown = swept.hours[:, :, k, 0], swept.unknown[:, :, 0]
        low, mid, high = (int(n) for n in swept.longest_run_hours[:, k, 0])
        total, lost = int(hours.sum()), int(unknown.sum())
        months = season_months(north=self.seasons.north)
        return {
            "inclusive": self.inclusive,
            "hours": total,
            "hours_range": Range(low=total, high=total + lost),
            "degree_hours": round(float(swept.degree_hours[:, :, k, 0].sum()), 2),
            "longest_run_hours": mid,
            "longest_run_hours_range": Range(low=low, high=high),
            "unknown_hours": lost,
            "by_month": {str(m): int(hours[:, m - 1].sum()) for m in months},
            "unknown_by_month": {str(m): int(unknown[:, m - 1].sum()) for m in months},
            "by_growing_year": [
                YearCount(
                    label=self.seasons.label(int(year)),
                    hours=int(hours[i].sum()),
                    unknown_hours=int(unknown[i].sum()),
                )
                for i, year in enumerate(swept.years)
            ],
        }

    def below(self, swept: Exposure, k: int) -> BelowTemperature:
        limit = float(swept.thresholds[k])
        cold, lost = swept.nights.below(limit)
        low, mid, high = (int(n) for n in swept.longest_run_nights(k)[:, 0])
        return BelowTemperature(
            threshold_c=limit,
            nights=int(cold.sum()),
            unknown_nights=int(lost.sum()),
            rounding_range=self.rounded(limit),
            longest_run_nights=mid,
            longest_run_nights_range=Range(low=low, high=high),
            **self.counts(swept, k),
        )

    def rounded(self, limit: float) -> Range | None:
        """Return the hours below that rounding allows, least and most."""
        step = self.weather.resolution_c
        if step is None:
            return None
        air = self.weather.air_temp_c[:, 0]
        surely, perhaps = air + step / 2 <= limit, air - step / 2 < limit
        return Range(low=int(surely.sum()), high=int(perhaps.sum()))

    def above(self, air: Float, thresholds: Sequence[float]) -> list[AboveTemperature]:
        """Count hours above."""
        swept = self.sweep(air, thresholds, turned=True)
        return [
            AboveTemperature(threshold_c=float(t), **self.counts(swept, k))
            for k, t in enumerate(thresholds)
        ]

    def other(self, name: str, thresholds: Sequence[float]) -> list[BeyondOther]:
        if not thresholds:
            return []
        side, unit, lowest, highest, option = _OTHER[name]
        for value in thresholds:
            validation.number_in(
                value, lowest, highest, what="threshold", where=option, unit=unit
            )
        values = self._values(name, option)
        swept = self.sweep(values, thresholds, turned=side != "below")
        return [
            BeyondOther(
                variable=name,
                side="below" if side == "below" else "above",
                threshold=float(t),
                unit=unit,
                **self.counts(swept, k),
            )
            for k, t in enumerate(thresholds)
        ]

    def _values(self, name: str, option: str) -> Float:
        if name == "vpd_kpa":
            air, dew = self.weather.air_temp_c, self.weather.dew_point_c()
            values = None if dew is None else humidity.vpd_kpa(air, dew)
        elif name == "rel_humidity_pct":
            values = self.weather.get(name)
            dew = self.weather.dew_point_c()
            if values is None and dew is not None:
                values = humidity.rel_humidity_pct(self.weather.air_temp_c, dew)
        else:
            values = self.weather.get(name)
        if values is None:
            raise InputError(
                f"the record has no {'wind' if 'wind' in name else 'humidity'}",
                where=f"{self.weather.source.label}, {option}",
                allowed=", ".join(sorted(self.weather.values)),
                next_step=f"leave out {option} or give a record that has it",
            )
        return values[:, :1]


def _sentence(result: ExposureResult) -> str:
    weather = result.weather
    known = f"{weather.hours_known:,} of {weather.hours_expected:,} hours known"
    text = f"{weather.source}: {known}; lowest {temperature(result.lowest_c, 1)}"
    for row in result.below:
        text += (
            f"; below {temperature(row.threshold_c)} for {row.hours:,} hours of "
            f"the record, at most {row.longest_run_nights} nights in a row"
        )
    return text + "."
