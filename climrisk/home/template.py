"""A new home file: commented, and valid as it is written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from climrisk.home.version import VERSION
from climrisk.home.weather import HomeWeather
from climrisk.spot.kinds import KINDS


@dataclass(frozen=True)
class NewHome:
    """What a new home file is to say.

    Parameters
    ----------
    weather : HomeWeather
    name : str
    at : str, optional
    elevation_m, risk : float, optional
    spots, rooms : sequence of (str, str)
        Names and kinds.
    plants : sequence of dict
        Keys of each plant, its name and spot first.
    """

    weather: HomeWeather
    name: str = "My home"
    at: str | None = None
    elevation_m: float | None = None
    risk: float | None = None
    spots: Sequence[tuple[str, str]] = ()
    rooms: Sequence[tuple[str, str]] = field(default=())
    plants: Sequence[Mapping[str, object]] = field(default=())


def home_text(new: NewHome) -> str:
    """Return the text of a new home file.

    What is not told stands there as a comment with an example, to be made one's own.
    """
    parts = [
        "# The home file of climrisk: climrisk calendar --home THIS_FILE",
        "# A line that begins with # is a comment; take the # away to make it count.",
        "",
        f"version = {VERSION}  # of the format of this file",
        f"name = {_toml(new.name)}",
        _or_comment("at", new.at, '"45.2,14.6,18"', "where the home is: LAT,LON,M"),
        _or_comment("elevation_m", new.elevation_m, "18", "height above the sea, m"),
        _or_comment("risk", new.risk, "0.1", "accepted risk: one year in ten"),
        "",
        "# Where the weather comes from: one of demo, file, town, at, station.",
        "[weather]",
        *_weather(new.weather),
        "",
        "# Spots: where plants stand. Kinds:",
        *_kinds(),
        "# What a spot may tell besides: facing floor eaves horizon walls house hollow",
        "# shade screen insulation; a glasshouse vents; a sill glass from_glass",
        "# curtain; a room set_point set_back heating_months.",
    ]
    for name, kind in new.spots:
        parts += ["[[spot]]", f"name = {_toml(name)}", f"kind = {_toml(kind)}"]
        parts += ['# facing = "SE"', "# floor = 3", ""]
    parts += [
        "# Rooms that plants are carried into: unheated-room heated-room window-sill.",
    ]
    for name, kind in new.rooms:
        parts += ["[[room]]", f"name = {_toml(name)}", f"kind = {_toml(kind)}", ""]
    if not new.rooms:
        parts += ["# [[room]]", '# name = "study"', '# kind = "heated-room"', ""]
    parts.append("# Plants: climrisk plants lists the names.")
    for i, plant in enumerate(new.plants):
        parts += ["[[plant]]", *(f"{k} = {_toml(v)}" for k, v in plant.items())]
        # What else can be told stands below the first: once is enough.
        parts += [x for x in _PLANT if i == 0 and _key_of(x) not in plant] or [""]
    if not new.plants:
        spot = new.spots[0][0] if new.spots else "balcony"
        parts += ["# [[plant]]", '# name = "Cymbidium, standard hybrids"']
        parts += [f"# spot = {_toml(spot)}", *_PLANT]
    return "\n".join(parts).rstrip() + "\n"


_PLANT = (
    '# label = "the white one"',
    '# room = "study"              # where it is carried to',
    '# pot = "thin-plastic"        # terracotta clear-plastic self-watering ...',
    "# pot_diameter_cm = 12",
    '# medium = "pine-bark-fine"   # or a mix: "50 akadama + 50 grit"',
    "# plant_height_cm = 45        # above the rim, for wind",
    "# leaf_area_cm2 = 1500        # all leaves, one side",
    '# state = "established"       # in-spike unrooted new-import',
    "# count = 1",
    "# risk = 0.05                 # its own",
    "",
)


def _key_of(comment: str) -> str:
    return comment.removeprefix("# ").partition(" = ")[0]


def _weather(weather: HomeWeather) -> list[str]:
    given = weather.model_dump(exclude_defaults=True)
    lines = [f"{key} = {_toml(value)}" for key, value in given.items()]
    for key, example, words in (
        ("file", '"balcony-log.csv"', "a logger, EPW or TMY file beside this one"),
        ("years", "20", "only the last complete growing years"),
    ):
        if key not in given:
            lines.append(f"# {key} = {example}  # {words}")
    return lines


def _kinds() -> list[str]:
    lines, line = [], "#"
    for kind in KINDS:
        if len(line) + len(kind) > 84:
            lines.append(line)
            line = "#"
        line += f" {kind}"
    return [*lines, line]


def _or_comment(key: str, value: object, example: str, words: str) -> str:
    if value is None:
        return f"# {key} = {example}  # {words}"
    return f"{key} = {_toml(value)}  # {words}"


def _toml(value: object) -> str:
    import tomlkit

    return tomlkit.item(value).as_string()
