"""Plants carried in or out, written into a home file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from climrisk.core.days import day_in_words
from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.home import Home, HomeEdit, HomePlant
from climrisk.home.model import references
from climrisk.home.spot import ROOM_KINDS, HomeRoom
from climrisk.plants.registry import short_name
from climrisk.render.document import Frozen


class CarriedPlant(Frozen):
    """A plant, or several of a kind, from where to where it was carried."""

    label: str
    count: int
    at: str
    to: str


WAYS = ("in", "out")


@dataclass(frozen=True)
class Carried:
    """What was noted, and what stood there already."""

    plants: list[CarriedPlant]
    already: list[str]
    sentence: str


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
