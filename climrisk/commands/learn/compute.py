"""A spot learned from its own logger against a station over the same weeks."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.cautions import ESTIMATE
from climrisk.commands.learn.paired_nights import Beside, extremes_beside, hours_beside
from climrisk.commands.learn.result import LearnedNight, LearnResult, Offset
from climrisk.commands.shared.weather_info import caution_info, weather_info
from climrisk.core.calendar import as_date, day_of_season
from climrisk.core.errors import InputError
from climrisk.core.quantities import DEGREES_APART, DIFFERENCE, difference, number
from climrisk.core.references import field
from climrisk.core.version import __version__
from climrisk.spot.calibration import (
    apart_from,
    evidence,
    fit,
    held_out,
    prior_of,
    with_more,
)
from climrisk.spot.calibration_hours import by_hour, centered
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import SpotKind
from climrisk.spot.learned import Evidence, Learned
from climrisk.spot.modifiers import sited
from climrisk.spot.regimes import night_kind, of_kind
from climrisk.spot.transfer import Prepared, prepare
from climrisk.weather.series import WeatherSeries
from climrisk.weather.tables.extremes import DailyExtremes

Float = NDArray[np.floating]
Pair = tuple[float, float]

#: Fewer nights teach nothing that the prior does not know.
LEAST_NIGHTS = 5
#: Clear still nights that replace the prior (rule of job practice, our estimate).
ENOUGH_STILL = 5
_FOUR_WEEKS = 28
#: Maxima of a cheap logger are doubtful by at least this much. [K]
_LEAST_DAY_SD_K, _DAY_NOISE_K, _LEAST_DAYS = 0.8, 1.5, 5
_NINE_TENTHS = 1.645
_LITTLE_K = 0.05


@dataclass(frozen=True)
class LearnedSpot:
    """The result and the figures that the home file keeps."""

    result: LearnResult
    learned: Learned


def learn(
    logger: WeatherSeries | DailyExtremes,
    station: WeatherSeries,
    kind: SpotKind,
    *,
    spot: str = "",
    elevation_m: float | None = None,
) -> LearnedSpot:
    """Return what a logger teaches of a spot.

    Parameters
    ----------
    logger : WeatherSeries or DailyExtremes
        Of the spot.
    station : WeatherSeries
        Over the same weeks; other years of it tell what more nights would bring.
    kind : SpotKind
        What is believed before, with its site and with what was learned earlier.
    spot : str
        The keeper's own name.
    elevation_m : float, optional
        Height of the home.

    Raises
    ------
    InputError
        A kind without offsets, or too few nights in common.
    """
    known = () if kind.learned is None else kind.learned.evidence
    believed = sited(replace(kind, learned=None), station.place.latitude_deg)
    if believed.still_winter is None or believed.windy is None:
        raise InputError(
            "for this kind of spot there is no difference from a station to learn",
            where=field("spot"),
            value=kind.name,
            allowed="kinds in the open air, glazed-balcony or glasshouse",
            next_step="a room follows its set point and glass: give them by "
            + field("site"),
        )
    # The middle world alone: heights differ by the middle lapse rate.
    prepared = prepare(station, ensemble(1), spot_elevation_m=elevation_m)
    beside = (
        extremes_beside(logger, prepared)
        if isinstance(logger, DailyExtremes)
        else hours_beside(logger, prepared)
    )
    if len(beside.nights) < LEAST_NIGHTS:
        raise InputError(
            "too few nights in common to learn from",
            where=_label(logger),
            value=f"{len(beside.nights)} nights known to it and to "
            f"{station.source.label}",
            allowed=f"at least {LEAST_NIGHTS}, better four weeks",
            next_step="give weather that overlaps the logger's dates",
        )
    return _Lesson(beside, prepared, kind, believed, known, spot, logger).learned_spot()


class _Lesson:
    """One lesson, its parts computed once."""

    def __init__(
        self,
        beside: Beside,
        station: Prepared,
        kind: SpotKind,
        believed: SpotKind,
        known: tuple[Evidence, ...],
        spot: str,
        logger: WeatherSeries | DailyExtremes,
    ) -> None:
        self.beside, self.station, self.kind, self.spot = beside, station, kind, spot
        self.believed, self.logger = believed, logger
        nights = beside.nights
        self.nights = nights
        north = station.seasons.north
        day = day_of_season(nights.evening, north=north)
        winter = 0.5 * (1 + np.cos(2 * np.pi * (day - 198) / 365.25))
        self.in_winter = float(winter.mean())
        self.still, self.windy = prior_of(believed, self.in_winter)
        self.noise_k = believed.night_noise_sd
        self.earlier, self.replaced = apart_from(known, nights)
        prior = (self.still, self.windy, self.noise_k)
        self.fit = fit(nights, *prior, before=self.earlier)
        self.errors = held_out(nights, *prior)
        self.shape = self._shape()

    def _shape(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        side = self.beside
        if (
            side.difference_k is None
            or side.station_c is None
            or side.hour is None
            or side.night is None
        ):
            return (), ()
        weight = self.nights.weight
        raw = by_hour(side.difference_k, side.hour, side.night, weight, self.fit)
        return centered(raw, side.station_c, side.hour, side.night, weight)

    def learned(self) -> Learned:
        sd = self.fit.spread_k
        day = self._day()
        return Learned(
            still_k=(round(float(self.fit.mean[0]), 2), round(sd[0], 2)),
            windy_k=(round(float(self.fit.mean[1]), 2), round(sd[1], 2)),
            day_k=(round(day[0], 2), round(day[1], 2)),
            noise_k=round(self.fit.noise_k, 2),
            still_by_hour=self.shape[0],
            windy_by_hour=self.shape[1],
            in_winter=round(self.in_winter, 2),
            against=self.station.weather.source.label,
            evidence=(*self.earlier, evidence(self.nights, self.fit)),
        )

    def _day(self) -> Pair:
        """Return the day's offset: the prior's, moved by what the maxima say."""
        mean, sd = self.believed.day_k or (0.0, 1.0)
        seen = self.beside.day_k[np.isfinite(self.beside.day_k)]
        if len(seen) < _LEAST_DAYS:
            return mean, sd
        # A sensor in the sun does not average out: the maxima share one doubt.
        doubt = _LEAST_DAY_SD_K**2 + _DAY_NOISE_K**2 / len(seen)
        weight = (1 / doubt) / (1 / doubt + 1 / sd**2)
        moved = mean + weight * (float(np.median(seen)) - mean)
        return moved, max(float(np.sqrt(1 / (1 / doubt + 1 / sd**2))), 0.5)

    def _more(self) -> tuple[float, float] | None:
        """Return spread and still nights after four more weeks of this season."""
        evening = int(self.station.seasons.night[0]) + np.arange(
            len(self.station.regimes.weight)
        )
        last = int(self.nights.evening[-1])
        north = self.station.seasons.north
        after = (
            day_of_season(evening, north=north)
            - day_of_season(np.array([last]), north=north)[0]
        ) % 365
        rows = (after >= 1) & (after <= _FOUR_WEEKS)
        if rows.sum() < _FOUR_WEEKS:
            return None
        weight = self.station.regimes.weight[rows]
        spread = self.station.regimes.spread[rows]
        sd, _ = with_more(self.fit, weight, spread, self.noise_k, nights=_FOUR_WEEKS)
        return sd, _FOUR_WEEKS * float(of_kind(weight, "still").mean())

    def _ratio(self, rows: NDArray[np.bool_]) -> float | None:
        swing = self.beside.swing[rows]
        good = np.isfinite(swing).all(axis=1) & (swing[:, 1] > 1.0)
        if good.sum() < LEAST_NIGHTS:
            return None
        return round(float(np.median(swing[good, 0] / swing[good, 1])), 2)

    def learned_spot(self) -> LearnedSpot:
        nights, found = self.nights, self.fit
        learned = self.learned()
        more = self._more()
        station_error, before, after, blocks = self._errors()
        weather = self.station.weather
        still_rows, windy_rows = (of_kind(nights.weight, k) for k in ("still", "windy"))
        foretold = found.predicted(nights)
        result = LearnResult(
            command="learn",
            version=__version__,
            spot=self.spot or self.kind.name,
            spot_kind=self.kind.name,
            logger=_label(self.logger),
            weather=weather_info(weather),
            first=as_date(int(nights.evening[0])).isoformat(),
            last=as_date(int(nights.evening[-1])).isoformat(),
            nights_used=len(nights),
            still_nights=int(still_rows.sum()),
            windy_nights=int(windy_rows.sum()),
            nights_left_aside=self.beside.left_aside,
            prior_still=_offset(self.still),
            prior_windy=_offset(self.windy),
            still=_offset(learned.still_k),
            windy=_offset(learned.windy_k),
            offset_still_k=learned.still_k[0],
            offset_windy_k=learned.windy_k[0],
            spread_k=learned.still_k[1],
            day_k=learned.day_k[0],
            noise_k=learned.noise_k,
            swing_ratio_still=self._ratio(still_rows),
            swing_ratio_windy=self._ratio(windy_rows),
            still_by_hour=list(learned.still_by_hour),
            windy_by_hour=list(learned.windy_by_hour),
            error_station_k=station_error,
            error_before_k=before,
            error_after_k=after,
            held_out_blocks=blocks,
            in_four_weeks_k=None if more is None else round(more[0], 2),
            still_nights_in_four_weeks=None if more is None else round(more[1], 1),
            earlier_nights=sum(e.nights for e in self.earlier),
            nights=[
                LearnedNight(
                    evening=as_date(int(nights.evening[i])).isoformat(),
                    regime_weight=round(float(nights.weight[i]), 2),
                    kind=night_kind(float(nights.weight[i])),
                    difference_k=round(float(nights.minimum_k[i]), 2),
                    foretold_k=round(float(foretold[i]), 2),
                )
                for i in range(len(nights))
            ],
            sentence="",
            notes=self._notes(),
            cautions=caution_info([ESTIMATE]),
            saved=None,
            files=[],
        )
        sentence = _sentence(result)
        return LearnedSpot(result.model_copy(update={"sentence": sentence}), learned)

    def _errors(self) -> tuple[float | None, float | None, float | None, int]:
        if self.errors is None:
            return None, None, None, 0
        before, after = self.errors
        evening = self.nights.evening
        blocks = len(np.unique((evening - evening[0]) // 7))
        return (_rms(self.nights.minimum_k), _rms(before), _rms(after), blocks)

    def _notes(self) -> list[str]:
        notes: list[str] = []
        if isinstance(self.logger, DailyExtremes):
            notes += self.logger.notes
        if self.replaced:
            count = sum(e.nights for e in self.replaced)
            notes.append(
                f"{count} nights learned earlier overlap these dates and were "
                f"replaced, so that no night counts twice"
            )
        if self.earlier:
            count = sum(e.nights for e in self.earlier)
            notes.append(f"{count} nights learned earlier from other dates count too")
        if self.nights.still < ENOUGH_STILL:
            notes.append(
                f"only {self.nights.still} clear calm nights: the result leans on the "
                f"prior of the kind"
            )
        if self.errors is None:
            notes.append("less than three weeks: no error on weeks left out")
        return notes


def _offset(pair: Pair) -> Offset:
    mean, sd = pair
    return Offset(
        mean=round(mean, 2),
        sd=round(sd, 2),
        low=round(mean - _NINE_TENTHS * sd, 2),
        high=round(mean + _NINE_TENTHS * sd, 2),
    )


def _rms(values: Float) -> float:
    return round(float(np.sqrt(np.mean(np.square(values)))), 2)


def _label(logger: WeatherSeries | DailyExtremes) -> str:
    return logger.label if isinstance(logger, DailyExtremes) else logger.source.label


def _sentence(found: LearnResult) -> str:
    said = (
        f"On clear calm nights this spot is {_warmer(found.offset_still_k)} the "
        f"station (between {number(DIFFERENCE, found.still.low, 1, signed=True)} and "
        f"{difference(found.still.high, 1, signed=True)}), on "
        f"windy ones {_warmer(found.offset_windy_k)} it: {found.nights_used} nights, "
        f"{found.still_nights} of them clear and calm."
    )
    if found.error_after_k is not None:
        said += (
            f" Held-out minima were predicted to within {found.error_after_k:.1f} "
            f"{DEGREES_APART}; {difference(found.error_before_k, 1)} before learning."
        )
    if found.in_four_weeks_k is not None:
        gain = found.spread_k - found.in_four_weeks_k
        if gain < _LITTLE_K:
            return f"{said} Four more weeks would change little."
        said += (
            f" Four more weeks would bring about "
            f"{found.still_nights_in_four_weeks:.0f} clear calm nights and a spread of "
            f"{difference(found.in_four_weeks_k, 1)} instead of "
            f"{difference(found.spread_k, 1)}."
        )
    return said


def _warmer(offset_k: float) -> str:
    word = "warmer than" if offset_k >= 0 else "colder than"
    return f"{difference(abs(offset_k), 1)} {word}"
