"""What a logger teaches of a spot, against a station over the same weeks."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property

import numpy as np

from climrisk.commands.shared.paired_nights import extremes_beside, hours_beside
from climrisk.core.calendar import day_of_season
from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.spot.calibration import apart_from, evidence, fit, held_out, prior_of
from climrisk.spot.calibration_hours import LEAST_NIGHTS, by_hour, centered
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import SpotKind
from climrisk.spot.learned import Learned
from climrisk.spot.modifiers import sited
from climrisk.spot.transfer import prepare
from climrisk.weather.series import WeatherSeries
from climrisk.weather.tables.extremes import DailyExtremes

Pair = tuple[float, float]

#: Maxima of a cheap logger are doubtful by at least this much. [K]
_LEAST_DAY_SD_K, _DAY_NOISE_K, _LEAST_DAYS = 0.8, 1.5, 5


class Calibration:
    """A spot's differences from a station, fitted to the nights that both know.

    Parameters
    ----------
    logger : WeatherSeries or DailyExtremes
        Of the spot.
    station : WeatherSeries
        Over the same weeks; other years of it tell what more nights would bring.
    kind : SpotKind
        What is believed before, with its site and with what was learned earlier.
    elevation_m : float, optional
        Height of the home.

    Raises
    ------
    InputError
        A kind without offsets, or too few nights in common.
    """

    def __init__(
        self,
        logger: WeatherSeries | DailyExtremes,
        station: WeatherSeries,
        kind: SpotKind,
        *,
        elevation_m: float | None = None,
    ) -> None:
        self.logger = logger
        self.believed = sited(replace(kind, learned=None), station.place.latitude_deg)
        if self.believed.still_winter is None or self.believed.windy is None:
            raise InputError(
                "for this kind of spot there is no difference from a station to learn",
                where=field("spot"),
                value=kind.name,
                allowed="kinds in the open air, glazed-balcony or glasshouse",
                next_step="a room follows its set point and glass: give them by "
                + field("site"),
            )
        # The median member alone: heights differ by the middle lapse rate.
        self.station = prepare(station, ensemble(1), spot_elevation_m=elevation_m)
        self.paired = (
            extremes_beside(logger, self.station)
            if isinstance(logger, DailyExtremes)
            else hours_beside(logger, self.station)
        )
        self.nights = nights = self.paired.nights
        if len(nights) < LEAST_NIGHTS:
            raise InputError(
                "too few nights in common to learn from",
                where=label_of(logger),
                value=f"{len(nights)} nights known to it and to {station.source.label}",
                allowed=f"at least {LEAST_NIGHTS}, better four weeks",
                next_step="give weather that overlaps the logger's dates",
            )
        day = day_of_season(nights.evening, north=self.station.seasons.north)
        winter = 0.5 * (1 + np.cos(2 * np.pi * (day - 198) / 365.25))
        self.in_winter = float(winter.mean())
        self.still, self.windy = prior_of(self.believed, self.in_winter)
        self.noise_k = self.believed.night_noise_sd
        known = () if kind.learned is None else kind.learned.evidence
        self.earlier, self.replaced = apart_from(known, nights)
        prior = (self.still, self.windy, self.noise_k)
        self.fit = fit(nights, *prior, before=self.earlier)
        self.errors = held_out(nights, *prior)

    @cached_property
    def learned(self) -> Learned:
        """What the home file keeps."""
        sd = self.fit.spread_k
        day = self._day()
        still_by_hour, windy_by_hour = self._by_hour()
        return Learned(
            still_k=(round(float(self.fit.mean[0]), 2), round(sd[0], 2)),
            windy_k=(round(float(self.fit.mean[1]), 2), round(sd[1], 2)),
            day_k=(round(day[0], 2), round(day[1], 2)),
            noise_k=round(self.fit.noise_k, 2),
            still_by_hour=still_by_hour,
            windy_by_hour=windy_by_hour,
            in_winter=round(self.in_winter, 2),
            against=self.station.weather.source.label,
            evidence=(*self.earlier, evidence(self.nights, self.fit)),
        )

    def _by_hour(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        side = self.paired
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

    def _day(self) -> Pair:
        """Return the day's offset: the prior's, moved by what the maxima say."""
        mean, sd = self.believed.day_k or (0.0, 1.0)
        seen = self.paired.day_k[np.isfinite(self.paired.day_k)]
        if len(seen) < _LEAST_DAYS:
            return mean, sd
        # A sensor in the sun does not average out: the maxima share one doubt.
        doubt = _LEAST_DAY_SD_K**2 + _DAY_NOISE_K**2 / len(seen)
        weight = (1 / doubt) / (1 / doubt + 1 / sd**2)
        moved = mean + weight * (float(np.median(seen)) - mean)
        return moved, max(float(np.sqrt(1 / (1 / doubt + 1 / sd**2))), 0.5)


def label_of(logger: WeatherSeries | DailyExtremes) -> str:
    """Return what a logger's record is called."""
    return logger.label if isinstance(logger, DailyExtremes) else logger.source.label
