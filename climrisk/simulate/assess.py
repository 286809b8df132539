"""Before buying: what would a spot do to a plant in a pot?"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

import numpy as np

from climrisk import __version__, checks
from climrisk.advice.cautions import Setting, for_plant
from climrisk.advice.dates import RiskDate, move_in, move_out, spring_risk
from climrisk.advice.judged import ColdNights
from climrisk.advice.months import (
    Month,
    month_states,
    reconciled,
    typical_months,
)
from climrisk.advice.verdict import Needs, Verdict, World, verdict
from climrisk.errors import InputError
from climrisk.exposure.toppling import Standing
from climrisk.pot.setups import Setup
from climrisk.result.assess import (
    AssessResult,
    Drop,
    MonthShare,
    Move,
    PotInfo,
    SpotInfo,
    VerdictInfo,
)
from climrisk.result.common import Assumed, Caution
from climrisk.simulate import summary
from climrisk.simulate.curves import risk_curves
from climrisk.simulate.dated import move, winters_info
from climrisk.simulate.describe import only_known, weather_info
from climrisk.simulate.judge import Judged, Limits, judge
from climrisk.simulate.light import dryness, light
from climrisk.simulate.needs import needs_of, tried_indoors
from climrisk.simulate.planted import limits_of, plant_info
from climrisk.simulate.sentence import assess_sentence
from climrisk.simulate.wind import wind
from climrisk.spot.kinds import SpotKind, spot_kind
from climrisk.spot.members import worlds
from climrisk.spot.modifiers import optimistic, sited
from climrisk.spot.site import Site
from climrisk.spot.transfer import Prepared, prepare
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    from climrisk.plants.model import Profile
    from climrisk.pot.model import Pot

DEFAULT_RISK = 0.1
DEFAULT_MEMBERS = 20
DEFAULT_SPOT = "roofed-balcony"
STATES = ("established", "in-spike", "unrooted", "new-import")
#: Indoor kinds tried for the cold months where no home names its own.
USUAL_INDOORS = (spot_kind("unheated-room"), spot_kind("heated-room"))


@dataclass(frozen=True)
class Question:
    """What is asked about a plant.

    Parameters
    ----------
    plant : Profile
    asked : str
        The name as the user wrote it.
    spot : SpotKind
    pot : Pot
    state : str
        ``established in-spike unrooted new-import``.
    risk : float
        Of autumn: accepted share of years with a cold night before moving in.
    spring : float, optional
        Of spring; twice that of autumn up to 25 % where not said.
    members : int
        Worlds of the spread; 1 is the middle world alone.
    today : date
    elevation_m : float, optional
        Height of the home.
    indoors : tuple of SpotKind
        Indoor spots at hand.
    site : Site, optional
        Particulars of the spot.
    setup : {"screening", "full"}
        How the pot is cut.
    plant_height_cm, leaf_area_cm2 : float, optional
        Size of the plant, for the wind; as usual for its pot where not said.
    """

    plant: Profile
    asked: str
    spot: SpotKind | None
    pot: Pot
    today: date
    state: str = "established"
    risk: float = DEFAULT_RISK
    spring: float | None = None
    members: int = DEFAULT_MEMBERS
    elevation_m: float | None = None
    indoors: tuple[SpotKind, ...] = USUAL_INDOORS
    site: Site | None = None
    setup: Setup = "screening"
    plant_height_cm: float | None = None
    leaf_area_cm2: float | None = None

    @property
    def standing(self) -> Standing:
        """Pot and plant as the wind meets them."""
        return Standing(self.pot, self.plant_height_cm, self.leaf_area_cm2)

    @property
    def spring_risk(self) -> float:
        """Risk of the spring date."""
        return spring_risk(self.risk, self.spring)

    def at_default_spot(self, weather: WeatherSeries) -> Question:
        """Return the question with the usual spot where none was named.

        A record measured at the spot needs no offset; else a roofed balcony.
        """
        return replace(self, spot=self.kind(weather))

    def kind(self, weather: WeatherSeries) -> SpotKind:
        """Return the spot, or the usual one where none was named."""
        kind = self.spot
        if kind is None:
            at_spot = weather.source.measured_at == "spot"
            kind = spot_kind("as-measured" if at_spot else DEFAULT_SPOT)
        return kind.told(self.site)


def assess(weather: WeatherSeries, question: Question) -> AssessResult:
    """Return what a spot would do to a plant, with its uncertainty.

    Parameters
    ----------
    weather : WeatherSeries
    question : Question

    Raises
    ------
    InputError
        A plant without any cold limit, an unknown state, or a risk out of range.
    """
    checks.risk(question.risk, where="--risk")
    checks.risk(question.spring_risk, where="--spring-risk")
    if question.state not in STATES:
        raise InputError(
            "unknown plant state",
            where="--state",
            value=question.state,
            allowed=" ".join(STATES),
        )
    only_known(weather.air_temp_c, weather)
    limits = limits_of(question.plant, question.state)
    if limits.preferred_c is None:
        raise InputError(
            "the profile has no night minimum to judge by",
            where=question.plant.name,
            next_step="put a profile of your own with a source into the user folder",
        )
    prepared = prepare(
        weather, worlds(question.members), spot_elevation_m=question.elevation_m
    )
    question = question.at_default_spot(weather)
    judged = judge(
        prepared, question.kind(weather), question.pot, limits, question.setup
    )
    return _Assessment(prepared, question, judged, limits).result()


class _Assessment:
    """One assessment, its parts computed once and handed on."""

    def __init__(
        self, prepared: Prepared, question: Question, judged: Judged, limits: Limits
    ) -> None:
        self.prepared, self.question = prepared, question
        self.judged, self.limits = judged, limits
        self.north = prepared.seasons.north
        preferred = limits.preferred_c if limits.preferred_c is not None else 0.0
        self.cold = judged.cold(preferred)
        self.into = move_in(self.cold, question.risk)
        self.out = move_out(self.cold, question.spring_risk)
        self.months = self._months(self.cold, self.into, self.out)
        self.needs = self._needs(judged)
        self.indoors = tried_indoors(prepared, question.indoors, limits, question.plant)
        self.by_air = self._verdict(self.cold, self.months)
        self.governed_by, self.verdict = self._governed(preferred)

    def _months(
        self, cold: ColdNights, into: RiskDate, out: RiskDate
    ) -> dict[int, Month]:
        if self.prepared.weather.typical:
            return typical_months(cold)
        return reconciled(
            month_states(cold, self.question.risk), into, out, north=self.north
        )

    def _verdict(self, cold: ColdNights, months: dict[int, Month]) -> Verdict:
        if self.prepared.weather.typical:
            rough = self._world(cold, months)
            word = verdict(rough, (rough, rough), self.indoors, self.question.risk)
            reasons = (
                "a typical year has no winters to count, and its extremes are gone",
                f"as a rough reading it would be “{word.word}”",
            )
            return Verdict("cannot say", (*reasons, *word.reasons), word.indoors)
        count = cold.members
        edges = (round(0.1 * (count - 1)), round(0.9 * (count - 1)))
        alone = [cold.world(m) for m in edges]
        sides = tuple(self._world(w, self._alone(w)) for w in alone)
        return verdict(
            self._world(cold, months),
            (sides[0], sides[1]),
            self.indoors,
            self.question.risk,
        )

    def _alone(self, world: ColdNights) -> dict[int, Month]:
        asked = self.question
        out = move_out(world, asked.spring_risk)
        return self._months(world, move_in(world, asked.risk), out)

    def _world(self, cold: ColdNights, months: dict[int, Month]) -> World:
        count, longest = cold.spells()
        some = len(cold.winters) > 0
        winters = 99 if self.prepared.weather.typical else len(cold.winters)
        return World(
            months,
            float(np.median(count)) if some else 0.0,
            float(np.median(longest)) if some else 0.0,
            winters,
            self.needs,
        )

    def _governed(self, preferred: float) -> tuple[str, Verdict]:
        """Return what governs: a root zone colder than usual may only worsen."""
        cold = self.judged.cold(preferred, with_root=True)
        if np.array_equal(cold.cold, self.cold.cold):
            return "air", self.by_air
        months = self._alone(cold)
        by_root = self._verdict(cold, months)
        if _RANK[by_root.word] > _RANK[self.by_air.word]:
            why = "this pot and medium keep the root zone colder than usual"
            worse = Verdict(by_root.word, (why, *by_root.reasons), by_root.indoors)
            return "root_zone", worse
        return "air", self.by_air

    def _needs(self, judged: Judged) -> Needs:
        return needs_of(judged, self.question.plant, self.prepared, self.limits)

    def result(self) -> AssessResult:
        question, judged = self.question, self.judged
        prepared, weather = self.prepared, self.prepared.weather
        kind = question.kind(weather)
        moves, indoors = self.verdict.word != "suits", self.verdict.indoors
        assumed = tuple(
            Assumed(variable=a.variable, value=a.value, spread=a.spread, why=a.why)
            for a in prepared.assumed
        )
        out = self._move(self.out, question.spring_risk)
        result = AssessResult(
            command="assess",
            version=__version__,
            plant=plant_info(question.plant, question.asked, question.state),
            weather=weather_info(weather, assumed),
            spot=_spot_info(kind, weather, question.members),
            pot=_pot_info(question.pot, question.setup),
            state=question.state,
            risk=question.risk,
            spring_risk=question.spring_risk,
            air=summary.chill(judged.air, self.limits, prepared),
            leaf=summary.chill(judged.leaf, self.limits, prepared),
            root_zone=summary.chill(judged.root, self.limits, prepared),
            night_drop=self._drop(),
            heat=summary.heat(judged, prepared, met=self._heat_met()),
            dryness=dryness(
                judged.climate,
                prepared,
                humidity_low_pct=self.limits.humidity_low_pct,
                state=question.state,
            ),
            wind=wind(judged.climate, prepared, kind, question.standing),
            light=light(judged.climate, prepared, kind, out.month_day),
            months={str(m): row.state for m, row in self.months.items()},
            months_basis="typical year" if weather.typical else "winters",
            month_shares={
                str(m): MonthShare(
                    share_with_cold_night=None
                    if row.share is None
                    else round(row.share, 3),
                    years=row.years,
                )
                for m, row in self.months.items()
            },
            move_in=self._move(self.into, question.risk),
            move_out=out,
            risk_curve=risk_curves(self.cold, typical=weather.typical),
            winters=winters_info(judged, self.cold, typical=weather.typical),
            governed_by=self.governed_by,
            verdict=VerdictInfo(
                word=self.verdict.word,
                sentence="",
                reasons=list(self.verdict.reasons),
                indoor_spot=None if indoors is None else indoors.name,
                indoor_words=None if indoors is None else indoors.words,
            ),
            year_strip=summary.year_strip(judged.air),
            cautions=[
                Caution(topic=c.topic, text=c.text)
                for c in for_plant(self._setting(kind, moves=moves))
            ],
        )
        spoken = result.verdict.model_copy(update={"sentence": assess_sentence(result)})
        return result.model_copy(update={"verdict": spoken})

    def _setting(self, kind: SpotKind, *, moves: bool) -> Setting:
        plant, pot = self.question.plant, self.question.pot
        return Setting(
            toxic_note=plant.toxic_note,
            state=self.question.state,
            medium=pot.medium_name,
            pot=pot.kind,
            pot_diameter_cm=pot.diameter_cm,
            outdoors=not kind.indoors,
            glazed=kind.group == "glazed",
            moves=moves,
        )

    def _move(self, told: RiskDate, risk: float) -> Move:
        return move(
            told,
            risk=risk,
            today=self.question.today,
            north=self.north,
            typical=self.prepared.weather.typical,
        )

    def _heat_met(self) -> bool | None:
        if self.limits.hot_c is None and self.limits.warm_night_c is None:
            return None
        return self.needs.heat_met

    def _drop(self) -> Drop:
        drop = self.judged.air.nights.drop_k
        known = np.isfinite(drop).all(axis=1)
        middle = np.median(drop[known], axis=1)
        wanted = self.needs.wanted_drop_k
        some = middle.size > 0
        return Drop(
            mean_k=round(float(middle.mean()), 2) if some else None,
            p95_k=round(float(np.percentile(middle, 95)), 2) if some else None,
            wanted_k=wanted,
            met=None if wanted is None else self.needs.drop_met,
        )


_RANK = {
    "suits": 0,
    "suits with moves": 1,
    "indoors in winter": 2,
    "cannot say": 3,
    "poor match": 4,
}


def _pair(pair: tuple[float, float] | None) -> list[float] | None:
    return None if pair is None else [round(x, 2) for x in pair]


def _spot_info(kind: SpotKind, weather: WeatherSeries, members: int) -> SpotInfo:
    notes = []
    kind = sited(kind, weather.place.latitude_deg)
    still, windy = kind.still_winter, kind.windy
    if kind.learned is not None:
        still, windy = kind.learned.still_k, kind.learned.windy_k
        notes.append("offsets learned from a logger at this spot")
        against = kind.learned.against
        if against and against != weather.source.label:
            notes.append(
                f"they were learned against {against}, and this weather is of "
                f"{weather.source.label}: learn them anew against it"
            )
    elif optimistic(kind):
        warmer = still[0] if still else 0.0
        notes.append(
            f"what is told of the spot adds up to {warmer:+.1f} K on clear still "
            f"nights, more than open air has shown: take it as optimistic"
        )
    at = weather.source.measured_at
    if at == "spot" and kind.name != "as-measured":
        notes.append(
            f"the record is taken as measured at a spot, and the offsets of "
            f"{kind.name} are added to it; use --spot as-measured if it is this spot"
        )
    if at == "station" and kind.name == "as-measured":
        notes.append("no offset added: the plant is taken to stand beside the station")
    return SpotInfo(
        kind=kind.name,
        words=kind.words,
        at=kind.at,
        basis=kind.basis,
        sources=list(kind.source_texts),
        members=members,
        told=list(kind.site.told),
        still_offset_k=_pair(still),
        windy_offset_k=_pair(windy),
        learned=kind.learned is not None,
        notes=notes,
    )


def _pot_info(pot: Pot, setup: Setup) -> PotInfo:
    from climrisk.pot.root_zone import time_constant_h

    return PotInfo(
        kind=pot.kind,
        diameter_cm=pot.diameter_cm,
        medium=pot.medium_name,
        time_constant_h=round(time_constant_h(pot), 2),
        setup=setup,
    )
