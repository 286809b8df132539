"""The files that picture commands write."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from climrisk.report import figures as draw
from climrisk.report.pages import (
    DAYS_WORDS,
    POTS_WORDS,
    assess_page,
    logger_page,
    pots_page,
    winter_page,
)
from climrisk.report.text import weather_line
from climrisk.report.write import csv_text, write_file
from climrisk.result.assess import AssessResult
from climrisk.result.logger import LoggerResult
from climrisk.result.pots import PotsResult
from climrisk.result.winter import WinterResult

_LADDER = (
    "A bar runs from a night's lowest to its evening temperature; darker with more "
    "hours below the first limit; plain clear and still, striped windy or overcast."
)


def assess_files(
    result: AssessResult,
    today: date,
    *,
    html: Path | None = None,
    png: Path | None = None,
    csv: Path | None = None,
) -> list[str]:
    """Write the asked files of an assessment and return their paths."""
    out = []
    if html is not None:
        out.append(write_file(html, assess_page(result, today), option="--html"))
    if png is not None:
        picture = draw.png(
            draw.year_strip(result),
            title=f"{result.plant.name} {result.spot.at}: {result.verdict.word}",
            foot=weather_line(result.weather),
        )
        out.append(write_file(png, picture, option="--png"))
    if csv is not None:
        header = ["week_from", "low_c", "mid_c", "high_c", "coldest_c"]
        rows = [
            (w.starts, w.low_c, w.mid_c, w.high_c, w.coldest_c)
            for w in result.year_strip
        ]
        out.append(
            write_file(csv, csv_text(header, rows, result.weather), option="--csv")
        )
    return out


def winter_files(
    result: WinterResult,
    *,
    html: Path | None = None,
    png: Path | None = None,
    csv: Path | None = None,
) -> list[str]:
    """Write the asked files of a winter and return their paths."""
    out = []
    if html is not None:
        out.append(write_file(html, winter_page(result), option="--html"))
    if png is not None:
        picture = draw.png(
            draw.winter_ladder(result),
            title=f"Winter {result.shown} {result.spot_at}, night by night",
            foot=f"{_LADDER}\n{weather_line(result.weather)}",
        )
        out.append(write_file(png, picture, option="--png"))
    if csv is not None:
        keys = [f"{t.threshold_c:g}" for t in result.thresholds]
        header = ["evening", "lowest_c", "low_c", "high_c", "evening_c"]
        header += [f"hours_below_{k}" for k in keys]
        header += ["regime_weight", "regime_spread", "kind", "wind_m_s"]
        header += ["counts", "known"]
        rows = [
            (
                *(n.evening, n.lowest_c, n.low_c, n.high_c, n.evening_c),
                *(n.hours_below[k] for k in keys),
                *(n.regime_weight, n.regime_spread, n.kind, n.wind_m_s),
                *(n.counts, n.known),
            )
            for n in result.nights
        ]
        out.append(
            write_file(csv, csv_text(header, rows, result.weather), option="--csv")
        )
    return out


def logger_files(
    result: LoggerResult,
    *,
    html: Path | None = None,
    png: Path | None = None,
    csv: Path | None = None,
) -> list[str]:
    """Write the asked files of a logger's record and return their paths."""
    out = []
    if html is not None:
        out.append(write_file(html, logger_page(result), option="--html"))
    if png is not None:
        picture = draw.png(
            draw.record_days(result),
            title=f"{result.weather.source}, day by day",
            foot=f"{DAYS_WORDS}\n{weather_line(result.weather)}",
        )
        out.append(write_file(png, picture, option="--png"))
    if csv is not None:
        header = ["date", "hours", "hours_known", "lowest_c", "highest_c", "marked"]
        rows = [
            (d.date, d.hours, d.hours_known, d.lowest_c, d.highest_c, d.marked)
            for d in result.days
        ]
        out.append(
            write_file(csv, csv_text(header, rows, result.weather), option="--csv")
        )
    return out


def pots_files(
    result: PotsResult,
    *,
    html: Path | None = None,
    png: Path | None = None,
    csv: Path | None = None,
) -> list[str]:
    """Write the asked files of a comparison of pots and return their paths."""
    out = []
    if html is not None:
        out.append(write_file(html, pots_page(result), option="--html"))
    if png is not None:
        picture = draw.png(
            draw.pots_dots(result),
            title=f"Roots on winter nights {result.spot_at}",
            foot=f"{POTS_WORDS}\n{weather_line(result.weather)}",
        )
        out.append(write_file(png, picture, option="--png"))
    if csv is not None:
        limits = list(result.pots[0].hours_below)
        header = ["pot", "medium", "diameter_cm", "time_constant_h"]
        header += ["daily_amplitude_ratio", "daily_lag_h", "warmer_k", "warmer_low_k"]
        header += ["warmer_high_k", "differs", "lowest_c"]
        header += [f"hours_below_{limit}" for limit in limits]
        rows = [
            (
                *(p.pot, p.medium, p.diameter_cm, p.time_constant_h),
                *(p.daily_amplitude_ratio, p.daily_lag_h, p.warmer_k.mid),
                *(p.warmer_k.low, p.warmer_k.high, p.differs, p.lowest_c.mid),
                *(p.hours_below[limit].mid for limit in limits),
            )
            for p in result.pots
        ]
        out.append(
            write_file(csv, csv_text(header, rows, result.weather), option="--csv")
        )
    return out
