"""The JSON Schema of every document that commands print."""

from __future__ import annotations

from importlib import import_module
from typing import Any

from climrisk.commands import COMMANDS
from climrisk.commands.arrive.result import ArriveResult
from climrisk.commands.assess.result import AssessResult
from climrisk.commands.assess.several_result import AssessSeveral
from climrisk.commands.calendar.result import CalendarResult
from climrisk.commands.carried.result import CarriedResult
from climrisk.commands.demo.result import DemoResult
from climrisk.commands.event.result import EventResult
from climrisk.commands.exposure.result import ExposureResult
from climrisk.commands.init.result import InitResult
from climrisk.commands.learn.result import LearnResult
from climrisk.commands.logger.result import LoggerResult
from climrisk.commands.plants.result import PlantsResult
from climrisk.commands.pots.result import PotsResult
from climrisk.commands.region.result import RegionResult
from climrisk.commands.remedies.result import RemediesResult
from climrisk.commands.review.result import ReviewResult
from climrisk.commands.spots.result import SpotsResult
from climrisk.commands.stations.result import StationsResult
from climrisk.commands.tonight.result import TonightResult
from climrisk.commands.winter.result import WinterResult
from climrisk.inputs.json_schema import schema_of
from climrisk.render.document import Result

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
    """Return one JSON Schema a command, by the command's name.

    Beside them stand ``inputs``, the options of every command, and ``home file``.
    """
    from climrisk.home.json_schema import schema_of_home

    commands = [
        import_module(f"climrisk.commands.{name}.command").COMMAND for name in COMMANDS
    ]
    return {
        **{
            name: model.model_json_schema(by_alias=True, mode="serialization")
            for name, model in DOCUMENTS.items()
        },
        "inputs": {command.name: schema_of(command.inputs) for command in commands},
        "home file": schema_of_home(),
    }
