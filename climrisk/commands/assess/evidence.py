"""How weak the evidence of an assessment is, and what the plant would lack."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from climrisk.advice.limits import SHOWN, limit_row
from climrisk.commands.assess.result import (
    FloweringNeed,
    Lack,
    OtherLimit,
    Weak,
    WouldChange,
)
from climrisk.commands.shared.chilling_result import WantedInfo
from climrisk.core.calendar import GROWING_MONTHS
from climrisk.core.quantities import (
    DIFFERENCE,
    DISTANCE,
    HEIGHT,
    difference,
    number,
    quantity,
    temperature,
    temperatures,
)
from climrisk.core.ranges import Band
from climrisk.exposure.nights import Nights
from climrisk.plants.model import TOLERATED_BELOW_PREFERRED_K, LimitKind, limit_kind
from climrisk.render.document import DriftInfo, WeatherInfo

if TYPE_CHECKING:
    from climrisk.plants.model import Profile
    from climrisk.spot.kinds import SpotKind

#: Fewer winters than this are few (1/(n + 1) is then still above 9 %).
_FEW_WINTERS = 10
#: Shares from which modeled hours, gaps, cool summer nights and dry air are worth a
#: word (our estimates).
_MODELED, _GAPS, _COLD_SUMMER, _DRY = 0.1, 0.05, 0.1, 0.2
_LOG = "a logger at the spot for four to six weeks, with five clear calm nights or more"
_NAMES: dict[LimitKind, str] = {
    "preferred": "night minimum",
    "tolerated": "tolerated minimum",
    "ceiling": "upper limit",
    "advised_top": "advised day maximum",
    "warm_night": "warm-night limit",
    "light_floor": "need of light",
    "humidity_low_pct": "humidity",
}


def weak(
    plant: Profile,
    state: str,
    weather: WeatherInfo,
    kind: SpotKind,
    still_k: tuple[float, float] | None,
    winters: int,
    drift: DriftInfo | None,
) -> list[Weak]:
    """Return what of the evidence is weak.

    Parameters
    ----------
    plant : Profile
    state : str
    weather : WeatherInfo
    kind : SpotKind
    still_k : (mean, sd) or None
        Offset of the spot on clear still nights.
    winters : int
        That count.
    drift : DriftInfo or None
    """
    rows: list[Weak] = []
    for name in SHOWN:
        row = limit_row(plant, name, state)
        if row is None:
            continue
        if row.basis == "estimate":
            words = (
                "no source says how cold a night it tolerates; "
                f"{temperature(row.value)} is an "
                f"estimate, {difference(TOLERATED_BELOW_PREFERRED_K)} below what it "
                "prefers"
            )
            rows.append(Weak(what="estimated limit", words=words))
        elif row.basis == "memory":
            words = (
                f"its {_NAMES[name]} of {quantity(limit_kind(name), row.value)} is "
                "from "
                "memory, without a source"
            )
            rows.append(Weak(what="limit from memory", words=words))
        elif row.meaning in ("class_lower_bound", "general_rule"):
            words = (
                f"its {_NAMES[name]} of {quantity(limit_kind(name), row.value)} is "
                "that "
                "of its class, not its own"
            )
            rows.append(Weak(what="limit of its class", words=words))
    if weather.kind == "typical":
        return rows
    if winters < _FEW_WINTERS:
        words = (
            f"{winters} winter{'s' * (winters != 1)}: the chance that the next beats "
            f"them all is 1/{winters + 1}"
        )
        rows.append(Weak(what="few winters", words=words))
    rows += _of_weather(weather)
    if (
        still_k is not None
        and kind.learned is None
        and weather.measured_at == "station"
    ):
        words = (
            f"how much warmer {kind.words} is than the station on clear calm nights "
            f"({number(DIFFERENCE, still_k[0], 1, signed=True)} ± "
            f"{difference(still_k[1], 1)}) is not measured here"
        )
        rows.append(Weak(what="spot prior", words=words))
    if drift is not None and drift.kind != "none":
        rows.append(Weak(what="drifting climate", words=drift.words))
    return rows


def _of_weather(weather: WeatherInfo) -> list[Weak]:
    rows = []
    station = weather.station
    if station is not None and station.rough:
        height = station.height_difference_m
        words = f"the station is {quantity(DISTANCE, station.distance_km)} away"
        if height is not None and abs(height) >= 1:
            word = "higher" if height > 0 else "lower"
            words += f" and {quantity(HEIGHT, abs(height), 0)} {word}"
        words += f" (±{difference(station.spread_k)} on any night)"
        rows.append(Weak(what="far station", words=words))
    modeled = weather.hours_modeled / max(weather.hours_known, 1)
    if modeled > _MODELED:
        words = f"{modeled:.0%} of its known hours come from a model, not a thermometer"
        rows.append(Weak(what="model hours", words=words))
    if 1 - weather.coverage_frac > _GAPS:
        words = f"{1 - weather.coverage_frac:.0%} of the hours are unknown"
        rows.append(Weak(what="gaps", words=words))
    if weather.assumed:
        names = ", ".join(a.variable.replace("_", " ") for a in weather.assumed)
        words = f"the record lacks {names}; typical values are used, with their range"
        rows.append(Weak(what="assumed weather", words=words))
    return rows


def lacks(
    nights: Nights,
    preferred_c: float,
    wanted: WantedInfo | None,
    dry_hours: Band | None,
    humidity_pct: float | None,
    hours: int,
) -> list[Lack]:
    """Return what the plant wants and would not have at the spot.

    Parameters
    ----------
    nights : Nights
    preferred_c : float
    wanted : WantedInfo or None
    dry_hours : Band or None
        Hours below its humidity, of `hours`.
    humidity_pct : float or None
    hours : int
        Hours of the record.
    """
    rows: list[Lack] = []
    rows += _cool_spell(wanted)
    summer = np.isin(nights.month, GROWING_MONTHS[nights.north])
    judged = nights.valid[summer]
    cold = (nights.lowest_c[summer] < preferred_c) & judged
    if judged.any() and cold.sum() / judged.sum() > _COLD_SUMMER:
        share = float(cold.sum() / judged.sum())
        words = (
            f"warm nights: {share:.0%} of those of its growing months are below "
            f"{temperature(preferred_c)}"
        )
        rows.append(_lack("warm nights", 0.0, round(share, 3), "share", words))
    if dry_hours is not None and dry_hours.mid is not None and hours:
        share = dry_hours.mid / hours
        if share > _DRY:
            words = f"humidity: {share:.0%} of the hours are below {humidity_pct:g} %"
            rows.append(
                _lack(
                    *("humidity", humidity_pct, round(share, 3)),
                    *("share of hours below", words),
                )
            )
    return rows


def _lack(
    need: FloweringNeed, wanted: float | None, had: float | None, unit: str, words: str
) -> Lack:
    return Lack(need=need, wanted=wanted, had=had, unit=unit, words=words)


def _cool_spell(wanted: WantedInfo | None) -> list[Lack]:
    if wanted is None or wanted.nights_wanted is None or wanted.counted != "night":
        return []
    season = wanted.whole_season
    if season is None or season.mid is None or season.mid >= wanted.nights_wanted:
        return []
    words = (
        f"its cool spell for {wanted.purpose}: {season.mid:.0f} nights of "
        f"{temperatures(wanted.low_c, wanted.high_c)} outdoors, "
        f"{wanted.nights_wanted} wanted"
    )
    return [
        Lack(
            need="cool spell",
            wanted=float(wanted.nights_wanted),
            had=season.mid,
            unit="nights a winter",
            words=words,
        )
    ]


def would_change(
    rows: list[Weak],
    others: list[OtherLimit],
    word: str,
    still_k: tuple[float, float] | None,
) -> WouldChange:
    """Return what would change the answer, in the order of effort."""
    words = []
    kinds = {row.what for row in rows}
    if kinds & {"spot prior", "far station"}:
        offset = ""
        if still_k is not None:
            offset = (
                f" ({number(DIFFERENCE, still_k[0], 1, signed=True)} ± "
                f"{difference(still_k[1], 1)})"
            )
        words.append(
            f"{_LOG}: it would show how much warmer the spot is than the station"
            f"{offset}"
        )
    flips = [o for o in others if o.word != word]
    words += [
        f"a night minimum of {temperature(o.preferred_c)}: then “{o.word}”, "
        f"{o.months_out} "
        "months outdoors"
        for o in flips
    ]
    if kinds & {"limit from memory", "limit of its class"}:
        words.append("limits of its own with their source")
    if "few winters" in kinds:
        words.append("a longer record: a station with more winters near by")
    if "drifting climate" in kinds:
        words.append("the last 15 years alone")
    return WouldChange(other_limits=others, words=words)
