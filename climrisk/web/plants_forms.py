"""Plants and spots changed from the page: each form as a change of the home file."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from difflib import SequenceMatcher
from pathlib import Path
from typing import Any

from climrisk.commands.shared.carrying import carry_rows
from climrisk.core.calendar import today_here
from climrisk.core.errors import InputError
from climrisk.core.wording import listed, plural
from climrisk.home import Home, HomeEdit, read_home
from climrisk.home.collection import PlantRow, length_cm, read_pasted
from climrisk.plants.names import resolve
from climrisk.plants.registry import AmbiguousPlantError, UnknownPlantError, index, key

#: Fields of a form that become keys of a plant or a spot as they are.
PLANT_WORDS = ("label", "spot", "room", "pot", "medium", "wetness", "state")
#: Names more alike than this differ by a wrong letter.
_MISSPELT = 0.85
#: Up to so many plants a notice names one by one.
_FEW = 3


@dataclass(frozen=True)
class Form:
    """What a form said: every field in order, and the last of each name.

    `inches` says whether a bare length is one in inches.
    """

    path: Path
    fields: Sequence[tuple[str, str]]
    given: Mapping[str, str]
    inches: bool = False

    def every(self, name: str) -> list[str]:
        """Return all values of a field that are not empty."""
        return [value for key, value in self.fields if key == name and value]

    def needed(self, name: str, what: str) -> str:
        """Return a field that may not be empty.

        Raises
        ------
        InputError
        """
        if not self.given.get(name):
            raise InputError(f"{what} is missing", where=name, next_step="fill it in")
        return self.given[name]


@dataclass(frozen=True)
class Done:
    """What a change did, and what taking it back is called."""

    what: str
    undo: str


@dataclass(frozen=True)
class Meaning:
    """What a typed name means.

    Parameters
    ----------
    typed : str
    name : str or None
        Of the profile; None where it leads to none, or to several.
    read_as : str or None
        The profile, where what was typed is none of its names.
    choices : tuple of str
        What it may mean, or the names spelled most alike.
    unknown : bool
        No plant has this name; the choices are only near.
    """

    typed: str
    name: str | None
    read_as: str | None = None
    choices: tuple[str, ...] = ()
    unknown: bool = False


def meaning(typed: str, home: Home | None = None) -> Meaning:
    """Return what a typed name means, without an error for any of them.

    Parameters
    ----------
    typed : str
    home : Home, optional
        Whose answers to ambiguous names hold.
    """
    try:
        if home is not None and typed in home.answers:
            typed = home.answers[typed]
        found = resolve(typed)
    except AmbiguousPlantError as error:
        return Meaning(typed, None, error.read_as, tuple(error.choices))
    except UnknownPlantError as error:
        return Meaning(typed, None, None, tuple(error.near), unknown=True)
    except InputError:
        return Meaning(typed, None, None, (), unknown=True)
    return Meaning(typed, found.profile.name, found.read_as)


def add_plant(home: HomeEdit, form: Form) -> Done:
    """Add a plant to its spot."""
    values = _plant_values(form)
    values["label"] = values.get("label") or own_word(
        form.given["name"], values["name"]
    )
    values["spot"] = form.needed("spot", "the spot")
    home.add("plant", **values)
    return Done(f"{_title(values)} added on {values['spot']}", "Undo adding")


def edit_plant(home: HomeEdit, form: Form) -> Done:
    """Change what is said of a plant."""
    row = home.plant_of(form.needed("row", "the plant"))
    values = _plant_values(form)
    spot = values.pop("spot", None)
    if spot and spot.lower() != str(row["spot"]).lower():
        values["spot"] = spot
    home.change(row, **values)
    return Done(f"{_title(values)} changed", "Undo change")


def remove_plant(home: HomeEdit, form: Form) -> Done:
    """Take plants out of the collection."""
    rows = [home.plant_of(reference) for reference in form.every("row")]
    if not rows:
        rows = [home.plant(form.needed("called", "the plant"))]
    names = [_title(row) for row in rows]
    for row in rows:
        home.remove("plant", row)
    return Done(f"{_listed(names)} removed", "Undo removal")


def move_plant(home: HomeEdit, form: Form) -> Done:
    """Give plants another place of their own."""
    rows = [home.plant_of(reference) for reference in form.every("row")]
    if not rows:
        rows = [home.plant(form.needed("called", "the plant"))]
    spot = form.needed("spot", "the spot")
    for row in rows:
        home.change(row, spot=spot)
        if row.get("moves"):
            home.carry(row, spot, today_here())
    what = f"{_listed([_title(row) for row in rows])} moved to {spot}"
    return Done(what, "Undo move")


def carry(home: HomeEdit, form: Form) -> Done:
    """Note plants as carried in or out; each may say where to."""
    ticked = [value.partition("/") for value in form.every("row")]
    if not ticked:
        raise InputError(
            "no plant is ticked", where="plants", next_step="tick what you carried"
        )
    way = form.given.get("way") or "in"
    done = carry_rows(
        home,
        read_home(form.path),
        [(reference, to or None) for reference, _, to in ticked],
        way=way,
        # Out means back to its own spot.
        to=(form.given.get("to") or None) if way != "out" else None,
        on=_day(form.given.get("on", "")),
    )
    return Done(done.sentence.rstrip("."), "Undo carrying")


def pasted_rows(text: str, home: Home, given: Mapping[str, str]) -> list[PlantRow]:
    """Return the rows of a pasted list with what was answered about them.

    Parameters
    ----------
    text : str
    home : Home
    given : mapping of str to str
        ``means-LINE`` says what the name of a line means, ``place-NAME`` where a spot
        of another name is, ``skip-LINE`` leaves a line out, ``spot`` is where all
        others stand.
    """
    places = [p.name for p in home.places]
    rows = read_pasted(text, places, where="list")
    known = {name.lower(): name for name in places}
    out = []
    for row in rows:
        answer = given.get(f"means-{row.line}")
        if answer:
            row = row.meaning(answer)
        spot = row.spot or given.get("spot", "")
        spot = known.get(spot.lower()) or given.get(f"place-{spot.lower()}") or spot
        out.append(PlantRow(**{**_fields(row), "spot": spot}))
    return out


def add_plants(home: HomeEdit, form: Form) -> Done:
    """Add the plants of a pasted list."""
    before = read_home(form.path)
    rows = pasted_rows(form.needed("list", "the list"), before, form.given)
    rows = [r for r in rows if not form.given.get(f"skip-{r.line}")]
    for row in rows:
        if row.name is None or row.problem:
            raise InputError(
                f"line {row.line}, {row.typed}: {row.problem or 'which plant is it?'}",
                where="list",
                next_step="say what it is, or leave the line out",
            )
        if not row.spot or not before.knows_spot(row.spot):
            raise InputError(
                f"line {row.line}, {row.typed}: where does it stand?",
                where="list",
                value=row.spot or None,
                allowed=", ".join(p.name for p in before.places),
            )
        home.add("plant", name=row.name, spot=row.spot, **row.values)
    if not rows:
        raise InputError("no line is left to add", where="list")
    count = sum(int(row.values.get("count", 1)) for row in rows)
    return Done(f"{plural(count, 'plant')} added", "Undo adding")


def add_spot(home: HomeEdit, form: Form) -> Done:
    """Add a spot, or a room where it is indoors."""
    name = form.needed("name", "the name of the spot")
    kind = form.needed("kind", "the kind of the spot")
    values = {"name": name, "kind": kind} | _spot_values(form)
    home.add("spot", **values)
    return Done(f"Spot {name} added", "Undo adding")


def edit_spot(home: HomeEdit, form: Form) -> Done:
    """Change a spot or room, or give it another name."""
    called = form.needed("called", "the spot")
    row = home.spot(called)
    values = _spot_values(form)
    if form.given.get("kind"):
        values["kind"] = form.given["kind"]
    home.change(row, **values)
    name = form.needed("name", "the name of the spot")
    home.rename_place(called, name)
    renamed = f" is now called {name}" if name != called else " changed"
    return Done(f"Spot {called}{renamed}", "Undo change")


def remove_spot(home: HomeEdit, form: Form) -> Done:
    """Take a spot out; its plants go to another."""
    called = form.needed("called", "the spot")
    to = form.given.get("to") or None
    home.remove_place(called, to)
    went = f"; its plants are on {to}" if to else ""
    return Done(f"Spot {called} removed{went}", "Undo removal")


EDITS: dict[str, Callable[[HomeEdit, Form], Done]] = {
    "add-plant": add_plant,
    "add-plants": add_plants,
    "edit-plant": edit_plant,
    "remove-plant": remove_plant,
    "move-plant": move_plant,
    "carried": carry,
    "add-spot": add_spot,
    "edit-spot": edit_spot,
    "remove-spot": remove_spot,
}


def _plant_values(form: Form) -> dict[str, Any]:
    """Return the keys of a plant that a form has; an empty field takes its key out."""
    given = form.given
    values: dict[str, Any] = {k: given[k] or None for k in PLANT_WORDS if k in given}
    values["name"] = given.get("means") or form.needed("name", "the name of the plant")
    if "pot_diameter_cm" in given:
        text = given["pot_diameter_cm"]
        values["pot_diameter_cm"] = _size(text, inches=form.inches) if text else None
    if "count" in given:
        values["count"] = _count(given["count"]) if given["count"] else None
    if given.get("mix"):
        values["medium"] = given["mix"]
    return values


def own_word(typed: str, name: str) -> str | None:
    """Return a typed name as its grower's word for a plant; None where it says no more.

    The name of the profile says no more, nor does a name of it with a wrong letter.
    """
    word = key(typed)
    for entry in index():
        if entry.name == name:
            known = [key(n) for n in (entry.name, *entry.names)]
            wrong = (SequenceMatcher(None, word, n).ratio() for n in known)
            if word == known[0] or (word not in known and max(wrong) > _MISSPELT):
                return None
    return typed if typed != name else None


def _spot_values(form: Form) -> dict[str, Any]:
    values: dict[str, Any] = {
        k: form.given.get(k) or None for k in ("facing", "room") if k in form.given
    }
    if "eaves" in form.given:
        eaves = form.given["eaves"]
        values["eaves"] = float(eaves) if eaves else None
    return values


def _size(text: str, *, inches: bool) -> float:
    size = length_cm(text, "in" if inches else "cm")
    if size is None:
        raise InputError(
            "not a pot size",
            where="pot size",
            value=text,
            allowed="such as 12 cm or 5 in",
        )
    return size


def _count(text: str) -> int:
    if not text.isdigit() or int(text) < 1:
        raise InputError(
            "not a number of plants", where="count", value=text, allowed="1 or more"
        )
    return int(text)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text) if text else today_here()
    except ValueError as error:
        raise InputError("not a date", where="on", value=text) from error


def _fields(row: PlantRow) -> dict[str, Any]:
    return {k: getattr(row, k) for k in row.__dataclass_fields__}


def _title(row: Mapping[str, Any]) -> str:
    return str(row.get("label") or row.get("name"))


def _listed(names: Sequence[str]) -> str:
    return listed(names) if len(names) <= _FEW else plural(len(names), "plant")
