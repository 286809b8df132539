"""The JSON Schema of the home file, from its models and the inputs they take."""

from __future__ import annotations

from typing import Any

from climrisk.core.typed_text import DOCUMENT
from climrisk.home.model import Home
from climrisk.inputs.json_schema import rules_of
from climrisk.inputs.option import Declared, Inputs
from climrisk.inputs.plant import StateInput
from climrisk.inputs.pot import POT_INPUTS, SizeInput
from climrisk.inputs.risk import RiskInput
from climrisk.inputs.weather import WeatherInput

_OF_PLANT: tuple[type[Inputs], ...] = (*POT_INPUTS, SizeInput, StateInput, RiskInput)


def schema_of_home() -> dict[str, Any]:
    """Return the schema; keys that are inputs of commands have the help of these."""
    schema = Home.model_json_schema()
    plant = schema["$defs"]["HomePlant"]["properties"]
    weather = schema["$defs"]["HomeWeather"]["properties"]
    for group in _OF_PLANT:
        for d in group.declared():
            if d.option.home is not None:
                plant[d.option.home] |= _about(d)
    for d in WeatherInput.declared():
        if d.name in weather:
            weather[d.name] |= _about(d)
    return schema


def _about(declared: Declared) -> dict[str, Any]:
    rules = rules_of(declared)
    rules.pop("enum", None)
    return {"description": DOCUMENT.text(declared.option.help), **rules}
