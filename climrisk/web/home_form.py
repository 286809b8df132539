"""The home file changed from the page; each change can be undone by itself."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from climrisk.atomic_files import private_folder
from climrisk.errors import InputError
from climrisk.home import HomeEdit, edit_home, read_home, undo_change
from climrisk.home.collection import collection_csv
from climrisk.home.read import read_text
from climrisk.seasons import today_here
from climrisk.simulate.carried import carry_rows
from climrisk.simulate.new_home import init
from climrisk.weather.choose import WeatherChoice, parse_at
from climrisk.web.app_state import DEMO_HOME, AppState
from climrisk.web.asks import WeatherAsk
from climrisk.web.changes import Change
from climrisk.web.settings import copy_log, log_file
from climrisk.web.tasks import Task

#: Fields of a form that become keys of a plant or a spot; numbers apart.
_PLANT = ("name", "label", "spot", "pot", "medium", "wetness", "state")
_SPOT = ("name", "kind", "facing")
_WEATHER = ("town", "at", "station", "temperature_unit", "date_order", "clock")
_MOST = 200


def change(state: AppState, form: Sequence[tuple[str, str]]) -> str | None:
    """Change the home file as a form says; nothing is written unless it stays valid.

    Parameters
    ----------
    state : AppState
    form : sequence of (str, str)
        ``do`` is begin, add-plant, remove-plant, move-plant, carried, add-spot,
        remove-spot or undo; the other fields are those of the home file. A plant is
        told by ``row``, its reference, or by ``called``.

    Returns
    -------
    str or None
        The name of the change, by which it can be undone.

    Raises
    ------
    InputError
        What is wrong, in one line; the file stays as it was.
    """
    given = {k: v.strip()[:_MOST] for k, v in form}
    do = given.get("do", "")
    if do == "begin":
        _begin(state, given)
        return None
    path = _own(state)
    if do == "undo":
        return _undone(state, path, given.get("change", ""))
    act = _EDITS.get(do)
    if act is None:
        raise InputError("nothing to do", where="do", value=do)
    with edit_home(path) as home:
        what = act(home, Form(path, form, given))
    if home.text() == home.before:
        return None
    return state.changes.add(Change(what, home.before, home.text()))


@dataclass(frozen=True)
class Form:
    """What a form said: every field in order, and the last of each name."""

    path: Path
    fields: Sequence[tuple[str, str]]
    given: Mapping[str, str]


def _undone(state: AppState, path: Path, name: str) -> str:
    one = state.changes.named(name)
    if one is None:
        raise InputError(
            "this change can no longer be undone",
            where="undo",
            next_step="change the plant or spot itself",
        )
    before = read_text(path)
    after = undo_change(path, one.before, one.after)
    return state.changes.add(Change(f"Undone: {one.what}", before, after))


def learned(state: AppState, before: str, spot: str) -> str | None:
    """Keep that a lesson was written to the home file; return the change's name."""
    after = read_text(_own(state))
    if after == before:
        return None
    what = f"{spot} follows its logger"
    return state.changes.add(Change(what, before, after))


def collection_now(state: AppState) -> str:
    """Return the plants of the home as CSV."""
    return collection_csv(read_home(_own(state)))


def home_text_now(state: AppState) -> str:
    """Return the text of the home file."""
    return read_text(_own(state))


def lesson_task(state: AppState, given: dict[str, str]) -> Task:
    """Return the task that keeps what a logger taught of a spot in the home file.

    Raises
    ------
    InputError
        No home, no file or no spot.
    """
    said = {k: v for k, v in given.items() if k in ("log", *_WEATHER, "column") and v}
    try:
        ask = WeatherAsk.model_validate(said)
    except ValidationError as error:
        raise InputError("the file is not known", where="log") from error
    choice = ask.choice(lambda key: log_file(state.settings.logs, key))
    options: dict[str, Any] = {"spot": _said(given, "spot"), "save": True}
    if given.get("read"):
        options["read"] = given["read"]
    # A stamp of its own: what is written is never taken from memory.
    stamp = (time.time_ns(),)
    return Task("learn", choice, _own(state), tuple(sorted(options.items())), stamp)


def _own(state: AppState) -> Path:
    home = state.home
    if home is None or home == DEMO_HOME:
        raise InputError(
            "there is no home file yet",
            where="home",
            next_step="choose a weather and keep it as your home first",
        )
    return home


def _plant_row(home: HomeEdit, given: Mapping[str, str]) -> Any:
    if given.get("row"):
        return home.plant_of(given["row"])
    return home.plant(_said(given, "called"))


def _name_of(row: Any) -> str:
    return str(row.get("label") or row.get("name"))


def _add_plant(home: HomeEdit, form: Form) -> str:
    given = form.given
    values: dict[str, Any] = {k: given.get(k) or None for k in _PLANT}
    values["name"] = _said(given, "name")
    values["spot"] = _said(given, "spot")
    if given.get("pot_diameter_cm"):
        values["pot_diameter_cm"] = _number(given, "pot_diameter_cm")
    if given.get("count"):
        values["count"] = int(_number(given, "count"))
    home.add("plant", **values)
    return f"{values['label'] or values['name']} on {values['spot']} added"


def _remove_plant(home: HomeEdit, form: Form) -> str:
    row = _plant_row(home, form.given)
    home.remove("plant", row)
    return f"{_name_of(row)} removed"


def _move_plant(home: HomeEdit, form: Form) -> str:
    row = _plant_row(home, form.given)
    spot = _said(form.given, "spot")
    home.change(row, spot=spot)
    if row.get("moves"):
        home.carry(row, spot, today_here())
    return f"{_name_of(row)} now has its place on {spot}"


def _add_spot(home: HomeEdit, form: Form) -> str:
    home.add("spot", **{k: form.given.get(k) or None for k in _SPOT})
    return f"spot {form.given.get('name')} added"


def _remove_spot(home: HomeEdit, form: Form) -> str:
    home.remove("spot", _said(form.given, "called"))
    return f"spot {form.given['called']} removed"


def _carried(home: HomeEdit, form: Form) -> str:
    """Record the ticked plants as carried in or out; each may say where to."""
    given = form.given
    ticked = [v.partition("/") for k, v in form.fields if k == "row"]
    if not ticked:
        raise InputError(
            "no plant is ticked", where="plants", next_step="tick what you carried"
        )
    done = carry_rows(
        home,
        read_home(form.path),
        [(reference, to or None) for reference, _, to in ticked],
        way=given.get("way") or "in",
        # Out means back to its own spot.
        to=(given.get("to") or None) if given.get("way") != "out" else None,
        on=_day(given.get("on", "")),
    )
    return done.sentence.rstrip(".")


_EDITS: dict[str, Callable[[HomeEdit, Form], str]] = {
    "add-plant": _add_plant,
    "remove-plant": _remove_plant,
    "move-plant": _move_plant,
    "carried": _carried,
    "add-spot": _add_spot,
    "remove-spot": _remove_spot,
}


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text) if text else today_here()
    except ValueError as error:
        raise InputError("not a date", where="on", value=text) from error


def _begin(state: AppState, given: dict[str, str]) -> None:
    path = state.settings.home
    if path is None or state.settings.demo:
        raise InputError("this page keeps no home", where="home")
    said: dict[str, Any] = {k: given.get(k) or None for k in _WEATHER}
    file = None
    if path.exists():
        raise InputError("a home file is there already", where="home")
    private_folder(path.parent)
    if given.get("log"):
        file = copy_log(log_file(state.settings.logs, given["log"]), path.parent)
    at = said.pop("at")
    choice = WeatherChoice(
        file=file, at=None if at is None else parse_at(at, where="at"), **said
    )
    # An equal sign ends the name of a spot.
    called = (given.get("spot_name") or "balcony").replace("=", " ")
    kind = given.get("kind") or "roofed-balcony"
    rooms = [f"{k.replace('-', ' ')}={k}" for k in [given.get("room_kind")] if k]
    init(path, choice, name=given.get("name"), spot=[f"{called}={kind}"], room=rooms)


def _said(given: Mapping[str, str], name: str) -> str:
    if not given.get(name):
        raise InputError("missing", where=name, next_step="say it")
    return given[name]


def _number(given: Mapping[str, str], name: str) -> float:
    try:
        return float(given[name].replace(",", "."))
    except ValueError as error:
        raise InputError("not a number", where=name, value=given[name]) from error
