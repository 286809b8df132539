"""The JSON Schema of inputs, from their declarations."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING
from datetime import date
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

from climrisk.core.typed_text import DOCUMENT
from climrisk.inputs.option import Declared, Inputs

_TYPES: dict[Any, dict[str, str]] = {
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
    str: {"type": "string"},
    Path: {"type": "string", "format": "path"},
    date: {"type": "string", "format": "date"},
}


def schema_of(inputs: type[Inputs]) -> dict[str, Any]:
    """Return the JSON Schema of a command's inputs, by their long names."""
    declared = list(inputs.declared())
    out: dict[str, Any] = {
        "type": "object",
        "properties": {d.long_name: property_of(d) for d in declared},
        "additionalProperties": False,
    }
    needed = [d.long_name for d in declared if d.default is MISSING]
    return {**out, "required": needed} if needed else out


def property_of(declared: Declared) -> dict[str, Any]:
    """Return the schema of one input: type, bounds, choices, unit, default and help."""
    about = rules_of(declared)
    item = {**_type_of(declared.item), **about}
    if declared.several:
        item = {"type": "array", "items": item}
    item["description"] = DOCUMENT.text(declared.option.text)
    if declared.default not in (MISSING, None, ()):
        item["default"] = declared.default
    return item


def rules_of(declared: Declared) -> dict[str, Any]:
    """Return bounds, choices and unit of an input as keys of a schema."""
    option = declared.option
    values = [c if isinstance(c, str) else c[0] for c in option.choices]
    lowest, highest = option.bounds or (None, None)
    rules: Mapping[str, Any] = {
        "minimum": lowest,
        "maximum": highest,
        "enum": values or None,
        "unit": option.unit,
    }
    return {key: value for key, value in rules.items() if value is not None}


def _type_of(kind: Any) -> dict[str, Any]:
    if get_origin(kind) is Literal:
        return {"type": "string", "enum": list(get_args(kind))}
    if kind in _TYPES:
        return dict(_TYPES[kind])
    # Not given, which needs no value: one kind beside None.
    one = next(part for part in get_args(kind) if part is not type(None))
    return _type_of(one)
