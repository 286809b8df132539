"""``climrisk calendar``: its inputs, and what it runs."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from climrisk.commands.shared.command import Command, Shown
from climrisk.core.defaults import TRIPS_A_YEAR
from climrisk.core.references import field
from climrisk.inputs.files import CsvOutput, HomeInput, HtmlOutput, NightsOutput
from climrisk.inputs.option import Option
from climrisk.inputs.plant import PlantsInput, StateInput
from climrisk.inputs.risk import MembersInput, RiskInput, SpringRiskInput, StrictInput
from climrisk.inputs.spot import ElevationInput, SpotInput
from climrisk.inputs.weather import WeatherInput

if TYPE_CHECKING:
    from climrisk.commands.calendar.result import CalendarResult
    from climrisk.weather.selection import WeatherChoice


@dataclass(frozen=True, kw_only=True)
class CalendarInput(
    PlantsInput,
    SpotInput,
    StateInput,
    RiskInput,
    SpringRiskInput,
    StrictInput,
    MembersInput,
    ElevationInput,
    HomeInput,
    HtmlOutput,
    NightsOutput,
    CsvOutput,
    WeatherInput,
):
    """Inputs of ``climrisk calendar``."""

    trips: Annotated[
        int, Option("Trips a year at most, in and out together.", bounds=TRIPS_A_YEAR)
    ] = 5
    ics: Annotated[Path | None, Option("Write iCalendar here.", writes=True)] = None
    sheet: Annotated[
        Path | None,
        Option(
            "Write one page to print, with a box to tick for each pot.", writes=True
        ),
    ] = None


def run(given: CalendarInput) -> Shown:
    """When does each plant move?"""
    from climrisk.commands.calendar.request import calendar
    from climrisk.commands.calendar.text import calendar_answer, calendar_text
    from climrisk.render.write import write_file

    choice = given.choice()
    result = calendar(choice, given)
    files = [
        write_file(path, data(), option=option)
        for option, path, data in _outputs(given, choice, result)
        if path is not None
    ]
    result = result.model_copy(update={"files": files})
    return Shown(result, calendar_answer, calendar_text)


def _outputs(
    given: CalendarInput, choice: "WeatherChoice", result: "CalendarResult"
) -> "Iterator[tuple[str, Path | None, Callable[[], str | bytes]]]":
    """Yield each file that can be asked for: its option, path and content."""
    from climrisk.commands.calendar import exports
    from climrisk.commands.calendar.page import moves_sheet
    from climrisk.commands.calendar.request import calendar_nights
    from climrisk.commands.calendar.sheet import calendar_sheet
    from climrisk.render.display_units import shown
    from climrisk.render.page import render
    from climrisk.render.write import csv_text

    def nights() -> str:
        table = calendar_nights(choice, given)
        return csv_text(table.header, table.rows, table.weather)

    yield field("ics"), given.ics, lambda: exports.calendar_ics(shown(result))
    yield field("csv"), given.csv, lambda: exports.calendar_csv(result)
    yield field("html"), given.html, lambda: render(moves_sheet(shown(result)))
    yield field("sheet"), given.sheet, lambda: calendar_sheet(shown(result))
    yield field("nights"), given.nights, nights


COMMAND = Command("calendar", CalendarInput, run)
