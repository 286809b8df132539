"""A new home file from what a keeper says."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from climrisk.commands.init.command import InitInput
from climrisk.commands.init.result import InitResult, Placed, PlacedPlant
from climrisk.core import validation
from climrisk.core.errors import InputError
from climrisk.core.output_paths import check_outputs
from climrisk.core.paths import is_file
from climrisk.core.references import STATION, by, field
from climrisk.core.version import __version__
from climrisk.core.wording import plural
from climrisk.home.collection import PlantRow, read_collection
from climrisk.home.spot import ROOM_KINDS, HomePlace
from climrisk.home.template import NewHome, home_text
from climrisk.home.weather import HomeWeather
from climrisk.home.write import new_home, undo_path
from climrisk.plants.names import resolve
from climrisk.spot.kinds import KINDS, spot_kind
from climrisk.weather.selection import WeatherChoice

#: What is written where nobody names a spot; to be changed.
_USUAL_SPOT = ("balcony", "roofed-balcony")

_ADD = "add your plants" + by(cli=": climrisk plants lists the names")


def init(
    given: InitInput, choice: WeatherChoice, collection: Sequence[PlantRow] = ()
) -> InitResult:
    """Write a commented home file and return what it says.

    Parameters
    ----------
    given : InitInput
        An existing file is replaced only with ``force``; its text stays beside it. A
        spot or room that is a kind alone is called by it; a plant without ``@SPOT``
        stands on the first spot.
    choice : WeatherChoice
        In place of the weather of `given`.
    collection : sequence of PlantRow
        More plants, as `plant_rows` reads them. A spot that is the name of a kind need
        not be named before.

    Raises
    ------
    InputError
        A file that is there, no weather, or a name that is not known.
    """
    path = given.path
    spots = [_placed(text, field("spot")) for text in given.spot]
    rooms = [_placed(text, field("room")) for text in given.room]
    for _, kind in rooms:
        validation.named(kind, ROOM_KINDS, what="kind of room", where=field("room"))
    assumed = []
    placed = bool(collection) and all(row.spot for row in collection)
    if not spots and not placed:
        spots = [_USUAL_SPOT]
        assumed.append("no spot was named: a roofed balcony is assumed")
    plants = [_planted(text, spots, rooms) for text in given.plant]
    plants += _collected(collection, spots, rooms)
    if given.risk is not None:
        validation.risk(given.risk, where=field("risk"))
    if given.elevation is not None:
        validation.elevation(given.elevation, where=field("elevation"))
    source = _weather(choice, path)
    check_outputs(
        {"home file": path, "beside the home file": undo_path(path)},
        [] if choice.file is None else [choice.file],
    )
    new = NewHome(
        weather=source,
        name=given.name or "My home",
        at=None if choice.at is None else ",".join(f"{x:g}" for x in choice.at),
        elevation_m=given.elevation,
        risk=given.risk,
        spots=spots,
        rooms=rooms,
        plants=[{"name": p.name, "spot": p.spot, **p.values} for p in plants],
    )
    existed = is_file(path)
    home = new_home(path, home_text(new), force=given.force)
    return InitResult(
        command="init",
        version=__version__,
        file=str(path),
        name=home.name,
        weather=source.model_dump(exclude_defaults=True),
        spots=[_place_info(s) for s in home.spot],
        rooms=[_place_info(r) for r in home.room],
        plants=[
            PlacedPlant(
                name=entry.name,
                at=entry.spot,
                typed=row.typed,
                read_as=row.read_as,
                label=entry.label,
                count=entry.count,
            )
            for row, entry in zip(plants, home.plant, strict=True)
        ],
        assumed=assumed,
        undo=str(undo_path(path)) if existed else None,
        next_steps=_next(path, plants),
        sentence=f"{path} holds {plural(len(home.spot), 'spot')}, "
        f"{plural(len(home.room), 'room')} and {plural(len(home.plant), 'plant')}; "
        "open it in any editor and make it yours.",
    )


def _place_info(place: HomePlace) -> Placed:
    return Placed(name=place.name, at=place.kind, indoors=place.as_kind.indoors)


def _placed(text: str, where: str) -> tuple[str, str]:
    name, sign, kind = text.partition("=")
    if not sign:
        name, kind = text, text
    if not name.strip():
        raise InputError(
            "no name", where=where, value=text, allowed="NAME=KIND, or a kind"
        )
    try:
        return name.strip(), spot_kind(kind.strip()).name
    except InputError as error:
        raise InputError(
            error.what,
            where=where,
            value=text,
            allowed=error.allowed,
            next_step="write NAME=KIND, such as balcony=roofed-balcony",
        ) from error


def _planted(
    text: str, spots: Sequence[tuple[str, str]], rooms: Sequence[tuple[str, str]]
) -> PlantRow:
    plant, sign, at = text.rpartition("@")
    if not sign:
        plant, at = text, spots[0][0]
    known = {name.lower(): name for name, _ in (*spots, *rooms)}
    if at.strip().lower() not in known:
        raise InputError(
            "no spot of this name was given",
            where=field("plant"),
            value=text,
            allowed=", ".join(known.values()),
            next_step="write PLANT@SPOT",
        )
    found = resolve(plant.strip())
    spot = known[at.strip().lower()]
    return PlantRow(0, plant.strip(), found.profile.name, spot, found.read_as)


def check_free(path: Path, *, force: bool) -> None:
    """Check that a home file may be written, before anything is asked.

    Raises
    ------
    InputError
    """
    if is_file(path) and not force:
        raise InputError(
            "this file is there already",
            where="home file",
            value=path,
            allowed="another name" + by(cli=f", or {field('force')} to replace it"),
        )
    if not path.resolve().parent.is_dir():
        raise InputError("no such folder", where="home file", value=path.parent)


def plant_rows(path: Path) -> list[PlantRow]:
    """Return the rows of a collection's file, each with how it was understood.

    Raises
    ------
    InputError
        The file cannot be read, or has no header.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise InputError(
            "the list of plants cannot be read",
            where=field("plants"),
            value=path,
            allowed=f"a CSV file ({error.strerror})",
        ) from error
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        # As spreadsheets of western Europe write it.
        text = data.decode("cp1252", errors="replace")
    return read_collection(text, where=f"{field('plants')} {path.name}")


def _collected(
    rows: Sequence[PlantRow],
    spots: list[tuple[str, str]],
    rooms: Sequence[tuple[str, str]],
) -> list[PlantRow]:
    """Return rows with the spots as they are called; kinds become spots of the name.

    Raises
    ------
    InputError
        With the lines of all rows that are not understood.
    """
    known = {name.lower(): name for name, _ in (*spots, *rooms)}
    wrong: dict[str, list[int]] = {}
    out = []
    for row in rows:
        spot = row.spot.lower() or spots[0][0].lower()
        # A spot may be called by its kind alone.
        if spot not in known and spot.replace(" ", "-") in KINDS:
            spots.append((row.spot, spot.replace(" ", "-")))
            known[spot] = row.spot
        if row.problem or row.name is None:
            wrong.setdefault(row.problem or row.typed, []).append(row.line)
        elif spot not in known:
            wrong.setdefault(f'no spot called "{row.spot}"', []).append(row.line)
        else:
            out.append(replace(row, spot=known[spot]))
    if wrong:
        count = sum(map(len, wrong.values()))
        are = "is" if count == 1 else "are"
        texts = [f"{_lines(lines)}: {what}" for what, lines in wrong.items()]
        raise InputError(
            f"{count} of {len(rows)} rows {are} not understood, so nothing was "
            f"written. {' · '.join(texts)}"[:380],
            where=field("plants"),
            next_step="correct the file, and name its spots by "
            + field("spot", "NAME=KIND"),
        )
    return out


def _lines(lines: Sequence[int]) -> str:
    """Return the lines of a file, such as "line 3" or "line 3 and 4 more"."""
    more = len(lines) - 1
    return f"line {lines[0]}" + (f" and {more} more" if more else "")


def _weather(choice: WeatherChoice, path: Path) -> HomeWeather:
    for option, given in (
        (field("from_"), choice.first),
        (field("to"), choice.last),
        (field("as_of"), choice.as_of),
    ):
        if given is not None:
            raise InputError(
                "a home file keeps no dates",
                where=option,
                value=given,
                next_step="give it to the command that reads the home file",
            )
    one = (choice.file, choice.town, choice.at, choice.station)
    if not choice.demo and not any(one):
        raise InputError(
            "no weather chosen",
            where="init",
            allowed=f"one of {field('town', 'NAME,COUNTRY')}, "
            f"{field('at', 'LAT,LON')}, {STATION}, {field('file', 'PATH')}, or "
            f"{field('demo')} to try it out",
        )
    ways = ("demo", "file", "town", "at", "station")
    sources = [way for way in ("demo", "town", "station") if getattr(choice, way)]
    sources += ["file"] if choice.file else ["at"] if choice.at else []
    if len(sources) > 1:
        raise InputError(
            "more than one weather",
            where="init",
            value=" and ".join(map(field, sources)),
            allowed=f"one of {', '.join(map(field, ways))}",
        )
    file = None
    if choice.file is not None:
        if not is_file(choice.file):
            raise InputError("no such file", where=field("file"), value=choice.file)
        file = os.path.relpath(choice.file.resolve(), path.resolve().parent)
    at = None if choice.at is None else ",".join(f"{x:g}" for x in choice.at)
    return HomeWeather(
        demo=choice.demo,
        file=file,
        town=choice.town,
        at=at,
        station=choice.station,
        combine=choice.combine,
        fill=choice.fill,
        years=choice.years,
        zone=choice.zone,
        temperature_unit=choice.temperature_unit,
        date_order=choice.date_order,
        clock=choice.clock,
        column=choice.column,
        measured_at=choice.measured_at,
    )


def _next(path: Path, plants: Sequence[object]) -> list[str]:
    steps = [] if plants else [_ADD]
    steps.append(by(cli=f"climrisk calendar {field('home')} {path}"))
    return steps
