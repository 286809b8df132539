"""Base of all result models, and what documents and their provenance both say."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Self, TypeVar

from pydantic import BaseModel, ConfigDict, ModelWrapValidatorHandler, model_validator

from climrisk.core.quantities import System, Text, in_units, texts, typed

T = TypeVar("T")


class Frozen(BaseModel):
    """Base of all result models: frozen, nothing unknown allowed, NaN never.

    Texts keep their quantities typed (`climrisk.core.quantities.Text`).
    """

    model_config = ConfigDict(
        frozen=True,
        defer_build=True,
        extra="forbid",
        allow_inf_nan=False,
        ser_json_inf_nan="null",
        json_schema_serialization_defaults_required=True,
    )

    @model_validator(mode="wrap")
    @classmethod
    def _keep_quantities(
        cls, data: Any, handler: ModelWrapValidatorHandler[Frozen]
    ) -> Frozen:
        if not isinstance(data, dict):
            return handler(data)
        # A validated string is a plain one: its quantities would be lost.
        again = {k: typed(v) for k, v in data.items() if _holds_text(v)}
        made = handler({**data, **again} if again else data)
        values = made.__dict__
        for name, value in values.items():
            if _holds_text(value):
                values[name] = texts(value)
        return made

    def model_copy(
        self, *, update: Mapping[str, Any] | None = None, deep: bool = False
    ) -> Self:
        """Return a copy with other values, whose quantities stay typed."""
        new = {name: texts(value) for name, value in (update or {}).items()}
        return super().model_copy(update=new, deep=deep)


def _holds_text(value: Any) -> bool:
    """Return whether a value is a text, or a list or dictionary that begins with one.

    Most results hold numbers and other results, which need no look.
    """
    kind = type(value)
    if kind is list or kind is tuple:
        return bool(value) and isinstance(value[0], str)
    if kind is dict:
        return isinstance(next(iter(value.values()), None), str | list)
    return isinstance(value, str)


def for_reader(value: T, system: System) -> T:
    """Return a result with its texts in a system of units; numbers stay metric."""
    if system == "metric":
        # The characters of a `Text` are metric.
        return value
    written = _with_texts(value, lambda text: in_units(text.typed, system))
    return written  # type: ignore[no-any-return]


def for_sentences(value: T) -> T:
    """Return a result whose texts may be put into others without losing quantities."""
    return _with_texts(value, lambda text: text.typed)  # type: ignore[no-any-return]


def _with_texts(value: Any, write: Callable[[Text], str]) -> Any:
    """Return a copy of a result, a list or a dictionary with its texts written anew."""
    if isinstance(value, Text):
        return write(value)
    if isinstance(value, Frozen):
        new = {k: _with_texts(v, write) for k, v in value.__dict__.items()}
        return BaseModel.model_copy(value, update=new)
    if isinstance(value, list | tuple):
        return type(value)([_with_texts(v, write) for v in value])
    if isinstance(value, dict):
        return {k: _with_texts(v, write) for k, v in value.items()}
    return value


class MarkInfo(Frozen):
    """Readings of a file that were taken out, and why."""

    variable: str
    mark: str
    readings: int
    meaning: str
