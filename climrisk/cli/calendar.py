"""``climrisk calendar``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from climrisk.cli.options import (
    CsvFile,
    Elevation,
    HomeFile,
    HtmlFile,
    JsonFlag,
    Members,
    NightsFile,
    Risk,
    SiteWords,
    Spot,
    SpringRisk,
    State,
    Strict,
    with_weather,
)

if TYPE_CHECKING:
    from climrisk.weather.selection import WeatherChoice


@with_weather
def calendar(
    choice: WeatherChoice,
    plants: Annotated[
        list[str] | None,
        typer.Argument(help="Plants; without any, those of the home."),
    ] = None,
    spot: Spot = None,
    site: SiteWords = None,
    state: State = None,
    risk: Risk = None,
    spring_risk: SpringRisk = None,
    strict: Strict = False,
    members: Members = 20,
    elevation: Elevation = None,
    home: HomeFile = None,
    trips: Annotated[
        int, typer.Option(help="Trips a year at most, in and out together.")
    ] = 5,
    ics: Annotated[Path | None, typer.Option(help="Write iCalendar here.")] = None,
    csv: CsvFile = None,
    nights: NightsFile = None,
    html: HtmlFile = None,
    sheet: Annotated[
        Path | None,
        typer.Option(help="Write one page to print, with a box to tick for each pot."),
    ] = None,
    json: JsonFlag = False,
) -> None:
    """The monthly move-indoors calendar."""
    from climrisk.cli.show import show
    from climrisk.commands import api
    from climrisk.commands.calendar import exports
    from climrisk.commands.calendar.text import calendar_answer, calendar_text
    from climrisk.render.write import write_file

    result = api.calendar(
        choice,
        plants or (),
        spot=spot,
        site=site or (),
        state=state,
        risk=risk,
        spring_risk=spring_risk,
        strict=strict,
        trips=trips,
        members=members,
        elevation=elevation,
        home=home,
    )
    files = []
    if ics is not None:
        files.append(write_file(ics, exports.calendar_ics(result), option="--ics"))
    if csv is not None:
        files.append(write_file(csv, exports.calendar_csv(result), option="--csv"))
    if html is not None:
        from climrisk.commands.shared.pages import calendar_page

        files.append(write_file(html, calendar_page(result), option="--html"))
    if sheet is not None:
        from climrisk.commands.calendar.sheet import calendar_sheet

        files.append(write_file(sheet, calendar_sheet(result), option="--sheet"))
    if nights is not None:
        from climrisk.commands.shared.nights_table import calendar_nights
        from climrisk.render.write import csv_text

        table = calendar_nights(
            choice,
            tuple(plants or ()),
            home=home,
            members=members,
            elevation=elevation,
            spot=spot,
            state=state,
            site=site or (),
        )
        data = csv_text(table.header, table.rows, table.weather)
        files.append(write_file(nights, data, option="--nights"))
    result = result.model_copy(update={"files": files})
    show(result, json, lambda: calendar_answer(result), lambda: calendar_text(result))
