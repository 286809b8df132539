"""Plants carried in or out, noted in the home file."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from climrisk.commands.carried.result import CarriedResult, StillOutside
from climrisk.commands.shared.carrying import carry_rows
from climrisk.core.calendar import today_here
from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.core.version import __version__
from climrisk.home import Home, HomePlant, edit_home, read_home
from climrisk.home.model import references
from climrisk.plants.registry import (
    AmbiguousPlantError,
    UnknownPlantError,
    key,
    short_name,
)


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
