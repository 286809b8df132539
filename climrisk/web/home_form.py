"""The home file changed from the page; each change can be undone by itself."""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from climrisk.commands.init.command import InitInput
from climrisk.commands.init.compute import init
from climrisk.core.atomic_files import private_folder
from climrisk.core.defaults import DEFAULT_SPOT
from climrisk.core.errors import InputError
from climrisk.home import edit_home, read_home, undo_change
from climrisk.home.collection import collection_csv
from climrisk.home.read import read_text
from climrisk.weather.selection import WeatherChoice, located, parse_at
from climrisk.web.app_state import DEMO_HOME, AppState
from climrisk.web.asks import WeatherAsk
from climrisk.web.changes import Change
from climrisk.web.plants_forms import EDITS, Form
from climrisk.web.settings import copy_log, log_file
from climrisk.web.tasks import Task

_WEATHER = ("town", "at", "station", "temperature_unit", "date_order", "clock")
_MOST = 200
#: Letters of a pasted list.
_MOST_LIST = 200_000


def change(
    state: AppState, form: Sequence[tuple[str, str]], *, inches: bool = False
) -> str | None:
    """Change the home file as a form says; nothing is written unless it stays valid.

    Parameters
    ----------
    state : AppState
    form : sequence of (str, str)
        ``do`` is begin, undo or one of `climrisk.web.plants_forms.EDITS`; the other
        fields are those of the home file. A plant is named by ``row``, its reference,
        or by ``called``. A form that says ``once`` is done once, however often it is
        sent.
    inches : bool
        Whether a bare length is one in inches.

    Returns
    -------
    str or None
        The name of the change, by which it can be undone.

    Raises
    ------
    InputError
        What is wrong, in one line; the file stays as it was.
    """
    form = [(k, v.strip()[: _MOST if k != "list" else _MOST_LIST]) for k, v in form]
    given = dict(form)
    do = given.get("do", "")
    if do == "begin":
        _begin(state, given)
        return None
    path = _own(state)
    if do == "undo":
        return _undone(state, path, given.get("change", ""))
    act = EDITS.get(do)
    if act is None:
        raise InputError("nothing to do", where="do", value=do)
    with state.changes.once(given.get("once", "")) as sent:
        if sent.change is None:
            with edit_home(path) as home:
                done = act(home, Form(path, form, given, inches))
            if home.text() != home.before:
                made = Change(done.what, home.before, home.text(), done.undo)
                sent.change = state.changes.add(made)
        return sent.change


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
    return state.changes.add(Change(f"Undone: {one.what}", before, after, "Redo"))


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


def _begin(state: AppState, given: dict[str, str]) -> None:
    """Write a new home, and show it from now on."""
    if state.settings.demo:
        raise InputError("this page keeps no home", where="home")
    said: dict[str, Any] = {k: given.get(k) or None for k in _WEATHER}
    name = given.get("name") or "My home"
    path = state.homes.new_path(name)
    private_folder(path.parent)
    at, file = said.pop("at"), None
    if given.get("log"):
        file = copy_log(log_file(state.settings.logs, given["log"]), path.parent)
    elif said["station"]:
        # The station chosen, whichever town it was found from.
        said["town"] = None
    choice = located(
        WeatherChoice(
            file=file, at=None if at is None else parse_at(at, where="at"), **said
        )
    )
    # An equal sign ends the name of a spot.
    called = (given.get("spot_name") or "balcony").replace("=", " ")
    kind = given.get("kind") or DEFAULT_SPOT
    room = given.get("room_kind")
    rooms = (f"{room.replace('-', ' ')}={room}",) if room else ()
    init(
        InitInput(path=path, name=name, spot=(f"{called}={kind}",), room=rooms), choice
    )
    state.homes.choose(state.homes.key_of(path))


def _said(given: Mapping[str, str], name: str) -> str:
    if not given.get(name):
        raise InputError("missing", where=name, next_step="say it")
    return given[name]
