"""Before buying: what would a spot do to a plant in a pot?"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from climrisk.advice.cautions import Setting, for_plant
from climrisk.advice.cold_nights import LEAST_WINTERS, ColdNights
from climrisk.advice.dates import RiskDate
from climrisk.advice.limits import PlantLimits, shifted
from climrisk.advice.verdict import RANK, Verdict, retreat_days
from climrisk.commands.assess.alternatives import recent, serving
from climrisk.commands.assess.cold_dose import dose_info
from climrisk.commands.assess.date_risk import risk_curves
from climrisk.commands.assess.evidence import lacks, weak, would_change
from climrisk.commands.assess.night_drop import drop_info
from climrisk.commands.assess.result import (
    AssessResult,
    ConditionInfo,
    FloweringInfo,
    MonthInfo,
    OtherLimit,
    VerdictInfo,
)
from climrisk.commands.assess.sentence import assess_sentence
from climrisk.commands.shared import exposure_info
from climrisk.commands.shared.chilling import wanted_info
from climrisk.commands.shared.dates_result import Move
from climrisk.commands.shared.exposures import Judged, Scene
from climrisk.commands.shared.judgements import (
    Judgement,
    Judgements,
    judgements_of,
)
from climrisk.commands.shared.light import dryness, light, light_need
from climrisk.commands.shared.light_result import Dryness, Light, LightNeed
from climrisk.commands.shared.moving_dates import move, usual_nights, winters_info
from climrisk.commands.shared.plant_limits import plant_info
from climrisk.commands.shared.request import AssessRequest
from climrisk.commands.shared.spot_and_pot import pot_info, spot_info
from climrisk.commands.shared.weather_info import (
    assumed_info,
    caution_info,
    only_known,
    weather_info,
)
from climrisk.commands.shared.wind import wind
from climrisk.commands.shared.wind_result import Wind
from climrisk.core import validation
from climrisk.core.chunked import in_background
from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.core.version import __version__
from climrisk.inputs.plant import STATES
from climrisk.weather.series import WeatherSeries


@dataclass(frozen=True)
class AssessScene:
    """Weather, spot, pot and the rest of the home, before any plant."""

    scene: Scene
    home: Judgements


def assess(weather: WeatherSeries, question: AssessRequest) -> AssessResult:
    """Return what a spot would do to a plant, with its uncertainty.

    Parameters
    ----------
    weather : WeatherSeries
    question : AssessRequest

    Raises
    ------
    InputError
        A plant without any cold limit, an unknown state, or a risk out of range.
    """
    _checked(weather, question)
    return assess_at(scene_of(weather, question), question)


def scene_of(weather: WeatherSeries, question: AssessRequest) -> AssessScene:
    """Return what a question and others like it share: all but the plant."""
    only_known(weather.air_temp_c, weather)
    home = judgements_of(
        *(weather, question.members, question.elevation_m),
        *(question.rooms, question.spots, [question.limits]),
    )
    kind = question.kind(weather)
    return AssessScene(
        Scene.of(home.prepared, kind, question.pot, question.setup), home
    )


def assess_at(at: AssessScene, question: AssessRequest) -> AssessResult:
    """Return the answer for a plant where everything else is known."""
    weather = at.scene.prepared.weather
    limits = _checked(weather, question)
    question = question.at_default_spot(weather)
    return _Assessment(at, question, limits).result()


def _checked(weather: WeatherSeries, question: AssessRequest) -> PlantLimits:
    """Return the limits of a question whose every part makes sense."""
    validation.risk(question.risk, where=field("risk"))
    validation.risk(question.spring_risk, where=field("spring_risk"))
    if question.state not in STATES:
        raise InputError(
            "unknown plant state",
            where=field("state"),
            value=question.state,
            allowed=" ".join(STATES),
        )
    only_known(weather.air_temp_c, weather)
    return question.limits


class _Assessment:
    """One assessment, its parts computed once and handed on."""

    def __init__(
        self, at: AssessScene, question: AssessRequest, limits: PlantLimits
    ) -> None:
        self.prepared, self.question, self.limits = at.scene.prepared, question, limits
        self.home = at.home
        self.kind = question.kind(self.prepared.weather)
        self.judged: Judged = at.scene.judged(limits)
        self.home.share(self.kind, self.judged.air.nights, self.judged.hot)
        self.by_air = self._judgement(limits)

    def _judgement(self, limits: PlantLimits) -> Judgement:
        request = self.question
        return self.home.at(self.kind, request.plant, limits, request.risks)

    @property
    def verdict(self) -> Verdict:
        """The verdict by what governs."""
        return self.governed[1]

    @cached_property
    def governed(self) -> tuple[str, Verdict]:
        """What governs, and the verdict: a root zone colder than usual only worsens."""
        by_air = self.by_air.verdict
        lowered = self.judged.with_root_c
        if np.array_equal(lowered, self.judged.air.nights.lowest_c, equal_nan=True):
            return "air", by_air
        request = self.question
        by_root = self.home.at(
            self.kind, request.plant, self.limits, request.risks, lowest_c=lowered
        ).verdict
        if RANK[by_root.word] > RANK[by_air.word]:
            why = "this pot and medium keep the root zone colder than usual"
            return "root_zone", replace(by_root, reasons=(why, *by_root.reasons))
        return "air", by_air

    def _other_limits(self) -> list[OtherLimit]:
        """Return the word for other night minima, by the same nights."""
        if self.home.basis != "winters" or len(self.raw_cold.winters) < LEAST_WINTERS:
            return []
        out = []
        for change in _OTHER_K:
            other = self._judgement(shifted(self.limits, change))
            free = sum(state == "out" for state in other.shown.values())
            out.append(
                OtherLimit(
                    preferred_c=other.limits.preferred_c,
                    word=other.verdict.word,
                    months_out=free,
                )
            )
        return out

    @cached_property
    def raw_cold(self) -> ColdNights:
        """Nights below the preferred minimum, those of a cool rest included."""
        return ColdNights.of(self.judged.air.nights, self.limits.preferred_c)

    def result(self) -> AssessResult:
        """Return the answer."""
        question, judged, kind = self.question, self.judged, self.kind
        prepared, weather = self.prepared, self.prepared.weather
        by_air, dates = self.by_air, self.by_air.dates
        out = self._move(dates.move_out)
        hourly = in_background(lambda: self._hourly(out.month_day))
        assumed = assumed_info(prepared.assumed, [kind])
        source = weather_info(weather, assumed)
        info = spot_info(kind, weather, question.members)
        winters = winters_info(
            judged, self.raw_cold, by_air.harmful, typical=weather.typical
        )
        still = info.still_offset_k
        offset = None if still is None else (still[0], still[1])
        thin = weak(
            *(question.plant, question.state, source, kind, offset),
            *(winters.n, winters.drift),
        )
        wish = wanted_info(
            *(question.plant, judged.air.nights, self.raw_cold, dates.move_in),
            question.today,
            indoors=kind.indoors,
            typical=weather.typical,
        )
        dose = dose_info(
            judged, self.raw_cold, prepared, question.plant, question.state
        )
        curve = risk_curves(by_air, typical=weather.typical)
        other = self._other_limits()
        last = recent(weather, question, self.limits, self.home)
        # All that counts nights stands above: the hours are worked on meanwhile.
        dry, blown, lit = hourly()
        governed_by, governing = self.governed
        result = AssessResult(
            command="assess",
            version=__version__,
            plant=plant_info(
                question.plant, question.typed, self.limits, question.read_as
            ),
            weather=source,
            spot=info,
            pot=pot_info(question.pot, question.setup),
            state=question.state,
            risk=question.risk,
            spring_risk=question.spring_risk,
            air=exposure_info.chill(judged.air, prepared),
            leaf=exposure_info.chill(judged.leaf, prepared),
            root_zone=exposure_info.chill(judged.root, prepared),
            night_drop=drop_info(judged, prepared, question.plant),
            heat=exposure_info.heat(judged, prepared, by_air.heat, list(by_air.months)),
            dryness=dry,
            wind=blown,
            light=lit,
            light_need=self._light_need(),
            months={str(m): s for m, s in by_air.shown.items()},
            months_basis="typical year" if weather.typical else "winters",
            month_details=month_details(by_air),
            move_in=self._move(dates.move_in),
            move_out=out,
            watch_from=self._watch(dates.watch_from),
            watch_until=self._watch(dates.watch_until),
            usual=usual_nights(dates, north=self.home.north),
            risk_curve=curve,
            winters=winters,
            governed_by=governed_by,
            verdict=self._verdict_info(),
            flowering=FloweringInfo(
                word=by_air.flowering.word, reason=by_air.flowering.why
            ),
            dose=dose,
            wanted=wish,
            lacks=lacks(
                *(judged.air.nights, self.limits.preferred_c, wish),
                *(dry.hours_below_humidity, dry.humidity_low_pct, source.hours_known),
            ),
            weak=thin,
            would_change=would_change(thin, other, governing.word, offset),
            serving=serving(last, question, self.limits, governing.word, self.home),
            year_strip=exposure_info.year_strip(judged.air),
            cautions=caution_info(for_plant(self._setting())),
        )
        spoken = result.verdict.model_copy(update={"sentence": assess_sentence(result)})
        return result.model_copy(update={"verdict": spoken})

    def _hourly(self, out: str | None) -> tuple[Dryness, Wind, Light]:
        """Return what takes every hour of the spot: dry air, wind and light."""
        climate, prepared, question = self.judged.climate, self.prepared, self.question
        dry = dryness(
            climate,
            prepared,
            humidity_low_pct=self.limits.humidity_pct,
            state=question.state,
        )
        blown = wind(climate, prepared, self.kind, question.standing)
        return dry, blown, light(climate, prepared, self.kind, out)

    def _verdict_info(self) -> VerdictInfo:
        found, home = self.verdict, self.home
        away = found.retreat_months
        days = retreat_days(away) if away else (None, None)
        return VerdictInfo(
            word=found.word,
            may_be=found.may_be,
            basis=home.basis,
            sentence="",
            reasons=list(found.reasons),
            conditions=[
                ConditionInfo(
                    kind=c.kind, words=c.words, months=list(c.months), lamp_h=c.lamp_h
                )
                for c in self.by_air.conditions
            ],
            months_in=list(found.months_in),
            room=None if found.room is None else found.room.name,
            room_at=None if found.room is None else found.room.at,
            rooms_assumed=home.rooms_assumed,
            retreat_months=list(found.retreat_months),
            retreat=None if found.retreat is None else found.retreat.name,
            retreat_from=days[0],
            retreat_until=days[1],
            single_nights=round(found.single_nights, 1),
            strict=self.question.strict,
        )

    def _light_need(self) -> LightNeed:
        months = {m: self.by_air.stands_at(m) for m in self.by_air.months}
        light = {m: self.home.light(kind)[m] for m, kind in months.items()}
        return light_need(self.limits.light_floor, light, self.by_air.conditions)

    def _setting(self) -> Setting:
        plant, pot, kind = self.question.plant, self.question.pot, self.kind
        return Setting(
            toxic_note=plant.toxic_note,
            state=self.question.state,
            medium=pot.medium_name,
            pot=pot.kind,
            pot_diameter_cm=pot.diameter_cm,
            outdoors=not kind.indoors,
            glazed=kind.group == "glazed",
            moves=self.verdict.word != "suits",
            wetness=pot.water,
            rain=kind.rain,
            rest=plant.rest,
            preferred_c=self.limits.preferred_c,
        )

    def _move(self, date: RiskDate) -> Move:
        return move(
            date,
            today=self.question.today,
            north=self.home.north,
            typical=self.home.typical,
        )

    def _watch(self, date: RiskDate | None) -> Move | None:
        return None if date is None else self._move(date)


def month_details(judgement: Judgement) -> dict[str, MonthInfo]:
    """Return what the months were judged by."""

    def rounded(value: float | None, digits: int) -> float | None:
        return None if value is None else round(value, digits)

    return {
        str(m): MonthInfo(
            state=row.state,
            share_with_harmful_night=rounded(row.share_harmful, 3),
            cold_nights=rounded(row.cold_nights, 1),
            harmful_nights=rounded(row.harmful_nights, 2),
            years=row.years,
            note=judgement.month_notes.get(m),
        )
        for m, row in judgement.months.items()
    }


#: Night minima tried besides the plant's own: societies' words differ by 3 to 5 K.
_OTHER_K = (-4.0, -2.0, 2.0, 4.0)
