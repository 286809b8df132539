"""Where a home's weather comes from; the keys are those of the options."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from pydantic import field_validator, model_validator

from climrisk.core.calendar import known_zone
from climrisk.core.defaults import STATIONS, YEARS
from climrisk.core.errors import InputError
from climrisk.home.parts import EntryError, HomePart, within
from climrisk.weather.selection import WeatherChoice, parse_at


class HomeWeather(HomePart):
    """Where the weather comes from; the keys are those of the options."""

    demo: bool = False
    file: str | None = None
    town: str | None = None
    at: str | None = None
    station: str | None = None
    combine: Annotated[int | None, within(STATIONS)] = None
    fill: bool = False
    years: Annotated[int | None, within(YEARS)] = None
    zone: str | None = None
    temperature_unit: Literal["c", "f"] | None = None
    date_order: Literal["dmy", "mdy", "ymd"] | None = None
    clock: Literal["local", "standard", "utc"] | None = None
    column: str | None = None
    measured_at: Literal["spot", "station"] | None = None

    @field_validator("at")
    @classmethod
    def _a_place(cls, at: str | None) -> str | None:
        try:
            if at is not None:
                parse_at(at)
        except InputError as error:
            raise EntryError.of(error) from error
        return at

    @field_validator("zone")
    @classmethod
    def _a_zone(cls, zone: str | None) -> str | None:
        try:
            if zone is not None:
                known_zone(zone)
        except InputError as error:
            raise EntryError.of(error) from error
        return zone

    @model_validator(mode="after")
    def _one_source(self) -> HomeWeather:
        given = [k for k in ("demo", "file", "town", "station") if getattr(self, k)]
        if self.at is not None and self.file is None:
            given.append("at")
        if len(given) > 1:
            raise EntryError(
                "more than one weather",
                value=" and ".join(given),
                allowed="one of demo, file, town, at, station",
            )
        return self

    def choice(
        self, base: Path, given: WeatherChoice, home: tuple[float, ...] | None
    ) -> WeatherChoice:
        """Return the weather to use: the file's, with what the options add.

        Parameters
        ----------
        base : Path
            Folder that paths in the file count from.
        given : WeatherChoice
            The options; they go before the file.
        home : tuple of float or None
            Where the home stands: it serves where no other place is told.
        """
        named = self.demo or self.town or self.station
        place = None if self.at is None else parse_at(self.at)
        if place is None and not named:
            place = home
        return WeatherChoice(
            demo=self.demo,
            file=None if self.file is None else base / self.file,
            town=self.town,
            at=place,
            station=self.station,
            combine=given.combine or self.combine,
            fill=given.fill or self.fill,
            years=given.years or self.years,
            first=given.first,
            last=given.last,
            zone=given.zone or self.zone,
            as_of=given.as_of,
            temperature_unit=given.temperature_unit or self.temperature_unit,
            date_order=given.date_order or self.date_order,
            clock=given.clock or self.clock,
            column=given.column or self.column,
            measured_at=given.measured_at or self.measured_at,
        )
