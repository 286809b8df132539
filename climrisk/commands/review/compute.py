"""The year looked back on: model against logger, the winter's rank, near misses."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.cautions import ESTIMATE
from climrisk.advice.cold_nights import LEAST_WINTERS
from climrisk.advice.limits import limits_of
from climrisk.commands.review.model_vs_logger import Logged, YearNights
from climrisk.commands.review.result import (
    Bias,
    OffsetLine,
    Rank,
    ReviewPlant,
    ReviewResult,
    WinterLine,
)
from climrisk.commands.shared.calibration import Calibration
from climrisk.commands.shared.exposures import USUAL_THRESHOLDS
from climrisk.commands.shared.named_spots import HomePlaces, NamedSpot
from climrisk.commands.shared.potted_plant import PottedPlant
from climrisk.commands.shared.weather_info import (
    assumed_info,
    caution_info,
    weather_info,
)
from climrisk.core import validation
from climrisk.core.arrays import Int
from climrisk.core.errors import InputError
from climrisk.core.quantities import difference, temperature
from climrisk.core.references import field
from climrisk.core.version import __version__
from climrisk.home.model import latest
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import SpotKind
from climrisk.spot.transfer import prepare
from climrisk.weather.series import WeatherSeries
from climrisk.weather.tables.extremes import DailyExtremes

#: A night within this above a limit is a near miss: about the error of one night at a
#: spot known from a station (our estimate). [K]
NEAR_K = 1.5
#: Differences below this are not worth a word (our estimate). [K]
_LITTLE_K = 0.3


def review(
    station: WeatherSeries,
    spot: NamedSpot,
    potted: Sequence[PottedPlant],
    *,
    logger: WeatherSeries | DailyExtremes | None,
    home: HomePlaces,
    shown: str | None,
    below: Sequence[float],
    members: int,
) -> ReviewResult:
    """Return a winter looked back on.

    Parameters
    ----------
    station : WeatherSeries
        All winters there are.
    spot : NamedSpot
        With what is specified and was learned of it.
    potted : sequence of PottedPlant
        Plants of the spot.
    logger : WeatherSeries, DailyExtremes or None
        Of the spot; without it the model speaks alone.
    home : HomePlaces
        Its name and height.
    shown : str or None
        Label of the winter; the last that counts otherwise.
    below : sequence of float
        Thresholds counted; 13, 10, 5 and 0 °C otherwise.
    members : int

    Raises
    ------
    InputError
        No such winter, or a typical year, which has no winters.
    """
    if station.typical:
        raise InputError(
            "a typical year has no winters to look back on",
            where="review",
            value=station.source.label,
            allowed="a station, or a record of years",
        )
    for value in below:
        validation.threshold_c(value, where=field("below"))
    name, kind = spot
    height_m = home.elevation_m
    if height_m is not None:
        validation.elevation(height_m, where=field("elevation"))
    members = validation.members(members)
    prepared = prepare(station, ensemble(members), spot_elevation_m=height_m)
    logged = None if logger is None else Logged.of(logger)
    table = YearNights(prepared, kind, logged)
    year = table.shown_year(shown)
    rows = table.rows(year)
    lines = table.lines()
    rank, no_rank = _rank(lines, table.label(year))
    bias, no_bias = _bias(table, logged)
    offsets, no_offsets = _offsets(logger, station, kind, height_m)
    lowest = table.lowest(rows)
    order = rows[np.argsort(lowest, kind="stable")][: int(np.isfinite(lowest).sum())]
    plants = [_plant(one, name, table, rows, lines) for one in potted]
    plants.sort(key=lambda p: (p.margin_k is None, p.margin_k or 0.0, p.label))
    assumed = assumed_info(prepared.assumed, [kind])
    result = ReviewResult(
        command="review",
        version=__version__,
        home=home.name,
        spot=name,
        spot_kind=kind.name,
        weather=weather_info(station, assumed),
        logger=None if logged is None else logged.label,
        shown=table.label(year),
        winters=lines,
        rank=rank,
        rank_unknown_because=no_rank,
        bias=bias,
        bias_unknown_because=no_bias,
        offsets=offsets,
        offsets_unknown_because=no_offsets,
        thresholds=[table.below(rows, t) for t in below or USUAL_THRESHOLDS],
        coldest=[table.night(int(i)) for i in order[:5]],
        nights=[table.night(int(i)) for i in rows],
        near_k=NEAR_K,
        plants=plants,
        sentence="",
        notes=_notes(bias, plants, rank),
        cautions=caution_info([ESTIMATE]),
        files=[],
    )
    return result.model_copy(update={"sentence": _sentence(result)})


def _rank(lines: list[WinterLine], label: str) -> tuple[Rank | None, str | None]:
    counted = [w for w in lines if w.counts]
    mine = next((w for w in counted if w.label == label), None)
    if mine is None:
        return None, "less than 80 % of this winter's nights are known"
    if len(counted) < LEAST_WINTERS:
        return None, "fewer than 3 winters count"
    mean, lowest = mine.mean_minimum_c or 0.0, mine.lowest_c or 0.0
    others = [w for w in counted if w is not mine]
    colder = sum((w.mean_minimum_c or 0.0) < mean for w in others)
    deeper = sum((w.lowest_c or 0.0) < lowest for w in others)
    share = colder / len(others)
    word = "about usual"
    if share >= 2 / 3:
        word = "mild"
    elif share <= 1 / 3:
        word = "cold"
    return (
        Rank(
            winters=len(counted),
            by_mean=colder + 1,
            by_lowest=deeper + 1,
            colder_frac=round(share, 3),
            words=f"{word}, {colder} of {len(others)} other winters were colder on "
            f"average and {deeper} had a colder night",
        ),
        None,
    )


def _bias(table: YearNights, logged: Logged | None) -> tuple[list[Bias], str | None]:
    if logged is None:
        return [], "add your logger's file to compare"
    bias = table.biases()
    if bias[-1].nights == 0:
        return bias, "no night is known to both logger and station"
    return bias, None


def _offsets(
    logger: WeatherSeries | DailyExtremes | None,
    station: WeatherSeries,
    kind: SpotKind,
    elevation_m: float | None,
) -> tuple[list[OffsetLine], str | None]:
    """Return what the logger would change of the spot's offsets."""
    if logger is None:
        return [], "add your logger's file to compare"
    try:
        found = Calibration(logger, station, kind, elevation_m=elevation_m)
    except InputError as error:
        return [], error.what
    after = {"still": found.learned.still_k, "windy": found.learned.windy_k}
    if kind.learned is not None:
        known = {"still": kind.learned.still_k, "windy": kind.learned.windy_k}
    else:
        known = {"still": found.still, "windy": found.windy}
    return [
        OffsetLine.model_validate(
            {
                "kind": night,
                "before_k": round(known[night][0], 2),
                "before_sd_k": round(known[night][1], 2),
                "after_k": after[night][0],
                "after_sd_k": after[night][1],
            }
        )
        for night in ("still", "windy")
    ], None


def _plant(
    one: PottedPlant, spot: str, table: YearNights, rows: Int, lines: list[WinterLine]
) -> ReviewPlant:
    """Return how near the edge a plant lived on the nights it stood on the spot."""
    limits = limits_of(one.plant, one.state)
    every = len(rows)
    there = [_there(one, spot, table.date(int(i))) for i in rows]
    rows = rows[np.array(there, dtype=bool)]
    lowest = table.lowest(rows)
    known = lowest[np.isfinite(lowest)]
    limit = limits.tolerated_c
    counted = [w for w in lines if w.counts]
    state, margin, near = "unknown", None, []
    if len(known):
        margin = round(float(known.min()) - limit, 1)
        close = (lowest >= limit) & (lowest < limit + NEAR_K)
        near = [table.date(int(i)) for i in rows[close]]
        state = "below" if margin < 0 else "edge" if margin < NEAR_K else "clear"
    deeper = sum(w.lowest_c is not None and w.lowest_c < limit for w in counted)
    row = ReviewPlant.model_validate(
        {
            "plant": one.plant.name,
            "label": one.label,
            "count": one.count,
            "preferred_c": limits.preferred_c,
            "tolerated_c": limits.tolerated_c,
            "by": table.by(rows),
            "nights_elsewhere": every - len(rows),
            "nights_below_preferred": _nights(lowest, limits.preferred_c),
            "nights_below_tolerated": _nights(lowest, limits.tolerated_c),
            "lowest_c": None if not len(known) else round(float(known.min()), 1),
            "margin_k": margin,
            "near_misses": near,
            "winters_below": deeper,
            "winters": len(counted),
            "state": state,
            "sentence": "",
        }
    )
    return row.model_copy(update={"sentence": _plant_words(row, limit)})


def _there(one: PottedPlant, spot: str, night: str) -> bool:
    """Whether a plant stood on the spot in a night, by what was noted of it."""
    move = latest(one.moves, date.fromisoformat(night))
    return (one.spot if move is None else move.to).lower() == spot.lower()


def _nights(lowest: NDArray[np.floating], limit_c: float) -> int:
    return int((lowest < limit_c).sum())


def _plant_words(row: ReviewPlant, limit_c: float) -> str:
    away = ""
    if row.nights_elsewhere:
        away = f" ({row.nights_elsewhere} nights elsewhere by your notes, not counted)"
    if row.margin_k is None:
        return f"{row.label}: no night of this winter is known{away}."
    what = f"the {temperature(limit_c)} it tolerates"
    if row.state == "below":
        text = (
            f"{row.nights_below_tolerated} nights below {what}, the coldest by "
            f"{difference(-row.margin_k)}"
        )
    else:
        text = (
            f"no night below {what}; the coldest {difference(row.margin_k)} above, "
            f"{len(row.near_misses)} near misses"
        )
    again = f"{row.winters_below} of {row.winters} winters go below it"
    return f"{row.label}: {text}{away}; {again}."


_KIND_WORDS = {"still": "calm", "windy": "windy"}


def _notes(
    bias: list[Bias], plants: Sequence[ReviewPlant], rank: Rank | None
) -> list[str]:
    notes = []
    for one in bias:
        if one.kind in ("still", "windy") and abs(one.bias_k or 0.0) >= _LITTLE_K:
            side = "warmer" if (one.bias_k or 0.0) > 0 else "colder"
            notes.append(
                f"on {one.nights} {_KIND_WORDS[one.kind]} nights the spot was "
                f"{difference(abs(one.bias_k or 0.0), 1)} {side} than computed: learn "
                "the spot "
                "from the logger"
            )
    if rank is not None and rank.colder_frac >= 2 / 3:
        missed = [p.label for p in plants if p.state != "below" and p.winters_below]
        if missed:
            notes.append(
                "a mild winter proves little: others went below the limits of "
                + "; ".join(missed)
            )
    return notes


def _sentence(result: ReviewResult) -> str:
    text = f"Winter {result.shown}, {result.spot}"
    text += f": {result.rank.words}" if result.rank else ": no rank"
    still = next((b for b in result.bias if b.kind == "still" and b.nights), None)
    windy = next((b for b in result.bias if b.kind == "windy" and b.nights), None)
    parts = [
        f"{difference(abs(b.bias_k), 1)} {'warmer' if b.bias_k > 0 else 'colder'} on "
        f"{b.nights} {_KIND_WORDS[b.kind]} nights"
        for b in (still, windy)
        if b is not None and b.bias_k is not None
    ]
    if parts:
        text += f". Logger against what was computed: {', '.join(parts)}"
    if result.plants:
        below = sum(p.count for p in result.plants if p.state == "below")
        edge = sum(p.count for p in result.plants if p.state == "edge")
        every = sum(p.count for p in result.plants)
        count = f"All {every}" if below == every > 1 else f"{below} of {every}"
        text += f". {count} plants got colder than they tolerate"
        if edge:
            text += f"; {edge} came near"
    return text + "."
