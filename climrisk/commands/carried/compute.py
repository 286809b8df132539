"""Plants carried in or out, noted in the home file."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from climrisk.commands.carried.result import CarriedPlant, CarriedResult, StillOutside
from climrisk.commands.tonight.result import TonightResult
from climrisk.core.calendar import today_here
from climrisk.core.days import day_in_words
from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.core.version import __version__
from climrisk.home import Home, HomeEdit, HomePlant, edit_home, read_home
from climrisk.home.model import references
from climrisk.home.spot import ROOM_KINDS, HomeRoom
from climrisk.plants.registry import (
    AmbiguousPlantError,
    UnknownPlantError,
    key,
    short_name,
)

WAYS = ("in", "out")


@dataclass(frozen=True)
class Carried:
    """What was noted, and what stood there already."""

    plants: list[CarriedPlant]
    already: list[str]
    sentence: str


def carried(
    home: str | Path,
    way: str,
    plants: Sequence[str] = (),
    *,
    everything: bool = False,
    spot: str | None = None,
    to: str | None = None,
    on: date | None = None,
) -> CarriedResult:
    """Note in a home file that plants were carried in or out; return what was noted.

    Parameters
    ----------
    home : str or Path
    way : {"in", "out"}
    plants : sequence of str
        By label or name; several of the same name all go.
    everything : bool
        All plants instead: for ``in`` those outdoors, for ``out`` those inside.
    spot : str, optional
        Only plants that stand on this spot or in this room.
    to : str, optional
        The spot or room carried to. In: the room of the plant or its spot otherwise,
        or the only room; out: the plant's own spot. A kind of room that is not in the
        file is added to it.
    on : date, optional
        Today otherwise.

    Raises
    ------
    InputError
        A name that is not in the file, or a room left open; nothing is noted.
    """
    path = Path(home)
    day = on or today_here()
    before = read_home(path)
    if spot is not None:
        before.spot_named(spot)
    if everything == bool(plants):
        raise InputError(
            "which plants were carried?",
            where="carried",
            allowed=f"names of plants, or {field('all')}",
            next_step=f"the plants here: {_names(before)}",
        )
    wanted = _chosen(before, plants, way, day, spot)
    with edit_home(path) as edit:
        done = carry_rows(edit, before, [(r, None) for r in wanted], way, to, day)
    after = read_home(path)
    return CarriedResult(
        command="carried",
        version=__version__,
        home=after.name,
        file=str(path),
        on=day.isoformat(),
        carried=done.plants,
        already=done.already,
        outside=still_outside(after, day),
        sentence=done.sentence,
    )


def carried_tonight(
    home: Path | None, result: TonightResult, on: date | None = None
) -> Carried:
    """Note that the plants of tonight's carry list were carried in.

    Parameters
    ----------
    home : Path or None
    result : TonightResult
    on : date, optional
        Today otherwise.

    Raises
    ------
    InputError
        No home file, or a plant without a room to go to; nothing is noted.
    """
    if home is None:
        raise InputError(
            "noting what was carried needs a home file",
            where=field("done"),
            allowed=field("home"),
        )
    rows = [(r.row, r.to) for r in result.carry if r.row is not None]
    before = read_home(home)
    day = on or today_here()
    with edit_home(home) as edit:
        return carry_rows(edit, before, rows, "in", None, day)


def carry_rows(
    edit: HomeEdit,
    home: Home,
    rows: Sequence[tuple[str, str | None]],
    way: str,
    to: str | None,
    on: date,
) -> Carried:
    """Note plants in a home file that is being changed.

    Parameters
    ----------
    edit : HomeEdit
    home : Home
        The same file, as it was read.
    rows : sequence of (str, str or None)
        References of plants, each with where it was carried to; None for `to`, and
        then for the usual place.
    way : {"in", "out"}
    to : str or None
        For ``in`` also a kind of room, which is added to the file if it has none.
    on : date

    Raises
    ------
    InputError
    """
    if way not in WAYS:
        raise InputError("no such way", where="carried", value=way, allowed="in or out")
    known = dict(zip(references(home.plant), home.plant, strict=True))
    done, already = [], []
    added = to if way == "in" and to in ROOM_KINDS and not home.knows_spot(to) else None
    if added is not None:
        edit.add("room", name=added, kind=added)
        room = HomeRoom(name=added, kind=added)
        home = home.model_copy(update={"room": (*home.room, room)})
    # All are found first: a note changes the reference of its plant.
    tables = [edit.plant_of(reference) for reference, _ in rows]
    for (reference, own), table in zip(rows, tables, strict=True):
        plant = known[reference]
        goal = _goal(home, plant, way, own or to)
        now = home.now_at(plant, on).name
        if now == goal:
            already.append(plant.called)
            continue
        edit.carry(table, goal, on)
        done.append(
            CarriedPlant(label=plant.called, count=plant.count, at=now, to=goal)
        )
    text = _sentence(done, already, way, on)
    if added is not None:
        text += f" The home file has a new room, {added}."
    return Carried(done, already, text)


def still_outside(home: Home, day: date) -> list[StillOutside]:
    """Return the plants that stand outdoors on a day, by the notes."""
    out = []
    for plant in home.plant:
        place = home.now_at(plant, day)
        if not place.as_kind.indoors:
            row = StillOutside(label=plant.called, count=plant.count, spot=place.name)
            out.append(row)
    return out


def _chosen(
    home: Home, plants: Sequence[str], way: str, day: date, spot: str | None
) -> list[str]:
    """Return references of the plants meant."""
    every = list(zip(references(home.plant), home.plant, strict=True))
    if spot is not None:
        every = [e for e in every if e[1].place_on(day).lower() == spot.lower()]
    if not plants:
        inside = {r: home.now_at(p, day).as_kind.indoors for r, p in every}
        # What lives indoors all year is not carried out with the others.
        return [
            r
            for r, p in every
            if inside[r] == (way == "out")
            and not (way == "out" and home.spot_named(p.spot).as_kind.indoors)
        ]
    out: list[str] = []
    for name in plants:
        found = _called(home, [p for _, p in every], name)
        if not found:
            raise _unknown(home, name, spot)
        out += [r for r, p in every if p in found and r not in out]
    return out


def _called(home: Home, plants: Sequence[HomePlant], name: str) -> list[HomePlant]:
    """Return the plants that a name may mean: as written, as it begins, as resolved."""
    wanted = key(name)
    both = [(p, {key(n) for n in _names_of(p)}) for p in plants]
    exact = [p for p, names in both if wanted in names]
    begun = [p for p, names in both if any(n.startswith(wanted + " ") for n in names)]
    if exact or begun:
        return exact or begun
    try:
        meant = [home.profile(name).name]
    except AmbiguousPlantError as error:
        meant = error.choices
    except UnknownPlantError:
        return []
    return [p for p in plants if home.profile(p.name).name in meant]


def _names_of(plant: HomePlant) -> tuple[str, ...]:
    """Return what a plant is called, written and shown as."""
    return (plant.called, plant.name, short_name(plant.name))


def _unknown(home: Home, name: str, spot: str | None) -> InputError:
    names = [n for p in home.plant for n in _names_of(p)]
    near = difflib.get_close_matches(name, names, n=1, cutoff=0.5)
    where = "in the home file" if spot is None else f"on {spot}"
    return InputError(
        f'no plant called "{name}" {where}',
        allowed=_names(home),
        next_step=f"did you mean {near[0]}?" if near else "name one of these",
    )


def _names(home: Home) -> str:
    names = dict.fromkeys(short_name(p.called) for p in home.plant)
    return "; ".join(names) or "none yet"


def _goal(home: Home, plant: HomePlant, way: str, to: str | None) -> str:
    """Return where a plant was carried to, checked against the way."""
    inside = [p.name for p in home.places if p.as_kind.indoors]
    if to is None:
        if way == "out":
            to = plant.spot
        else:
            to = home.room_of(plant) or (inside[0] if len(inside) == 1 else None)
    if to is None:
        raise InputError(
            f"Carried to which room? {short_name(plant.called)} has none of its own",
            allowed=", ".join(inside) or f"a kind of room: {' '.join(ROOM_KINDS)}",
            next_step=f"name it, such as {field('to', inside[0])}"
            if inside
            else f"name it, such as {field('to', 'window-sill')}, which adds it to the "
            "home file",
        )
    place = home.spot_named(to)
    if place.as_kind.indoors != (way == "in"):
        here = "indoors" if place.as_kind.indoors else "outdoors"
        fit = [p.name for p in home.places if p.as_kind.indoors == (way == "in")]
        raise InputError(
            f"{place.name} is {here}, so {plant.called} was not carried {way} there",
            where="to",
            value=to,
            allowed=", ".join(fit) or "none in the home file yet",
        )
    return place.name


def _sentence(
    done: Sequence[CarriedPlant], already: Sequence[str], way: str, on: date
) -> str:
    parts = []
    for goal in dict.fromkeys(p.to for p in done):
        names = [
            (f"{p.count} " if p.count > 1 else "") + short_name(p.label)
            for p in done
            if p.to == goal
        ]
        if len(names) > 6:
            names = [f"{sum(p.count for p in done if p.to == goal)} plants"]
        # Names contain commas.
        day = day_in_words(on)
        parts.append(f"{'; '.join(names)}: carried {way} to {goal} on {day}.")
    if already:
        names = list(dict.fromkeys(map(short_name, already)))
        parts.append(f"There already: {'; '.join(names)}.")
    return " ".join(parts) or "No plant to carry."
