"""``climrisk tonight``: its inputs, and what it runs."""

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Annotated, Literal

from climrisk.commands.shared.command import Command, Shown
from climrisk.core.references import field
from climrisk.inputs.files import HomeInput, HtmlOutput
from climrisk.inputs.option import Option
from climrisk.inputs.plant import PlantsInput, StateInput

if TYPE_CHECKING:
    from climrisk.weather.selection import WeatherChoice


@dataclass(frozen=True, kw_only=True)
class TonightInput(PlantsInput, StateInput, HomeInput, HtmlOutput):
    """Inputs of ``climrisk tonight``."""

    words: Annotated[
        str | None,
        Option(
            "A forecast as typed, such as '4, wind 6 km/h, clear'; then nothing is "
            "fetched.",
            label="The forecast, in your words",
        ),
    ] = None
    spot: Annotated[
        tuple[str, ...], Option("Kinds of spots, or spots of the home; repeatable.")
    ] = ()
    demo: Annotated[bool, Option("A night of the invented weather.")] = False
    town: Annotated[str | None, Option("NAME[,COUNTRY]: forecast for this town.")] = (
        None
    )
    at: Annotated[
        str | None, Option("LAT,LON[,ELEVATION]: forecast for this place.")
    ] = None
    station: Annotated[str | None, Option("Station ID: forecast for its place.")] = None
    zone: Annotated[str | None, Option("Time zone, such as Europe/Zagreb.")] = None
    as_of: Annotated[date | None, Option("The evening.", default="today")] = None
    temperature_unit: Annotated[
        Literal["c", "f"] | None, Option("Unit of typed temperatures that say none.")
    ] = None
    only_if_needed: Annotated[
        bool,
        Option(
            "Print nothing when nothing has to be carried, covered or secured.",
            page=False,
        ),
    ] = False
    done: Annotated[
        bool,
        Option("Note in the home file that the carry list was carried in.", page=False),
    ] = False

    def choice(self) -> "WeatherChoice":
        """Return where and when, checked."""
        from climrisk.weather.selection import WeatherChoice, parse_at

        return WeatherChoice(
            demo=self.demo,
            town=self.town,
            at=None if self.at is None else parse_at(self.at),
            station=self.station,
            zone=self.zone,
            as_of=self.as_of,
            temperature_unit=self.temperature_unit,
        )


def run(given: TonightInput) -> Shown | None:
    """What do I carry in, cover or leave?

    As an alarm, run it every afternoon; mail comes only when there is something to do,
    or when the forecast cannot be downloaded. With cron:

        0 15 * * *  climrisk tonight --home /home/me/home.toml --only-if-needed

    With systemd, in climrisk.timer: OnCalendar=*-*-* 15:00 and Persistent=true; in
    climrisk.service: Type=oneshot and ExecStart= with the same command.
    """
    from climrisk.commands.tonight.request import tonight
    from climrisk.commands.tonight.text import tonight_answer, tonight_text
    from climrisk.render.display_units import shown

    choice = given.choice()
    result = tonight(choice, given)
    if given.done:
        from climrisk.commands.tonight.request import carried_tonight

        carried_tonight(given.home, result, choice.as_of)
    if given.only_if_needed and not result.needed:
        return None
    if given.html is not None:
        from climrisk.commands.tonight.page import tonight_sheet
        from climrisk.render.page import render
        from climrisk.render.write import write_file

        page = render(tonight_sheet(shown(result)))
        written = write_file(given.html, page, option=field("html"))
        result = result.model_copy(update={"files": [written]})
    return Shown(result, tonight_answer, tonight_text)


COMMAND = Command("tonight", TonightInput, run)
