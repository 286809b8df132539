"""A spot learned from its own logger against a station over the same weeks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.cautions import ESTIMATE
from climrisk.commands.learn.result import LearnedNight, LearnResult, Offset
from climrisk.commands.shared.calibration import (
    Calibration,
    Pair,
    label_of,
)
from climrisk.commands.shared.weather_info import caution_info, weather_info
from climrisk.core.arrays import Float
from climrisk.core.calendar import as_date, day_of_season
from climrisk.core.quantities import DEGREES_APART, DIFFERENCE, difference, number
from climrisk.core.version import __version__
from climrisk.spot.calibration import with_more
from climrisk.spot.calibration_hours import LEAST_NIGHTS
from climrisk.spot.kinds import SpotKind
from climrisk.spot.learned import Learned
from climrisk.spot.regimes import night_kind, of_kind
from climrisk.weather.series import WeatherSeries
from climrisk.weather.tables.extremes import DailyExtremes

#: Clear still nights that replace the prior (rule of job practice, our estimate).
ENOUGH_STILL = 5
_FOUR_WEEKS = 28
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
    """Return what a logger teaches of a spot; see `Calibration`.

    `spot` is its grower's own name for the spot.

    Raises
    ------
    InputError
        A kind without offsets, or too few nights in common.
    """
    found = Calibration(logger, station, kind, elevation_m=elevation_m)
    nights, learned = found.nights, found.learned
    more = _more(found)
    station_error, before, after, blocks = _errors(found)
    still_rows, windy_rows = (of_kind(nights.weight, k) for k in ("still", "windy"))
    foretold = found.fit.predicted(nights)
    result = LearnResult(
        command="learn",
        version=__version__,
        spot=spot or kind.name,
        spot_kind=kind.name,
        logger=label_of(logger),
        weather=weather_info(found.station.weather),
        first=as_date(int(nights.evening[0])).isoformat(),
        last=as_date(int(nights.evening[-1])).isoformat(),
        nights_used=len(nights),
        still_nights=int(still_rows.sum()),
        windy_nights=int(windy_rows.sum()),
        nights_left_aside=found.paired.left_aside,
        prior_still=_offset(found.still),
        prior_windy=_offset(found.windy),
        still=_offset(learned.still_k),
        windy=_offset(learned.windy_k),
        offset_still_k=learned.still_k[0],
        offset_windy_k=learned.windy_k[0],
        spread_k=learned.still_k[1],
        day_k=learned.day_k[0],
        noise_k=learned.noise_k,
        swing_ratio_still=_ratio(found, still_rows),
        swing_ratio_windy=_ratio(found, windy_rows),
        still_by_hour=list(learned.still_by_hour),
        windy_by_hour=list(learned.windy_by_hour),
        error_station_k=station_error,
        error_before_k=before,
        error_after_k=after,
        held_out_blocks=blocks,
        in_four_weeks_k=None if more is None else round(more[0], 2),
        still_nights_in_four_weeks=None if more is None else round(more[1], 1),
        earlier_nights=sum(e.nights for e in found.earlier),
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
        notes=_notes(found),
        cautions=caution_info([ESTIMATE]),
        saved=None,
        files=[],
    )
    sentence = _sentence(result)
    return LearnedSpot(result.model_copy(update={"sentence": sentence}), learned)


def _more(found: Calibration) -> tuple[float, float] | None:
    """Return spread and still nights after four more weeks of this season."""
    evening = int(found.station.seasons.night[0]) + np.arange(
        len(found.station.regimes.weight)
    )
    last = int(found.nights.evening[-1])
    north = found.station.seasons.north
    after = (
        day_of_season(evening, north=north)
        - day_of_season(np.array([last]), north=north)[0]
    ) % 365
    rows = (after >= 1) & (after <= _FOUR_WEEKS)
    if rows.sum() < _FOUR_WEEKS:
        return None
    weight = found.station.regimes.weight[rows]
    spread = found.station.regimes.spread[rows]
    sd, _ = with_more(found.fit, weight, spread, found.noise_k, nights=_FOUR_WEEKS)
    return sd, _FOUR_WEEKS * float(of_kind(weight, "still").mean())


def _ratio(found: Calibration, rows: NDArray[np.bool_]) -> float | None:
    swing = found.paired.swing[rows]
    good = np.isfinite(swing).all(axis=1) & (swing[:, 1] > 1.0)
    if good.sum() < LEAST_NIGHTS:
        return None
    return round(float(np.median(swing[good, 0] / swing[good, 1])), 2)


def _errors(found: Calibration) -> tuple[float | None, float | None, float | None, int]:
    if found.errors is None:
        return None, None, None, 0
    before, after = found.errors
    evening = found.nights.evening
    blocks = len(np.unique((evening - evening[0]) // 7))
    return (_rms(found.nights.minimum_k), _rms(before), _rms(after), blocks)


def _notes(found: Calibration) -> list[str]:
    notes: list[str] = []
    if isinstance(found.logger, DailyExtremes):
        notes += found.logger.notes
    if found.replaced:
        count = sum(e.nights for e in found.replaced)
        notes.append(
            f"{count} nights learned earlier overlap these dates and were "
            f"replaced, so that no night counts twice"
        )
    if found.earlier:
        count = sum(e.nights for e in found.earlier)
        notes.append(f"{count} nights learned earlier from other dates count too")
    if found.nights.still < ENOUGH_STILL:
        notes.append(
            f"only {found.nights.still} clear calm nights: the result leans on the "
            f"prior of the kind"
        )
    if found.errors is None:
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
