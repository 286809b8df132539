"""Which spot and which pot would serve best, by a quick look at the last years."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from climrisk.advice.limits import PlantLimits
from climrisk.advice.verdict import RANK, VerdictWord
from climrisk.commands.assess.result import BetterPot, BetterSpot, Serving
from climrisk.commands.shared.judgements import Judgement, Judgements
from climrisk.commands.shared.named_spots import SPOTS
from climrisk.commands.shared.request import AssessRequest
from climrisk.core.calendar import YEAR_H
from climrisk.spot.kinds import spot_kind
from climrisk.spot.transfer import Prepared, spot_climate
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    from climrisk.pot.model import FilledPot
    from climrisk.spot.kinds import SpotKind


#: Pots tried beside the asked one; medium and size stay.
_POTS = ("thick-plastic", "glazed-ceramic")


#: Spots whose verdict is looked at by the whole record.
_TRIED = 2


#: Less than this share is no clear difference (our estimate).
_CLEAR = 0.05


@dataclass(frozen=True)
class Recent:
    """Spots and pots by the median member and the last five growing years.

    Parameters
    ----------
    years : float
    spots : list of BetterSpot
        The asked one first.
    pots : list of BetterPot
        The warmest first.
    """

    years: float
    spots: list[BetterSpot]
    pots: list[BetterPot]


def recent(
    weather: WeatherSeries,
    question: AssessRequest,
    limits: PlantLimits,
    whole: Judgements,
) -> Recent:
    """Return how the last years were at other spots and in other pots.

    A hint where to look, which `climrisk remedies` measures with its range.

    Parameters
    ----------
    weather : WeatherSeries
    question : AssessRequest
    limits : PlantLimits
    whole : Judgements
        By the whole record and all members.
    """
    home = whole.of_recent_years(question.elevation_m)
    years = len(home.prepared.weather) / YEAR_H
    here = question.kind(weather)
    kinds = [here]
    if weather.source.measured_at == "station":
        kinds += [spot_kind(n) for n in SPOTS if n != here.name]
    found = [
        _spot(home.at(kind, question.plant, limits, question.risks), years)
        for kind in kinds
    ]
    pots = sorted(
        _pots(home.prepared, question, here, limits, years),
        key=lambda p: p.root_hours_below_preferred_per_year,
    )
    return Recent(years, found, pots)


def serving(
    found: Recent,
    question: AssessRequest,
    limits: PlantLimits,
    word: VerdictWord,
    whole: Judgements,
) -> Serving:
    """Return spots and pots in the order in which they would serve the plant.

    Spots rank by verdict, then harmful nights, then cold nights. One is called better
    only where its verdict by the whole record is no worse either.

    Parameters
    ----------
    found : Recent
    question : AssessRequest
    limits : PlantLimits
    word : str
        The verdict at the asked spot, by the whole record and all members.
    whole : Judgements
        By the whole record and all members.
    """
    here = found.spots[0].model_copy(update={"word": word})
    spots = sorted(
        [here, *found.spots[1:]],
        key=lambda s: (
            *(RANK[s.word], s.harmful_nights_per_year, s.cold_nights_per_year),
        ),
    )

    def verified(row: BetterSpot) -> bool:
        kind = spot_kind(row.spot)
        there = whole.at(kind, question.plant, limits, question.risks).verdict
        return RANK[there.word] <= RANK[word]

    above = [s for s in spots[: spots.index(here)] if _better(s, here)]
    best = next((s for s in above[:_TRIED] if verified(s)), None)
    return Serving(
        growing_years=round(found.years),
        spots=spots,
        pots=found.pots,
        words=_words(here, best, found.pots, question, alone=len(spots) == 1),
    )


def _spot(judgement: Judgement, years: float) -> BetterSpot:
    kind, lowest = judgement.kind, judgement.nights.lowest_c[:, 0]
    limits = judgement.limits
    harmful, cold = (
        round(float((lowest < c).sum()) / years, 1)
        for c in (limits.tolerated_c, limits.preferred_c)
    )
    hot = next((c for c in judgement.heat.counts if c.row is limits.heat), None)
    return BetterSpot(
        spot=kind.name,
        words=kind.words,
        word=judgement.verdict.word,
        harmful_nights_per_year=harmful,
        cold_nights_per_year=cold,
        hot_hours_per_year=None if hot is None else hot.typical(),
    )


def _pots(
    prepared: Prepared,
    question: AssessRequest,
    here: SpotKind,
    limits: PlantLimits,
    years: float,
) -> list[BetterPot]:
    from climrisk.pot.root_zone import RootZones

    zones = RootZones(spot_climate(prepared, here, only_pot=True))
    own = question.pot
    tried: list[FilledPot] = [own]
    if own.watered_every_d is None:
        tried += [replace(own, kind=k) for k in _POTS if k != own.kind]
    out = []
    for pot in tried:
        root = zones.of(pot).mean_c[:, 0]
        below = np.nansum(root < limits.preferred_c) / years
        out.append(
            BetterPot(
                pot=pot.kind,
                medium=pot.medium_name,
                root_hours_below_preferred_per_year=round(float(below), 1),
            )
        )
    return out


def _words(
    requested: BetterSpot,
    best: BetterSpot | None,
    pots: list[BetterPot],
    question: AssessRequest,
    *,
    alone: bool,
) -> str:
    if alone:
        text = "The record is of one spot alone: no other is compared"
    elif best is None:
        text = "No other spot is clearly better"
    else:
        text = f"Better: {best.words} ({_instead(best, requested)})"
    own = next(p for p in pots if p.pot == question.pot.kind)
    better = pots[0].root_hours_below_preferred_per_year
    own_h = own.root_hours_below_preferred_per_year
    if pots[0].pot == own.pot or not _clearly(better, own_h):
        return f"{text}. No clear difference between pots."
    return (
        f"{text}. In {pots[0].pot} its roots are too cold for {better:.0f} hours a "
        f"year instead of {own_h:.0f}."
    )


def _instead(best: BetterSpot, requested: BetterSpot) -> str:
    """Return the nights of the better spot and of the asked one."""
    rows = (
        ("harmful", best.harmful_nights_per_year, requested.harmful_nights_per_year),
        ("cold", best.cold_nights_per_year, requested.cold_nights_per_year),
    )
    for kind, there, here in rows:
        if f"{there:.0f}" != f"{here:.0f}":
            nights = "night" if f"{there:.0f}" == "1" else "nights"
            return f"{there:.0f} {kind} {nights} a year, not {here:.0f}"
    return f"its verdict is “{best.word}”"


def _better(best: BetterSpot, requested: BetterSpot) -> bool:
    if RANK[best.word] < RANK[requested.word]:
        return True
    harmful = _clearly(best.harmful_nights_per_year, requested.harmful_nights_per_year)
    return harmful or _clearly(
        best.cold_nights_per_year, requested.cold_nights_per_year
    )


def _clearly(better: float, requested: float) -> bool:
    return requested - better > max(1.0, _CLEAR * requested)
