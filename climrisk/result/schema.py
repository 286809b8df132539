"""The JSON Schema of every document that commands print."""

from __future__ import annotations

from typing import Any

from climrisk.result.arrive import ArriveResult
from climrisk.result.assess import AssessResult
from climrisk.result.calendar import CalendarResult
from climrisk.result.carried import CarriedResult
from climrisk.result.common import Result
from climrisk.result.demo import DemoResult
from climrisk.result.event import EventResult
from climrisk.result.exposure import ExposureResult
from climrisk.result.init import InitResult
from climrisk.result.learn import LearnResult
from climrisk.result.logger import LoggerResult
from climrisk.result.plants import PlantsResult
from climrisk.result.pots import PotsResult
from climrisk.result.region import RegionResult
from climrisk.result.remedies import RemediesResult
from climrisk.result.review import ReviewResult
from climrisk.result.several import AssessSeveral
from climrisk.result.spots import SpotsResult
from climrisk.result.stations import StationsResult
from climrisk.result.tonight import TonightResult
from climrisk.result.winter import WinterResult

DOCUMENTS: dict[str, type[Result]] = {
    "arrive": ArriveResult,
    "assess": AssessResult,
    "assess-several": AssessSeveral,
    "calendar": CalendarResult,
    "carried": CarriedResult,
    "demo": DemoResult,
    "event": EventResult,
    "exposure": ExposureResult,
    "init": InitResult,
    "learn": LearnResult,
    "logger": LoggerResult,
    "plants": PlantsResult,
    "pots": PotsResult,
    "region": RegionResult,
    "review": ReviewResult,
    "remedies": RemediesResult,
    "spots": SpotsResult,
    "stations": StationsResult,
    "tonight": TonightResult,
    "winter": WinterResult,
}


def schema() -> dict[str, Any]:
    """Return one JSON Schema a command, by the command's name."""
    return {
        name: model.model_json_schema(by_alias=True, mode="serialization")
        for name, model in DOCUMENTS.items()
    }
