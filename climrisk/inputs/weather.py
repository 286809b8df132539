"""Which weather record is used."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

from climrisk.core.defaults import STATIONS, YEARS
from climrisk.core.references import field
from climrisk.inputs.option import Inputs, Option

if TYPE_CHECKING:
    from climrisk.weather.selection import WeatherChoice


@dataclass(frozen=True, kw_only=True)
class WeatherInput(Inputs):
    """The weather record: one of demo, file, town, place and station."""

    demo: Annotated[
        bool, Option("Invented weather of the invented Veladrag.", label="Sample home")
    ] = False
    file: Annotated[
        Path | None,
        Option(
            "A logger table, EPW or TMY file, or a grid (NetCDF, Zarr) with "
            f"{field('at')}; recognized by content.",
            label="Logger's file",
        ),
    ] = None
    town: Annotated[
        str | None,
        Option(
            "NAME[,COUNTRY]: nearest good station, or, with "
            f"{field('file')}, where the logger was.",
            label="Town",
        ),
    ] = None
    at: Annotated[
        str | None,
        Option(
            "LAT,LON[,ELEVATION]: nearest good station, or, with "
            f"{field('file')}, where the logger was.",
            label="Place",
        ),
    ] = None
    station: Annotated[str | None, Option("Station ID.")] = None
    combine: Annotated[
        int | None,
        Option(
            "Take the N best stations near the town or place together.",
            default="1",
            bounds=STATIONS,
        ),
    ] = None
    fill: Annotated[
        bool,
        Option(
            "Fill a logger's longer gaps from the best station near "
            f"{field('at')}, by the difference learned from both."
        ),
    ] = False
    years: Annotated[
        int | None,
        Option(
            "Only the last N complete growing years.",
            label="Only the last so many years",
            default="all",
            bounds=YEARS,
        ),
    ] = None
    from_: Annotated[
        date | None, Option("First day, YYYY-MM-DD.", name="from", label="First day")
    ] = None
    to: Annotated[date | None, Option("Last day, YYYY-MM-DD.", label="Last day")] = None
    zone: Annotated[str | None, Option("Time zone, such as Europe/Zagreb.")] = None
    as_of: Annotated[
        date | None, Option('The day that counts as "today".', label="Today")
    ] = None
    temperature_unit: Annotated[
        Literal["c", "f"] | None,
        Option(
            "Unit of the file, where unclear.",
            label="Degrees of the file",
            choices=(("c", "°C"), ("f", "°F")),
        ),
    ] = None
    date_order: Annotated[
        Literal["dmy", "mdy", "ymd"] | None,
        Option(
            "Date order of the file, where unclear.",
            label="Dates of the file",
            choices=(
                ("dmy", "day, month, year"),
                ("mdy", "month, day, year"),
                ("ymd", "year, month, day"),
            ),
        ),
    ] = None
    clock: Annotated[
        Literal["local", "standard", "utc"] | None,
        Option(
            "Clock of the file, where unclear.",
            label="Clock of the file",
            choices=(
                ("local", "the clock on the wall"),
                ("standard", "winter time all year"),
                ("utc", "UTC"),
            ),
        ),
    ] = None
    column: Annotated[
        str | None,
        Option("Header of the temperature column, where there are several."),
    ] = None
    measured_at: Annotated[
        Literal["spot", "station"] | None,
        Option("Whether the record is of the spot or of a station."),
    ] = None

    def choice(self) -> "WeatherChoice":
        """Return the choice that these inputs make, checked.

        Raises
        ------
        InputError
            A place or zone that is not understood, a number or date out of range.
        """
        from climrisk.weather.selection import WeatherChoice, located, parse_at

        choice = WeatherChoice(
            demo=self.demo,
            file=self.file,
            town=self.town,
            at=None if self.at is None else parse_at(self.at),
            station=self.station,
            combine=self.combine,
            fill=self.fill,
            years=self.years,
            first=self.from_,
            last=self.to,
            zone=self.zone,
            as_of=self.as_of,
            temperature_unit=self.temperature_unit,
            date_order=self.date_order,
            clock=self.clock,
            column=self.column,
            measured_at=self.measured_at,
        )
        return located(choice)
