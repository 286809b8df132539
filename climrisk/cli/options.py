"""Options that commands share; nothing heavy is imported before a command runs."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from climrisk.cli.provenance import OUTPUTS, input_files

if TYPE_CHECKING:
    from climrisk.weather.selection import WeatherChoice


class TemperatureUnit(StrEnum):
    """Unit of a file's temperatures."""

    c = "c"
    f = "f"


class DateOrder(StrEnum):
    """Order of day, month and year in a file."""

    dmy = "dmy"
    mdy = "mdy"
    ymd = "ymd"


class Clock(StrEnum):
    """Clock of a file's stamps."""

    local = "local"
    standard = "standard"
    utc = "utc"


class MeasuredAt(StrEnum):
    """Where the sensor stood."""

    spot = "spot"
    station = "station"


def _weather_parameters(
    demo: Annotated[
        bool,
        typer.Option("--demo", help="Invented weather of the invented Veladrag."),
    ] = False,
    file: Annotated[
        Path | None,
        typer.Option(
            help="A logger table, EPW or TMY file, or a grid (NetCDF, Zarr) with --at; "
            "recognized by content."
        ),
    ] = None,
    town: Annotated[
        str | None,
        typer.Option(
            help="NAME[,COUNTRY]: nearest good station, or, with --file, where the "
            "logger was."
        ),
    ] = None,
    at: Annotated[
        str | None,
        typer.Option(
            help="LAT,LON[,ELEVATION]: nearest good station, or, with --file, "
            "where the logger was."
        ),
    ] = None,
    station: Annotated[str | None, typer.Option(help="Station ID.")] = None,
    combine: Annotated[
        int | None,
        typer.Option(
            help="Take the N best stations near the town or place together. "
            "[default: 1]"
        ),
    ] = None,
    fill: Annotated[
        bool,
        typer.Option(
            "--fill",
            help="Fill a logger's longer gaps from the best station near --at, by the "
            "difference learned from both.",
        ),
    ] = False,
    years: Annotated[
        int | None, typer.Option(help="Only the last N complete growing years.")
    ] = None,
    from_: Annotated[
        datetime | None,
        typer.Option("--from", formats=["%Y-%m-%d"], help="First day, YYYY-MM-DD."),
    ] = None,
    to: Annotated[
        datetime | None,
        typer.Option("--to", formats=["%Y-%m-%d"], help="Last day, YYYY-MM-DD."),
    ] = None,
    zone: Annotated[
        str | None, typer.Option(help="Time zone, such as Europe/Zagreb.")
    ] = None,
    as_of: Annotated[
        datetime | None,
        typer.Option(
            "--as-of", formats=["%Y-%m-%d"], help='The day that counts as "today".'
        ),
    ] = None,
    temperature_unit: Annotated[
        TemperatureUnit | None, typer.Option(help="Unit of the file, where unclear.")
    ] = None,
    date_order: Annotated[
        DateOrder | None, typer.Option(help="Date order of the file, where unclear.")
    ] = None,
    clock: Annotated[
        Clock | None, typer.Option(help="Clock of the file, where unclear.")
    ] = None,
    column: Annotated[
        str | None,
        typer.Option(help="Header of the temperature column, where there are several."),
    ] = None,
    measured_at: Annotated[
        MeasuredAt | None,
        typer.Option(help="Whether the record is of the spot or of a station."),
    ] = None,
) -> None:
    """Hold the parameters that `with_weather` adds."""


def with_weather(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the weather options; it receives a `WeatherChoice` first.

    The wrapped function's own parameters follow its first, `choice`.
    """
    weather = _parameters(_weather_parameters)
    own = _parameters(command)[1:]
    names = [p.name for p in weather]

    @functools.wraps(command)
    def wrapper(**options: Any) -> None:
        given = {name: options.pop(name) for name in names}
        command(_choice(given), **options)

    keyword_only = inspect.Parameter.KEYWORD_ONLY
    arguments = [p for p in own if p.default is inspect.Parameter.empty]
    rest = [p for p in own if p.default is not inspect.Parameter.empty]
    ordered = [p.replace(kind=keyword_only) for p in (*arguments, *rest, *weather)]
    wrapper.__signature__ = inspect.Signature(ordered)  # type: ignore[attr-defined]
    wrapper.__annotations__ = {p.name: p.annotation for p in ordered}
    del wrapper.__wrapped__
    return wrapper


def with_checked_outputs(command: Callable[..., None]) -> Callable[..., None]:
    """Let a command begin only if what it would write destroys nothing."""

    @functools.wraps(command)
    def wrapper(**options: Any) -> None:
        outputs = {
            f"--{name}": options[name]
            for name in OUTPUTS
            if isinstance(options.get(name), Path)
        }
        if outputs:
            _check(outputs, options)
        command(**options)

    return wrapper


def _check(outputs: dict[str, Path], options: dict[str, Any]) -> None:
    from climrisk.core.output_paths import check_outputs, files_of_home

    inputs = [path for _, path in input_files(options)]
    if isinstance(options.get("home"), Path):
        inputs += files_of_home(options["home"])
    check_outputs(outputs, inputs, folders=("--out",))


def _parameters(function: Callable[..., None]) -> list[inspect.Parameter]:
    """Return parameters with their annotations evaluated, but for the first.

    The first names a type that is imported only when a command runs.
    """
    known = getattr(function, "__globals__", {})
    out = []
    for p in inspect.signature(function).parameters.values():
        note = p.annotation
        if isinstance(note, str) and note != "WeatherChoice":
            note = eval(note, known)
        out.append(p.replace(annotation=note))
    return out


def _choice(given: dict[str, Any]) -> WeatherChoice:
    from climrisk.weather.selection import WeatherChoice, located, parse_at

    def day(name: str) -> Any:
        value = given[name]
        return value.date() if value is not None else None

    def word(name: str) -> Any:
        value = given[name]
        return value.value if value is not None else None

    choice = WeatherChoice(
        demo=given["demo"],
        file=given["file"],
        town=given["town"],
        at=parse_at(given["at"]) if given["at"] is not None else None,
        station=given["station"],
        combine=given["combine"],
        fill=given["fill"],
        years=given["years"],
        first=day("from_"),
        last=day("to"),
        zone=given["zone"],
        as_of=day("as_of"),
        temperature_unit=word("temperature_unit"),
        date_order=word("date_order"),
        clock=word("clock"),
        column=given["column"],
        measured_at=word("measured_at"),
    )
    return located(choice)


JsonFlag = Annotated[
    bool, typer.Option("--json", help="One JSON document on stdout, nothing else.")
]
HomeFile = Annotated[
    Path | None,
    typer.Option("--home", help="A home file; replaces all weather options."),
]
SiteWords = Annotated[
    list[str] | None,
    typer.Option(
        "--site",
        help="KEY=VALUE about the spot, such as facing=SE or floor=3; may be repeated. "
        "Keys: facing floor eaves eaves_above horizon walls house hollow shade vents "
        "screen wet_floor insulation glass from_glass curtain set_point set_back "
        "heating heating_months.",
    ),
]
Spot = Annotated[
    str | None,
    typer.Option(
        help="Kind of spot, or a spot of the home; of a record of the spot itself it "
        "gives sky, wind and sun, not the air. [default: roofed-balcony]"
    ),
]
State = Annotated[
    str | None,
    typer.Option(help="Plant state: established in-spike unrooted new-import."),
]
Risk = Annotated[
    float | None,
    typer.Option(
        help="Accepted share of years with a harmful night before moving in. "
        "[default: 0.1]"
    ),
]
Strict = Annotated[
    bool,
    typer.Option(
        "--strict", help="Treat every night below what it prefers as harmful."
    ),
]
SpringRisk = Annotated[
    float | None,
    typer.Option(
        help="The same after moving out; a plant put out too early is carried back "
        "in. [default: twice --risk, up to 0.25]"
    ),
]
Members = Annotated[int, typer.Option(help="Ensemble members; 1 = the median only.")]
PotDiameter = Annotated[
    float | None,
    typer.Option(help="Inner diameter of the pot in cm. [default: 12]"),
]
PotKind = Annotated[
    str | None, typer.Option(help="Kind of pot. [default: thin-plastic]")
]
Medium = Annotated[
    str | None,
    typer.Option(
        help='Medium, or a mix such as "50 akadama + 50 grit". '
        "[default: pine-bark-fine]"
    ),
]
Wetness = Annotated[
    str | None, typer.Option(help="Wetness of the medium: wet damp dry.")
]
Crocking = Annotated[
    str | None,
    typer.Option(help='Layer under the medium, in cm: "3 expanded-clay".'),
]
TopDressing = Annotated[
    str | None,
    typer.Option(help='Dry layer on the medium, in cm: "2 grit".'),
]
StandsOn = Annotated[
    str | None,
    typer.Option(help="What the pot stands on: floor bench feet. [default: floor]"),
]
WateredEvery = Annotated[
    float | None,
    typer.Option(
        help="Days between waterings. [default: the medium stays as wet as it is]"
    ),
]
PotColor = Annotated[
    str | None,
    typer.Option(
        help="Color of the wall: black brown green grey terracotta white. [default: "
        "usual for the kind]"
    ),
]
PlantHeight = Annotated[
    float | None,
    typer.Option(
        help="Height of the plant above the rim in cm, for the wind. [default: usual "
        "for the pot]"
    ),
]
LeafArea = Annotated[
    float | None,
    typer.Option(
        help="Area of all leaves in cm2, one side, for the wind. [default: usual "
        "for the pot]"
    ),
]
Setup = Annotated[
    str | None,
    typer.Option(
        help="How finely the pot is computed: screening (8 shells, quick) or full "
        "(rings and layers, with the wall). [default: screening]"
    ),
]
Elevation = Annotated[
    float | None,
    typer.Option(help="Height of the home in m, where it is not the station's."),
]
HtmlFile = Annotated[
    Path | None, typer.Option("--html", help="Write a page that opens without network.")
]
PngFile = Annotated[
    Path | None, typer.Option("--png", help="Write the picture (extra: image).")
]
NightsFile = Annotated[
    Path | None,
    typer.Option(
        "--nights",
        help="Write every night of every ensemble member as CSV.",
    ),
]
CsvFile = Annotated[Path | None, typer.Option("--csv", help="Write the table.")]
