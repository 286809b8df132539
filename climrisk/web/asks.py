"""What a request may say: the words of the command line, as query parameters.

The models are made from the declared inputs of the commands, so that page and JSON
documents know every option that the command line has.
"""

from collections.abc import Callable
from dataclasses import MISSING
from datetime import date
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, create_model, model_validator

from climrisk.core.references import Interface
from climrisk.inputs.option import Declared, Inputs
from climrisk.inputs.weather import WeatherInput
from climrisk.weather.selection import WeatherChoice, located, parse_at

_MOST_WORDS = 40


class WeatherAsk(BaseModel):
    """Which weather: without any, that of the home."""

    model_config = ConfigDict(
        extra="forbid",
        str_strip_whitespace=True,
        str_max_length=200,
        allow_inf_nan=False,
    )

    demo: bool = Field(default=False, description="Invented weather of Veladrag.")
    home: Literal["demo"] | None = Field(
        default=None,
        description="The built-in home in Veladrag.",
    )
    town: str | None = Field(default=None, description="NAME[,COUNTRY].")
    at: str | None = Field(default=None, description="LAT,LON[,ELEVATION].")
    station: str | None = None
    log: str | None = Field(
        default=None,
        pattern="^[0-9a-f]{16}$",
        description="A logger's file that was handed over before.",
    )
    combine: int | None = Field(default=None, ge=1, le=8)
    fill: bool = False
    years: int | None = Field(default=None, ge=1, le=200)
    first: date | None = Field(default=None, alias="from")
    last: date | None = Field(default=None, alias="to")
    zone: str | None = None
    as_of: date | None = Field(
        default=None, description='The day that counts as "today".'
    )
    temperature_unit: Literal["c", "f"] | None = None
    date_order: Literal["dmy", "mdy", "ymd"] | None = None
    clock: Literal["local", "standard", "utc"] | None = None
    column: str | None = None
    measured_at: Literal["spot", "station"] | None = None

    @model_validator(mode="before")
    @classmethod
    def _unsaid(cls, given: Any) -> Any:
        """Take an empty field of a form as not said."""
        if not isinstance(given, dict):
            return given
        out = {}
        for key, value in given.items():
            filled = [v for v in value if v != ""] if isinstance(value, list) else value
            if filled not in ("", []):
                out[key] = filled
        return out

    @property
    def names_weather(self) -> bool:
        """Whether it says which weather, rather than leaving it to the home."""
        own = self.town or self.station or self.log or self.at
        return bool(self.demo or self.home or own)

    def choice(self, log_file: Callable[[str], Any]) -> WeatherChoice:
        """Return the choice as the command line would make it."""
        choice = WeatherChoice(
            demo=self.demo,
            file=None if self.log is None else log_file(self.log),
            town=self.town,
            at=None if self.at is None else parse_at(self.at, where="at"),
            station=self.station,
            combine=self.combine,
            fill=self.fill,
            years=self.years,
            first=self.first,
            last=self.last,
            zone=self.zone,
            as_of=self.as_of,
            temperature_unit=self.temperature_unit,
            date_order=self.date_order,
            clock=self.clock,
            column=self.column,
            measured_at=self.measured_at,
        )
        # A logger's file may say its town, which stands for its coordinates.
        return located(choice)

    def options(self) -> dict[str, Any]:
        """Return what is asked beside the weather, as a call takes it."""
        own = set(type(self).model_fields) - set(WeatherAsk.model_fields)
        said = self.model_dump(include=own, exclude_unset=True)
        return {k: tuple(v) if isinstance(v, list) else v for k, v in said.items()}


def page_of(_: str) -> Interface:
    """Return what a page calls inputs: by the labels of its form."""
    return Interface("page", _LABELS)


_LABELS = {d.name: d.label[:1].lower() + d.label[1:] for d in WeatherInput.declared()}


def ask_for(name: str, inputs: type[Inputs]) -> type[WeatherAsk]:
    """Return the model of a command's inputs, with those of the weather.

    Left out are what names files, writes, or only the command line offers.
    """
    ours = {d.name for d in WeatherInput.declared()} | {"home"}
    fields = {
        d.name: _field(d)
        for d in inputs.declared()
        if d.name not in ours and d.option.page and not d.option.writes
        if d.type != Path | None
    }
    return create_model(name, __base__=WeatherAsk, **fields)


def _field(declared: Declared) -> Any:
    about = declared.option.text
    if declared.several:
        kind = list[declared.item]  # type: ignore[name-defined]
        return kind, Field(
            default_factory=list, max_length=_MOST_WORDS, description=about
        )
    if declared.default is MISSING:
        return declared.type, Field(min_length=1, description=about)
    return declared.type, Field(default=declared.default, description=about)
