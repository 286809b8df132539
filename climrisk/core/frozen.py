"""Base of all result models, and what documents and their provenance both say."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Self, TypeVar

from pydantic import BaseModel, ConfigDict, ModelWrapValidatorHandler, model_validator

from climrisk.core.typed_text import DOCUMENT, Text, Viewer, texts, typed

T = TypeVar("T")


class Frozen(BaseModel):
    """Base of all result models: frozen, nothing unknown allowed, NaN never.

    Texts keep their parts typed (`climrisk.core.typed_text.Text`).
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


def for_reader(value: T, reader: Viewer) -> T:
    """Return a result with its texts as somebody reads them; numbers stay metric."""
    if reader == DOCUMENT:
        return value
    written = _with_texts(value, lambda text: reader.text(text.typed))
    return written  # type: ignore[no-any-return]


def for_sentences(value: T) -> T:
    """Return a result whose texts may be put into others and stay typed."""
    return _with_texts(value, lambda text: text.typed)  # type: ignore[no-any-return]


def _with_texts(value: Any, write: Callable[[Text], str]) -> Any:
    """Return a result, a list or a dictionary with its texts written anew.

    What holds no text that changes is the same object as before.
    """
    if isinstance(value, Text):
        return write(value)
    if isinstance(value, Frozen):
        new = {k: _with_texts(v, write) for k, v in value.__dict__.items()}
        changed = {k: v for k, v in new.items() if v is not value.__dict__[k]}
        return BaseModel.model_copy(value, update=changed) if changed else value
    if isinstance(value, list | tuple):
        items = [_with_texts(v, write) for v in value]
        same = all(new is old for new, old in zip(items, value, strict=True))
        return value if same else type(value)(items)
    if isinstance(value, dict):
        new = {k: _with_texts(v, write) for k, v in value.items()}
        return value if all(new[k] is v for k, v in value.items()) else new
    return value


class MarkInfo(Frozen):
    """Readings of a file that were taken out, and why."""

    variable: str
    mark: str
    readings: int
    meaning: str
