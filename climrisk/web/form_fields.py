"""The fields of forms, from the declared inputs: label, help, unit, bounds, choices.

A form that is not metric says so in a field of its own, ``units``, so that an address
means the same whoever opens it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, dataclass
from datetime import date
from typing import TYPE_CHECKING, Any, Literal, get_args, get_origin

from climrisk.core.quantities import System, chosen, number_text
from climrisk.core.references import Interface
from climrisk.core.typed_text import Viewer
from climrisk.inputs.option import Declared

if TYPE_CHECKING:
    from climrisk.web.choices import Choices
    from climrisk.web.screens import Screen

FieldType = Literal["text", "number", "date", "checkbox", "select"]


@dataclass(frozen=True)
class FormField:
    """A field of a form, as its reader has it.

    Parameters
    ----------
    name : str
        As in an address.
    label, hint : str
        With the unit of a bare number; one line of help.
    type : {"text", "number", "date", "checkbox", "select"}
    value : str
        What was given; empty for nothing.
    usual : str
        What applies where nothing is given.
    lowest, highest, step : str
        Of a number, in the reader's unit; empty without.
    choices : tuple of (str, str)
        Values and their words.
    listed : str
        Which list of names helps to fill it in.
    """

    name: str
    label: str
    hint: str
    type: FieldType
    value: str = ""
    usual: str = ""
    lowest: str = ""
    highest: str = ""
    step: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    listed: str = ""


def fields_of(
    screen: Screen | None, query: Mapping[str, str], viewer: Viewer, choices: Choices
) -> dict[str, FormField]:
    """Return the fields that a screen's form may have, by the inputs' attributes."""
    given = chosen(query.get("units"))
    if screen is None:
        return {}
    return {
        d.name: _field(d, screen.labels.get(d.name), query, given, viewer, choices)
        for d in screen.declared
    }


def page_of(screen: Screen | None) -> Interface:
    """Return what a screen's page calls inputs: by the labels of its form."""
    if screen is None:
        return Interface("page")
    labels = {d.name: screen.labels.get(d.name) or d.label for d in screen.declared}
    small = {name: text[:1].lower() + text[1:] for name, text in labels.items()}
    return Interface("page", small)


def _field(
    declared: Declared,
    label: str | None,
    query: Mapping[str, str],
    given: System,
    viewer: Viewer,
    choices: Choices,
) -> FormField:
    option, kind = declared.option, declared.kind
    name = declared.name.rstrip("_")
    unit = "" if kind is None else f", {kind.unit(viewer.units)}"
    lowest, highest = option.bounds or (None, None)
    usual = option.default or ""
    if declared.default not in (None, MISSING, (), False):
        usual = f"{declared.default}"
    values = _choices(declared, choices)
    shown = dict(values).get(usual) or _shown(declared, usual, viewer.units)
    exact = given == viewer.units == "metric" or kind is None
    return FormField(
        name,
        f"{label or declared.label}{unit}",
        viewer.text(option.help),
        "select" if values else _type(declared),
        _number(declared, query.get(name, ""), given, viewer.units),
        shown,
        _number(declared, _text(lowest), "metric", viewer.units),
        _number(declared, _text(highest), "metric", viewer.units),
        _text(option.step) if exact else "any",
        values,
        option.listed or "",
    )


def _text(number: float | None) -> str:
    return "" if number is None else f"{number:g}"


def _number(declared: Declared, text: str, given: System, units: System) -> str:
    """Return a number that was typed in some units as its reader types it."""
    kind = declared.kind
    if kind is None or given == units or not text:
        return text
    try:
        value = float(text)
    except ValueError:
        return text
    metric = kind.metric_of(value) if given == "us" else value
    return f"{round(kind.value(metric, units), 3):.10g}"


def _shown(declared: Declared, text: str, units: System) -> str:
    """Return a default as its reader reads it, rounded."""
    kind = declared.kind
    if kind is None or not text.replace(".", "").isdigit():
        return text
    return number_text(kind, float(text), None, units)


def _choices(declared: Declared, choices: Choices) -> tuple[tuple[str, str], ...]:
    pairs = [(c, c) if isinstance(c, str) else c for c in declared.option.choices]
    if declared.option.listed == "pots":
        pairs = [(name, name) for name in choices.pots]
    return tuple((value, words.replace("-", " ")) for value, words in pairs)


def _type(declared: Declared) -> FieldType:
    kind = declared.item
    kinds = get_args(kind) if get_origin(kind) is not Literal else (str,)
    if kind is bool:
        return "checkbox"
    if date in (kind, *kinds):
        return "date"
    numbers: tuple[Any, ...] = (int, float)
    return "number" if any(k in numbers for k in (kind, *kinds)) else "text"
