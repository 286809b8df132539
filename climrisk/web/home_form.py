"""The home file changed from the page: begun, added to, taken from, one step back."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from climrisk.atomic_files import private_folder
from climrisk.errors import InputError
from climrisk.home import edit_home, undo_home
from climrisk.home.write import undo_path
from climrisk.simulate.new_home import init
from climrisk.weather.choose import WeatherChoice, parse_at
from climrisk.web.asks import WeatherAsk
from climrisk.web.room import DEMO_HOME, Room
from climrisk.web.settings import copy_log, log_file
from climrisk.web.tasks import Task

#: Fields of a form that become keys of a plant or a spot; numbers apart.
_PLANT = ("name", "label", "spot", "pot", "medium", "wetness", "state")
_SPOT = ("name", "kind", "facing")
_WEATHER = ("town", "at", "station", "temperature_unit", "date_order", "clock")
_MOST = 200


def change(room: Room, given: dict[str, str]) -> None:
    """Change the home file as a form says; nothing is written unless it stays valid.

    Parameters
    ----------
    room : Room
    given : dict of str to str
        ``do`` is begin, add-plant, remove-plant, move-plant, add-spot, remove-spot or
        undo; the other fields are those of the home file.

    Raises
    ------
    InputError
        What is wrong, in one line; the file stays as it was.
    """
    given = {k: v.strip()[:_MOST] for k, v in given.items()}
    do = given.get("do", "")
    if do == "begin":
        _begin(room, given)
        return
    path = _own(room)
    if do == "undo":
        undo_home(path)
        return
    with edit_home(path) as home:
        if do == "add-plant":
            _add_plant(home, given)
        elif do == "remove-plant":
            home.remove("plant", _said(given, "called"))
        elif do == "move-plant":
            home.change(home.plant(_said(given, "called")), spot=_said(given, "spot"))
        elif do == "add-spot":
            home.add("spot", **{k: given.get(k) or None for k in _SPOT})
        elif do == "remove-spot":
            home.remove("spot", _said(given, "called"))
        else:
            raise InputError("nothing to do", where="do", value=do)


def lesson_task(room: Room, given: dict[str, str]) -> Task:
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
    choice = ask.choice(lambda key: log_file(room.settings.logs, key))
    options: dict[str, Any] = {"spot": _said(given, "spot"), "save": True}
    if given.get("read"):
        options["read"] = given["read"]
    # A stamp of its own: what is written is never taken from memory.
    stamp = (time.time_ns(),)
    return Task("learn", choice, _own(room), tuple(sorted(options.items())), stamp)


def can_undo(room: Room) -> bool:
    """Whether there is a text before the last change."""
    home = room.home
    return home is not None and home != DEMO_HOME and undo_path(home).is_file()


def _own(room: Room) -> Path:
    home = room.home
    if home is None or home == DEMO_HOME:
        raise InputError(
            "there is no home file yet",
            where="home",
            next_step="choose a weather and keep it as your home first",
        )
    return home


def _add_plant(home: Any, given: dict[str, str]) -> None:
    values: dict[str, Any] = {k: given.get(k) or None for k in _PLANT}
    values["name"] = _said(given, "name")
    values["spot"] = _said(given, "spot")
    if given.get("pot_diameter_cm"):
        values["pot_diameter_cm"] = _number(given, "pot_diameter_cm")
    if given.get("count"):
        values["count"] = int(_number(given, "count"))
    home.add("plant", **values)


def _begin(room: Room, given: dict[str, str]) -> None:
    path = room.settings.home
    if path is None or room.settings.demo:
        raise InputError("this page keeps no home", where="home")
    said: dict[str, Any] = {k: given.get(k) or None for k in _WEATHER}
    file = None
    if path.exists():
        raise InputError("a home file is there already", where="home")
    private_folder(path.parent)
    if given.get("log"):
        file = copy_log(log_file(room.settings.logs, given["log"]), path.parent)
    at = said.pop("at")
    choice = WeatherChoice(
        file=file, at=None if at is None else parse_at(at, where="at"), **said
    )
    # An equal sign ends the name of a spot.
    called = (given.get("spot_name") or "balcony").replace("=", " ")
    kind = given.get("kind") or "roofed-balcony"
    init(path, choice, name=given.get("name"), spot=[f"{called}={kind}"])


def _said(given: dict[str, str], name: str) -> str:
    if not given.get(name):
        raise InputError("missing", where=name, next_step="say it")
    return given[name]


def _number(given: dict[str, str], name: str) -> float:
    try:
        return float(given[name].replace(",", "."))
    except ValueError as error:
        raise InputError("not a number", where=name, value=given[name]) from error
