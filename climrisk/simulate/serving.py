"""Which spot and which pot would serve best, by a quick look at the last years."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from climrisk.result.evidence import BetterPot, BetterSpot, Serving
from climrisk.simulate.asked import Question
from climrisk.simulate.judge import Limits, sweep
from climrisk.spot.kinds import spot_kind
from climrisk.spot.members import worlds
from climrisk.spot.transfer import Prepared, prepare, spot_air_c, spot_climate
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    from climrisk.pot.model import Pot
    from climrisk.spot.kinds import SpotKind

#: Outdoor kinds that a home may have.
SPOTS = (
    "open-rail",
    "roofed-walkway",
    "roofed-balcony",
    "recessed-balcony",
    "wall-shelf",
    "glazed-balcony",
)
#: Pots tried beside the asked one; medium and size stay.
_POTS = ("thick-plastic", "glazed-ceramic")
_YEARS = 5
#: So many more hot hours a year rule a spot out (our estimate).
_HOT_HOURS = 100.0
#: Less than this share is no clear difference (our estimate).
_CLEAR = 0.05


def serving(weather: WeatherSeries, question: Question, limits: Limits) -> Serving:
    """Return spots and pots in the order in which they would serve the plant.

    By the middle world of the last five growing years: a hint where to look, which
    `climrisk remedies` measures with bands.
    """
    recent = _recent(weather)
    prepared = prepare(recent, worlds(1), spot_elevation_m=question.elevation_m)
    years = len(recent) / 8766
    here = question.kind(weather)
    kinds = [here]
    if weather.source.measured_at == "station":
        kinds += [spot_kind(n) for n in SPOTS if n != here.name]
    spots = sorted(
        (_spot(prepared, kind, limits, years) for kind in kinds),
        key=lambda s: (s.cold_nights_per_year, s.hot_hours_per_year or 0.0),
    )
    pots = sorted(
        _pots(prepared, question, here, limits, years),
        key=lambda p: p.root_hours_below_preferred_per_year,
    )
    return Serving(
        growing_years=round(years),
        spots=spots,
        pots=pots,
        words=_words(spots, pots, here, question),
    )


def _recent(weather: WeatherSeries) -> WeatherSeries:
    hours = _YEARS * 8766
    return weather.between(max(0, len(weather) - hours), len(weather))


def _spot(
    prepared: Prepared, kind: SpotKind, limits: Limits, years: float
) -> BetterSpot:
    air = spot_air_c(prepared, kind)
    lowest = sweep(prepared, air, []).nights.lowest_c[:, 0]
    cold = float((lowest < (limits.preferred_c or 0.0)).sum()) / years
    hot = None
    if limits.hot_c is not None:
        hot = round(float((air[:, 0] > limits.hot_c).sum()) / years, 1)
    return BetterSpot(
        spot=kind.name,
        words=kind.words,
        cold_nights_per_year=round(cold, 1),
        hot_hours_per_year=hot,
    )


def _pots(
    prepared: Prepared, question: Question, here: SpotKind, limits: Limits, years: float
) -> list[BetterPot]:
    from climrisk.pot.root_zone import root_zone

    climate = spot_climate(prepared, here)
    asked = question.pot
    tried: list[Pot] = [asked]
    if asked.watered_every_d is None:
        tried += [replace(asked, kind=k) for k in _POTS if k != asked.kind]
    out = []
    for pot in tried:
        root = root_zone(climate, pot, setup="screening").mean_c[:, 0]
        below = np.nansum(root < (limits.preferred_c or 0.0)) / years
        out.append(
            BetterPot(
                pot=pot.kind,
                medium=pot.medium_name,
                root_hours_below_preferred_per_year=round(float(below), 1),
            )
        )
    return out


def _words(
    spots: list[BetterSpot], pots: list[BetterPot], here: SpotKind, question: Question
) -> str:
    asked = next(s for s in spots if s.spot == here.name)
    # A spot that bakes is no better for being mild by night.
    most = (asked.hot_hours_per_year or 0.0) + _HOT_HOURS
    best = next(s for s in spots if (s.hot_hours_per_year or 0.0) <= most)
    if len(spots) == 1:
        text = "The record is of one spot alone: no other is compared."
    elif best.spot == here.name or not _clearly(
        best.cold_nights_per_year, asked.cold_nights_per_year
    ):
        text = "No other spot is clearly better for its nights"
    else:
        text = (
            f"Better for its nights: {best.words}, {best.cold_nights_per_year:.0f} too "
            f"cold a year instead of {asked.cold_nights_per_year:.0f}"
        )
    own = next(p for p in pots if p.pot == question.pot.kind)
    better = pots[0].root_hours_below_preferred_per_year
    asked_h = own.root_hours_below_preferred_per_year
    text = text.removesuffix(".")
    if pots[0].pot == own.pot or not _clearly(better, asked_h):
        return f"{text}; no clear difference between pots."
    return (
        f"{text}; in {pots[0].pot} its roots have {better:.0f} hours a year too cold "
        f"instead of {asked_h:.0f}."
    )


def _clearly(better: float, asked: float) -> bool:
    return asked - better > max(1.0, _CLEAR * asked)
