"""``climrisk tonight``."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

import typer

from climrisk.cli.options import HomeFile, HtmlFile, JsonFlag, State, TemperatureUnit


def tonight(
    plants: Annotated[
        list[str] | None,
        typer.Argument(help="Plants; without any, those of the home."),
    ] = None,
    words: Annotated[
        str | None,
        typer.Option(
            help="A forecast as typed, such as '4, wind 6 km/h, clear'; then nothing "
            "is fetched."
        ),
    ] = None,
    spot: Annotated[
        list[str] | None,
        typer.Option(help="Kinds of spots, or spots of the home; repeatable."),
    ] = None,
    state: State = None,
    home: HomeFile = None,
    demo: Annotated[
        bool, typer.Option("--demo", help="A night of the invented weather.")
    ] = False,
    town: Annotated[
        str | None, typer.Option(help="NAME[,COUNTRY]: forecast for this town.")
    ] = None,
    at: Annotated[
        str | None,
        typer.Option(help="LAT,LON[,ELEVATION]: forecast for this place."),
    ] = None,
    station: Annotated[
        str | None, typer.Option(help="Station ID: forecast for its place.")
    ] = None,
    zone: Annotated[
        str | None, typer.Option(help="Time zone, such as Europe/Zagreb.")
    ] = None,
    as_of: Annotated[
        datetime | None,
        typer.Option(
            "--as-of", formats=["%Y-%m-%d"], help="The evening. [default: today]"
        ),
    ] = None,
    temperature_unit: Annotated[
        TemperatureUnit | None,
        typer.Option(help="Unit of typed temperatures that say none."),
    ] = None,
    only_if_needed: Annotated[
        bool,
        typer.Option(
            "--only-if-needed",
            help="Print nothing when nothing has to be carried, covered or secured.",
        ),
    ] = False,
    done: Annotated[
        bool,
        typer.Option(
            "--done", help="Note in the home file that the carry list was carried in."
        ),
    ] = False,
    html: HtmlFile = None,
    json: JsonFlag = False,
) -> None:
    """Before a cold night: what to carry in, cover or leave.

    As an alarm, run it every afternoon; mail comes only when there is something to do,
    or when the forecast cannot be downloaded. With cron:

        0 15 * * *  climrisk tonight --home /home/me/home.toml --only-if-needed

    With systemd, in climrisk.timer: OnCalendar=*-*-* 15:00 and Persistent=true; in
    climrisk.service: Type=oneshot and ExecStart= with the same command.
    """
    from climrisk.cli.show import show
    from climrisk.commands import home_api
    from climrisk.commands.tonight.text import tonight_answer, tonight_text
    from climrisk.weather.selection import WeatherChoice, parse_at

    choice = WeatherChoice(
        demo=demo,
        town=town,
        at=None if at is None else parse_at(at),
        station=station,
        zone=zone,
        as_of=None if as_of is None else as_of.date(),
        temperature_unit=None if temperature_unit is None else temperature_unit.value,
    )
    result = home_api.tonight(
        choice, plants or (), words=words, spot=spot or (), state=state, home=home
    )
    if done:
        from climrisk.commands.carried.compute import carried_tonight

        carried_tonight(home, result, choice.as_of)
    if only_if_needed and not result.needed:
        return
    if html is not None:
        from climrisk.commands.tonight.page import tonight_page
        from climrisk.render.write import write_file

        written = write_file(html, tonight_page(result), option="--html")
        result = result.model_copy(update={"files": [written]})
    show(result, json, lambda: tonight_answer(result), lambda: tonight_text(result))
