"""The files that picture commands write."""

from __future__ import annotations

from datetime import date
from functools import partial
from typing import Unpack

from climrisk.commands.assess.chart import strips_together, year_strip
from climrisk.commands.assess.result import AssessResult
from climrisk.commands.assess.several_result import AssessSeveral
from climrisk.commands.assess.several_text import HEADER, several_row
from climrisk.commands.logger.chart import record_days
from climrisk.commands.logger.result import LoggerResult
from climrisk.commands.pots.chart import pots_dots
from climrisk.commands.pots.result import SEASONS, PotsResult
from climrisk.commands.shared.pages import (
    DAYS_WORDS,
    POTS_WORDS,
    assess_page,
    logger_page,
    pots_page,
    several_page,
    winter_page,
)
from climrisk.commands.winter.chart import winter_ladder
from climrisk.commands.winter.result import WinterResult
from climrisk.render.exports import Asked, Faces

_LADDER = (
    "A bar runs from a night's lowest to its evening temperature; the more "
    "hours below the first limit, the stronger its color; plain on clear calm "
    "nights, striped on windy or cloudy ones."
)


def assess_files(
    result: AssessResult, today: date, **asked: Unpack[Asked]
) -> list[str]:
    """Write the asked files of an assessment and return their paths."""
    return Faces(
        page=partial(assess_page, result, today),
        figure=partial(year_strip, result),
        title=f"{result.plant.name} {result.spot.at}: {result.verdict.word}",
        words="",
        header=["week_from", "low_c", "mid_c", "high_c", "coldest_c"],
        rows=lambda: [
            (w.starts, w.low_c, w.mid_c, w.high_c, w.coldest_c)
            for w in result.year_strip
        ],
        weather=result.weather,
    ).write(asked)


def several_files(result: AssessSeveral, **asked: Unpack[Asked]) -> list[str]:
    """Write the asked files of answers side by side and return their paths."""
    return Faces(
        page=partial(several_page, result),
        figure=partial(strips_together, result),
        title=f"{result.asked}: {result.question}",
        words="",
        header=list(HEADER),
        rows=lambda: [several_row(c) for c in result.choices],
        weather=result.weather,
    ).write(asked)


def winter_files(result: WinterResult, **asked: Unpack[Asked]) -> list[str]:
    """Write the asked files of a winter and return their paths."""
    keys = [f"{t.threshold_c:g}" for t in result.thresholds]
    return Faces(
        page=partial(winter_page, result),
        figure=partial(winter_ladder, result),
        title=f"Winter {result.shown} {result.spot_at}, night by night",
        words=_LADDER,
        header=[
            *("evening", "lowest_c", "low_c", "high_c", "evening_c"),
            *(f"hours_below_{k}" for k in keys),
            *("regime_weight", "regime_spread", "kind", "wind_m_s"),
            *("counts", "known"),
        ],
        rows=lambda: [
            (
                *(n.evening, n.lowest_c, n.low_c, n.high_c, n.evening_c),
                *(n.hours_below[k] for k in keys),
                *(n.regime_weight, n.regime_spread, n.kind, n.wind_m_s),
                *(n.counts, n.known),
            )
            for n in result.nights
        ],
        weather=result.weather,
    ).write(asked)


def logger_files(result: LoggerResult, **asked: Unpack[Asked]) -> list[str]:
    """Write the asked files of a logger's record and return their paths."""
    return Faces(
        page=partial(logger_page, result),
        figure=partial(record_days, result),
        title=f"{result.weather.source}, day by day",
        words=DAYS_WORDS,
        header=["date", "hours", "hours_known", "lowest_c", "highest_c", "marked"],
        rows=lambda: [
            (d.date, d.hours, d.hours_known, d.lowest_c, d.highest_c, d.marked)
            for d in result.days
        ],
        weather=result.weather,
    ).write(asked)


def pots_files(result: PotsResult, **asked: Unpack[Asked]) -> list[str]:
    """Write the asked files of a comparison of pots and return their paths."""
    limits = list(result.pots[0].hours_below)
    return Faces(
        page=partial(pots_page, result),
        figure=partial(pots_dots, result),
        title=f"Roots on winter nights {result.spot_at}",
        words=POTS_WORDS,
        header=[
            *("pot", "medium", "diameter_cm", "time_constant_h"),
            *("daily_amplitude_ratio", "daily_lag_h", "warmer_k", "warmer_low_k"),
            *("warmer_high_k", "differs", "lowest_c"),
            *(f"hours_below_{limit}" for limit in limits),
            *(f"dry_after_d_{season}" for season in SEASONS),
            "wet_and_cold_hours_per_year",
        ],
        rows=lambda: [
            (
                *(p.pot, p.medium, p.diameter_cm, p.time_constant_h),
                *(p.daily_amplitude_ratio, p.daily_lag_h, p.warmer_k.mid),
                *(p.warmer_k.low, p.warmer_k.high, p.differs, p.lowest_c.mid),
                *(p.hours_below[limit].mid for limit in limits),
                *(p.dry_after_d[season].mid for season in SEASONS),
                None
                if p.wet_and_cold_hours_per_year is None
                else p.wet_and_cold_hours_per_year.mid,
            )
            for p in result.pots
        ],
        weather=result.weather,
    ).write(asked)
