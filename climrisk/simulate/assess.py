"""Before buying: what would a spot do to a plant in a pot?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from climrisk import __version__, checks
from climrisk.advice.cautions import Setting, for_plant
from climrisk.advice.dates import (
    LEAST_WINTERS,
    RiskDate,
    move_in,
    move_out,
)
from climrisk.advice.judged import ColdNights
from climrisk.advice.months import (
    Month,
    month_states,
    reconciled,
    typical_months,
)
from climrisk.advice.verdict import Needs, Verdict, World, verdict
from climrisk.errors import InputError
from climrisk.result.assess import (
    AssessResult,
    MonthShare,
    Move,
    VerdictInfo,
)
from climrisk.result.evidence import OtherLimit
from climrisk.simulate import summary
from climrisk.simulate.asked import (
    STATES,
    Question,
)
from climrisk.simulate.curves import risk_curves
from climrisk.simulate.dated import move, winters_info
from climrisk.simulate.describe import (
    assumed_info,
    caution_info,
    only_known,
    weather_info,
)
from climrisk.simulate.drop import drop_info
from climrisk.simulate.evidence import lacks, weak, would_change
from climrisk.simulate.judge import Judged, Limits, Scene
from climrisk.simulate.light import dryness, light
from climrisk.simulate.met import dose_info
from climrisk.simulate.needs import IndoorAir, needs_of
from climrisk.simulate.place import pot_info, spot_info
from climrisk.simulate.planted import limits_of, plant_info
from climrisk.simulate.sentence import assess_sentence
from climrisk.simulate.serving import serving
from climrisk.simulate.wanted import wanted_info
from climrisk.simulate.wind import wind
from climrisk.spot.kinds import SpotKind
from climrisk.spot.members import worlds
from climrisk.spot.transfer import Prepared, prepare
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    pass


@dataclass(frozen=True)
class AssessScene:
    """Weather, spot, pot and rooms of a question, before any plant."""

    scene: Scene
    rooms: IndoorAir


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
    _checked(weather, question)
    rests = question.plant.rest == "cool_dry"
    return assess_at(scene_of(weather, question, rests=rests), question)


def scene_of(
    weather: WeatherSeries, question: Question, *, rests: bool = True
) -> AssessScene:
    """Return what a question and others like it share: all but the plant.

    Parameters
    ----------
    weather : WeatherSeries
    question : Question
    rests : bool
        Whether any of the plants wants a cool rest.
    """
    only_known(weather.air_temp_c, weather)
    prepared = prepare(
        weather, worlds(question.members), spot_elevation_m=question.elevation_m
    )
    scene = Scene.of(prepared, question.kind(weather), question.pot, question.setup)
    return AssessScene(scene, IndoorAir(prepared, question.indoors, rests=rests))


def assess_at(at: AssessScene, question: Question) -> AssessResult:
    """Return the answer for a plant where everything else is known."""
    prepared = at.scene.prepared
    limits = _checked(prepared.weather, question)
    question = question.at_default_spot(prepared.weather)
    judged = at.scene.judged(limits)
    return _Assessment(prepared, question, judged, limits, at.rooms).result()


def _checked(weather: WeatherSeries, question: Question) -> Limits:
    """Return the limits of a question whose every part makes sense."""
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
            next_step="give one with --preferred and --limit-source",
        )
    return limits


class _Assessment:
    """One assessment, its parts computed once and handed on."""

    def __init__(
        self,
        prepared: Prepared,
        question: Question,
        judged: Judged,
        limits: Limits,
        rooms: IndoorAir,
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
        self.rooms = rooms
        self.indoors = self.rooms.tried(preferred, question.plant)
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
        why = self._rough()
        if why:
            rough = self._world(cold, months)
            word = verdict(rough, (rough, rough), self.indoors, self.question.risk)
            reading = f"as a rough reading it would be “{word.word}”"
            if word.word == "cannot say":
                return word
            return Verdict("cannot say", (why, reading, *word.reasons), word.indoors)
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

    def _rough(self) -> str:
        """Return why no more than a rough reading can be had; empty where it can."""
        weather = self.prepared.weather
        if weather.typical:
            return "a typical year has no winters to count, and its extremes are gone"
        if weather.away is not None and weather.away.rough:
            return (
                f"the nearest station with hours stands {weather.away.distance_km:.0f} "
                "km away or at another height: too far for more than a rough reading"
            )
        return ""

    def _other_limits(self) -> list[OtherLimit]:
        """Return the word for other night minima, by the same nights."""
        preferred = self.limits.preferred_c
        if preferred is None or self._rough() or len(self.cold.winters) < LEAST_WINTERS:
            return []
        plant, out, mine = self.question.plant, [], self.indoors
        for change in _OTHER_K:
            other = preferred + change
            cold = self.judged.cold(other)
            months = self._alone(cold)
            self.indoors = self.rooms.tried(other, plant)
            word = self._verdict(cold, months).word
            free = sum(row.state == "out" for row in months.values())
            out.append(OtherLimit(preferred_c=other, word=word, months_out=free))
        self.indoors = mine
        return out

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
        assumed = assumed_info(prepared.assumed)
        out = self._move(self.out, question.spring_risk)
        told, info = (
            weather_info(weather, assumed),
            spot_info(kind, weather, question.members),
        )
        winters = winters_info(judged, self.cold, typical=weather.typical)
        still = info.still_offset_k
        offset = None if still is None else (still[0], still[1])
        thin = weak(
            *(question.plant, question.state, told, kind, offset),
            *(winters.n, winters.drift),
        )
        dry = dryness(
            judged.climate,
            prepared,
            humidity_low_pct=self.limits.humidity_low_pct,
            state=question.state,
        )
        wish = wanted_info(
            *(question.plant, judged.air.nights, self.cold, self.into, question.today),
            typical=weather.typical,
        )
        result = AssessResult(
            command="assess",
            version=__version__,
            plant=plant_info(
                *(question.plant, question.asked, question.state, question.read_as)
            ),
            weather=told,
            spot=info,
            pot=pot_info(question.pot, question.setup),
            state=question.state,
            risk=question.risk,
            spring_risk=question.spring_risk,
            air=summary.chill(judged.air, self.limits, prepared),
            leaf=summary.chill(judged.leaf, self.limits, prepared),
            root_zone=summary.chill(judged.root, self.limits, prepared),
            night_drop=drop_info(judged, prepared, self.needs, question.plant),
            heat=summary.heat(judged, prepared, met=self._heat_met()),
            dryness=dry,
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
            winters=winters,
            governed_by=self.governed_by,
            verdict=VerdictInfo(
                word=self.verdict.word,
                sentence="",
                reasons=list(self.verdict.reasons),
                indoor_spot=None if indoors is None else indoors.name,
                indoor_words=None if indoors is None else indoors.words,
            ),
            dose=dose_info(judged, self.cold, prepared, question.plant, question.state),
            wanted=wish,
            lacks=lacks(
                *(self.needs, judged.air.nights, self.limits.preferred_c or 0.0, wish),
                *(dry.hours_below_humidity, dry.humidity_low_pct, told.hours_known),
            ),
            weak=thin,
            would_change=would_change(
                thin, self._other_limits(), self.verdict.word, offset
            ),
            serving=serving(weather, question, self.limits),
            year_strip=summary.year_strip(judged.air),
            cautions=caution_info(for_plant(self._setting(kind, moves=moves))),
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


#: Night minima tried besides the plant's own: societies' words differ by 3 to 5 K.
_OTHER_K = (-4.0, -2.0, 2.0, 4.0)
_RANK = {
    "suits": 0,
    "suits with moves": 1,
    "indoors in winter": 2,
    "cannot say": 3,
    "poor match": 4,
}
