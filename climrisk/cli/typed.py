"""Numbers typed in US units, as the metric numbers that commands take."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

_INCH_CM = 2.54
_FOOT_M = 0.3048
_MPH_M_S = 0.44704


def _celsius(value: float) -> float:
    return round((value - 32) / 1.8, 4)


#: What each option's bare number is; all other options have no unit.
_METRIC: dict[str, Callable[[float], float]] = {
    **dict.fromkeys(("preferred", "tolerated", "hot_limit"), _celsius),
    **dict.fromkeys(("below", "above"), _celsius),
    **dict.fromkeys(("pot_diameter", "plant_height"), lambda v: v * _INCH_CM),
    "leaf_area": lambda v: v * _INCH_CM**2,
    "elevation": lambda v: v * _FOOT_M,
    "wind_above": lambda v: v * _MPH_M_S,
}


def in_words(options: dict[str, Any], unit: str) -> dict[str, Any]:
    """Return options in which temperatures of typed words have a unit."""
    from climrisk.cli.options import TemperatureUnit

    if options.get("words") is None or options.get("temperature_unit") is not None:
        return options
    return {**options, "temperature_unit": TemperatureUnit(unit)}


def metric_options(options: dict[str, Any]) -> dict[str, Any]:
    """Return options with numbers in °F, in, in², ft and mph made metric."""
    out = dict(options)
    for name, change in _METRIC.items():
        value = out.get(name)
        if isinstance(value, list):
            out[name] = [change(v) if isinstance(v, int | float) else v for v in value]
        elif isinstance(value, int | float):
            out[name] = change(value)
    return out
