"""Numbers typed in US units, as the metric numbers that commands take."""

from __future__ import annotations

from typing import Any

from climrisk.core import quantities as q

#: What each option's bare number is; all other options have no unit.
_KINDS = {
    **dict.fromkeys(("preferred", "tolerated", "hot_limit"), q.TEMPERATURE),
    **dict.fromkeys(("below", "above"), q.TEMPERATURE),
    **dict.fromkeys(("pot_diameter", "plant_height"), q.LENGTH),
    "leaf_area": q.AREA,
    "elevation": q.HEIGHT,
    "wind_above": q.WIND,
}


def _metric(name: str, value: float) -> float:
    return round(_KINDS[name].metric_of(value), 6)


def in_words(options: dict[str, Any], unit: str) -> dict[str, Any]:
    """Return options in which temperatures of typed words have a unit."""
    from climrisk.cli.options import TemperatureUnit

    if options.get("words") is None or options.get("temperature_unit") is not None:
        return options
    return {**options, "temperature_unit": TemperatureUnit(unit)}


def metric_options(options: dict[str, Any]) -> dict[str, Any]:
    """Return options with numbers in °F, in, in², ft and mph made metric."""
    out = dict(options)
    for name in _KINDS:
        value = out.get(name)
        if isinstance(value, list):
            out[name] = [
                _metric(name, v) if isinstance(v, int | float) else v for v in value
            ]
        elif isinstance(value, int | float):
            out[name] = _metric(name, value)
    return out
