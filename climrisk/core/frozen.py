"""Base of all result models, and what documents and their provenance both say."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Frozen(BaseModel):
    """Base of all result models: frozen, nothing unknown allowed, NaN never."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        ser_json_inf_nan="null",
        json_schema_serialization_defaults_required=True,
    )


class MarkInfo(Frozen):
    """Readings of a file that were taken out, and why."""

    variable: str
    mark: str
    readings: int
    meaning: str
