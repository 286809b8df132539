"""What a request may say: the words of the command line, as query parameters.

The models are made from the declared inputs of the commands, so that page and JSON
documents know every option that the command line has.
"""

from collections.abc import Callable
from dataclasses import MISSING
from datetime import date
from pathlib import Path
from typing import Any, ClassVar, Literal

from pydantic import BaseModel, ConfigDict, Field, create_model, model_validator

from climrisk.core.quantities import chosen
from climrisk.core.references import PAGE
from climrisk.core.typed_text import Viewer
from climrisk.inputs.json_schema import rules_of
from climrisk.inputs.option import Declared, Inputs
from climrisk.inputs.weather import WeatherInput
from climrisk.weather.selection import WeatherChoice, located, parse_at

_MOST_WORDS = 40
_READER = Viewer(interface=PAGE)


_WEATHER = {d.name: d for d in WeatherInput.declared()}


def _weather(name: str, alias: str | None = None) -> Any:
    """Return the field of an input of the weather."""
    declared = _WEATHER[name]
    option = declared.option
    lowest, highest = option.bounds or (None, None)
    return Field(
        default=declared.default,
        alias=alias,
        ge=lowest,
        le=highest,
        description=_READER.text(option.text),
    )


class WeatherAsk(BaseModel):
    """Which weather: without any, that of the home."""

    model_config = ConfigDict(
        extra="forbid",
        str_strip_whitespace=True,
        str_max_length=200,
        allow_inf_nan=False,
    )

    #: What is asked beside the weather, as the command declares it.
    inputs: ClassVar[type[Inputs]] = WeatherInput

    demo: bool = _weather("demo")
    home: Literal["demo"] | None = Field(
        default=None,
        description="The built-in home in Veladrag.",
    )
    town: str | None = _weather("town")
    at: str | None = _weather("at")
    station: str | None = _weather("station")
    log: str | None = Field(
        default=None,
        pattern="^[0-9a-f]{16}$",
        description="A logger's file that was handed over before.",
    )
    combine: int | None = _weather("combine")
    fill: bool = _weather("fill")
    years: int | None = _weather("years")
    first: date | None = _weather("from_", alias="from")
    last: date | None = _weather("to", alias="to")
    zone: str | None = _weather("zone")
    as_of: date | None = _weather("as_of")
    temperature_unit: Literal["c", "f"] | None = _weather("temperature_unit")
    date_order: Literal["dmy", "mdy", "ymd"] | None = _weather("date_order")
    clock: Literal["local", "standard", "utc"] | None = _weather("clock")
    column: str | None = _weather("column")
    measured_at: Literal["spot", "station"] | None = _weather("measured_at")
    units: Literal["metric", "us"] | None = Field(
        default=None, description="Units of the other numbers; metric without it."
    )

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
        declared = {d.name: d for d in self.inputs.declared()}
        out = {}
        for name, value in said.items():
            several = tuple(value) if isinstance(value, list) else value
            out[name] = declared[name].metric(several, chosen(self.units))
        return out


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
    made: type[WeatherAsk] = create_model(name, __base__=WeatherAsk, **fields)
    made.inputs = inputs
    return made


def _field(declared: Declared) -> Any:
    about = _READER.text(declared.option.text)
    # Wrong values are refused by what computes, in one place; the schema tells them.
    more: dict[str, Any] = {
        "description": about,
        "json_schema_extra": rules_of(declared),
    }
    if declared.several:
        kind = list[declared.item]  # type: ignore[name-defined]
        return kind, Field(default_factory=list, max_length=_MOST_WORDS, **more)
    if declared.default is MISSING:
        return declared.type, Field(min_length=1, **more)
    return declared.type, Field(default=declared.default, **more)
