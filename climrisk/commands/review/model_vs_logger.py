"""The nights of a spot by the model and by its logger, side by side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from climrisk.commands.review.result import Below, Bias, By, ReviewNight, WinterLine
from climrisk.commands.shared.exposure_info import middle_member
from climrisk.commands.shared.exposures import sweep
from climrisk.commands.shared.winter_nights import WinterNights
from climrisk.core.arrays import Bool, Float, Int
from climrisk.exposure.hours import expose
from climrisk.physics.solar import night_hours, sun_path
from climrisk.spot.kinds import SpotKind
from climrisk.spot.regimes import NIGHT_KINDS, night_kind, of_kind
from climrisk.spot.transfer import Prepared, spot_air_c
from climrisk.weather.series import WeatherSeries
from climrisk.weather.tables.extremes import DailyExtremes

#: From this share of nights on a winter is the logger's alone.
_MOST = 0.8


@dataclass(frozen=True)
class Logged:
    """What a logger says of nights.

    Parameters
    ----------
    evening : ndarray of int, shape (night,)
    lowest_c : ndarray, shape (night,)
        NaN where the night does not count.
    air_c, night : ndarray, shape (time,), or None
        Its hours and the night of each; None for a min-max thermometer.
    label : str
    """

    evening: Int
    lowest_c: Float
    air_c: Float | None
    night: Int | None
    label: str

    @classmethod
    def of(cls, logger: WeatherSeries | DailyExtremes) -> Logged:
        """Return the nights of a logger; those of which too little is known are NaN."""
        if isinstance(logger, DailyExtremes):
            return cls(logger.evening, logger.lowest_c, None, None, logger.label)
        place = logger.place
        sun = sun_path(logger.time, place.latitude_deg, place.longitude_deg)
        seasons = logger.seasons()
        swept = expose(logger.air_temp_c, seasons, night_hours(sun), np.array([]))
        nights = swept.nights
        lowest = np.where(nights.valid[:, 0], nights.lowest_c[:, 0], np.nan)
        return cls(
            nights.evening,
            lowest,
            logger.air_temp_c[:, 0],
            seasons.night,
            logger.source.label,
        )


class YearNights(WinterNights):
    """Every night of the record at a spot, by model and logger.

    Parameters
    ----------
    prepared : Prepared
        The station, with its members.
    kind : SpotKind
    logged : Logged or None
    """

    def __init__(
        self, prepared: Prepared, kind: SpotKind, logged: Logged | None
    ) -> None:
        self.logged = logged
        self.air = spot_air_c(prepared, kind)
        super().__init__(prepared, sweep(prepared, self.air, []).nights)
        weight = prepared.regimes.weight
        self.weight = weight if weight.ndim == 1 else weight[:, 0]
        self.valid = self.nights.valid.mean(axis=1) >= 0.5
        self.seen = self._seen()

    def _seen(self) -> Float:
        """Return the logger's minimum of each of the model's nights, NaN for none."""
        out = np.full(len(self.nights), np.nan)
        if self.logged is None:
            return out
        row = self.logged.evening - int(self.nights.evening[0])
        inside = (row >= 0) & (row < len(out))
        out[row[inside]] = self.logged.lowest_c[inside]
        return out

    def shown_year(self, label: str | None) -> int:
        """Return the growing year looked back on: the one named, else the logger's."""
        known = {}
        if self.logged is not None:
            known = {
                y: int(np.isfinite(self.seen[self.rows(y)]).sum()) for y in self.years()
            }
        return self.year_to_show(label, known)

    def lines(self) -> list[WinterLine]:
        """Return every winter of the record."""
        return [self._line(year) for year in self.years()]

    def _line(self, year: int) -> WinterLine:
        rows = self.rows(year)
        rows = rows[self.valid[rows] & np.isfinite(self.middle[rows])]
        if len(rows) == 0:
            return WinterLine(
                label=self.label(year),
                counts=False,
                mean_minimum_c=None,
                lowest_c=None,
                lowest_evening=None,
            )
        coldest = rows[int(np.argmin(self.middle[rows]))]
        return WinterLine(
            label=self.label(year),
            counts=self.counted[year],
            mean_minimum_c=round(float(self.middle[rows].mean()), 2),
            lowest_c=round(float(self.middle[coldest]), 1),
            lowest_evening=self.date(int(coldest)),
        )

    def night(self, row: int) -> ReviewNight:
        """Return one night by both."""
        seen, model = self.seen[row], self.middle[row]
        return ReviewNight(
            evening=self.date(row),
            logger_c=_number(seen),
            model_low_c=_number(self.low[row]),
            model_c=_number(model),
            model_high_c=_number(self.high[row]),
            regime_weight=round(float(self.weight[row]), 2),
            kind=night_kind(float(self.weight[row])),
            difference_k=_number(seen - model, 2),
        )

    def biases(self) -> list[Bias]:
        """Return logger minus model by the kind of night, over all nights of both."""
        both = np.isfinite(self.seen) & np.isfinite(self.middle) & self.valid
        out = []
        for kind, rows in (
            *((kind, of_kind(self.weight, kind)) for kind in NIGHT_KINDS),
            ("all", np.ones(len(both), bool)),
        ):
            use = both & rows
            gap = self.seen[use] - self.middle[use]
            inside = (self.seen[use] >= self.low[use]) & (
                self.seen[use] <= self.high[use]
            )
            some = len(gap) > 0
            out.append(
                Bias.model_validate(
                    {
                        "kind": kind,
                        "nights": len(gap),
                        "bias_k": round(float(gap.mean()), 2) if some else None,
                        "rms_k": round(float(np.sqrt((gap**2).mean())), 2)
                        if some
                        else None,
                        "inside_frac": round(float(inside.mean()), 2) if some else None,
                    }
                )
            )
        return out

    def by(self, rows: Int) -> By:
        """Return whose minima some nights have."""
        known = np.isfinite(self.seen[rows])
        if not known.any():
            return "model"
        return "logger" if known.mean() >= _MOST else "both"

    def lowest(self, rows: Int) -> Float:
        """Return minima of some nights: the logger's, else the model's middle."""
        model = np.where(self.valid[rows], self.middle[rows], np.nan)
        if self.by(rows) == "logger":
            return self.seen[rows]
        return np.where(np.isfinite(self.seen[rows]), self.seen[rows], model)

    def below(self, rows: Int, limit_c: float) -> Below:
        """Return what some nights had below a threshold, whole nights noon to noon."""
        lowest = self.lowest(rows)
        cold, unknown = lowest < limit_c, np.isnan(lowest)
        return Below(
            threshold_c=limit_c,
            by=self.by(rows),
            hours=self._hours(rows, limit_c),
            nights=int(cold.sum()),
            longest_run_nights=_longest(cold, ~cold & ~unknown),
            unknown_nights=int(unknown.sum()),
        )

    def _hours(self, rows: Int, limit_c: float) -> float | None:
        """Return known hours below, each night by what its minimum is taken from."""
        seen = np.isfinite(self.seen[rows])
        evenings = self.nights.evening[rows]
        total = 0.0
        if self.by(rows) != "logger":
            inside = np.isin(self.prepared.seasons.night, evenings[~seen])
            total += float((middle_member(self.air[inside]) < limit_c).sum())
        if seen.any():
            if self.logged is None or self.logged.night is None:
                return None  # a min-max thermometer knows no hours
            assert self.logged.air_c is not None
            inside = np.isin(self.logged.night, evenings[seen])
            total += float((self.logged.air_c[inside] < limit_c).sum())
        return total


def _longest(joins: Bool, ends: Bool) -> int:
    """Return the most nights that join between two that end."""
    best = now = 0
    for joined, ended in zip(joins, ends, strict=True):
        now = 0 if ended else now + int(joined)
        best = max(best, now)
    return best


def _number(x: float, digits: int = 1) -> float | None:
    return round(float(x), digits) if np.isfinite(x) else None
