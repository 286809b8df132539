"""Home files read; every fault in one line that names the line and the key."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from importlib import resources
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from climrisk.core.errors import InputError
from climrisk.core.lookups import unnoted
from climrisk.core.paths import data_folder
from climrisk.core.references import by, field
from climrisk.core.toml_text import parse_toml
from climrisk.home.lines import Loc, line_of
from climrisk.home.model import Home, HomePlant
from climrisk.home.parts import EntryError
from climrisk.home.spot import HomeRoom, HomeSpot
from climrisk.home.version import check_version
from climrisk.home.weather import HomeWeather
from climrisk.inputs.pot import POT_INPUTS
from climrisk.plants.registry import AmbiguousPlantError, UnknownPlantError

_PARTS: dict[str, type[BaseModel]] = {
    "weather": HomeWeather,
    "spot": HomeSpot,
    "room": HomeRoom,
    "plant": HomePlant,
}
#: Which key of a plant an input of its pot is.
_POT_KEYS = {d.name: d.option.home for part in POT_INPUTS for d in part.declared()}
_NEXT = "correct the entry; examples/home.toml shows every key"


def read_home(path: Path) -> Home:
    """Return the home of a file.

    Raises
    ------
    InputError
        Not there, no TOML, an unknown key, spot, pot, medium or plant; the message
        names the line.
    """
    return _parsed(read_text(path), str(path), data_folder())


#: A command asks for the units of a home first, and then for all of it; a page asks for
#: every view.
@lru_cache(maxsize=4)
def _parsed(text: str, where: str, _own_plants: Path) -> Home:
    return parse_home(text, where=where)


def read_text(path: Path) -> str:
    """Return the text of a home file, its line ends as they are.

    Raises
    ------
    InputError
        Not there, or no text.
    """
    try:
        # Some editors begin a text with a mark that TOML does not know.
        return path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError as error:
        raise InputError(
            "no such home file",
            where=field("home"),
            value=path,
            next_step=by(cli="climrisk init writes one"),
        ) from error
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(
            "home file cannot be read",
            where=field("home"),
            value=path,
            allowed="a TOML file in UTF-8",
        ) from error


def demo_home() -> Home:
    """Return the built-in home in the invented town of Veladrag."""
    return parse_home(demo_home_text(), where="demo home")


def demo_home_text() -> str:
    """Return the text of the built-in home file."""
    return resources.files("climrisk").joinpath("data/veladrag.toml").read_text("utf-8")


def parse_home(text: str, *, where: str) -> Home:
    """Return a home from the text of its file; every name in it is checked.

    Parameters
    ----------
    text : str
    where : str
        The file, for messages.

    Raises
    ------
    InputError
    """
    try:
        data = parse_toml(text)
    except tomllib.TOMLDecodeError as error:
        raise _not_toml(error, text, where) from error
    except (RecursionError, ValueError) as error:
        raise InputError(
            "not a TOML file that can be read",
            where=where,
            allowed="a few nested brackets, and numbers of a few digits",
        ) from error
    check_version(data, where=where)
    try:
        home = Home.model_validate(data)
    except ValidationError as error:
        raise _first_fault(error, text, where) from error
    with unnoted():
        _check_names(home, text, where)
    return home


def _check_names(home: Home, text: str, where: str) -> None:
    for typed, meant in home.answers.items():
        with _within(text, where, ("answers", typed)):
            home.profile(meant)
    known = set[str]()
    for i, plant in enumerate(home.plant):
        if plant.name not in known:
            with _within(text, where, ("plant", i, "name")):
                home.profile(plant.name)
            known.add(plant.name)
        with _within(text, where, ("plant", i)):
            plant.in_pot()


@contextmanager
def _within(text: str, where: str, loc: Loc) -> Iterator[None]:
    """Say of an error of another room on which line of the file it arose."""
    try:
        yield
    except (AmbiguousPlantError, UnknownPlantError) as error:
        what = error.what[0].lower() + error.what[1:]
        if isinstance(error, AmbiguousPlantError) and not error.unlisted:
            what += f', or answer it under [answers]: "{error.typed}" = '
            what += f'"{error.choices[0]}"'
        raise InputError(f"{_place(text, where, loc)}: {what}") from error
    except InputError as error:
        key = _POT_KEYS.get(error.field or "")
        raise _error(
            *(text, where, loc if key is None else (*loc, key), error.what),
            value=error.value,
            allowed=error.allowed,
            next_step=error.next_step or _NEXT,
        ) from error


def _error(
    text: str,
    where: str,
    loc: Loc,
    what: str,
    *,
    value: object = None,
    allowed: str = "",
    next_step: str = "",
) -> InputError:
    at = _place(text, where, loc)
    key = _words(loc)
    return InputError(
        f"wrong entry {key}: {what}" if what else f"wrong entry {key}",
        where=at,
        value=value,
        allowed=allowed,
        next_step=next_step or _NEXT,
    )


def _place(text: str, where: str, loc: Loc) -> str:
    """Return file and line of a key."""
    line = line_of(text, loc)
    return where if line is None else f"{where}, line {line}"


def _words(loc: Loc) -> str:
    """Return a path of keys as plant 2 medium; rows count from 1."""
    parts: list[str] = []
    for part in loc:
        if isinstance(part, int):
            parts[-1] += f" {part + 1}"
        else:
            parts.append(part)
    return ".".join(parts) or "home"


def _not_toml(error: tomllib.TOMLDecodeError, text: str, where: str) -> InputError:
    found = re.search(r"(.*?)\s*\(at line (\d+), column (\d+)\)", str(error))
    if found is None:
        return InputError("not a TOML file", where=where, value=str(error))
    number = int(found[2])
    shown = text.splitlines()[number - 1].strip() if number else ""
    return InputError(
        f"not a TOML file: {found[1]}",
        where=f"{where}, line {number}, column {found[3]}",
        value=shown,
        allowed='key = value, with words in quotes, such as name = "balcony"',
    )


def _first_fault(error: ValidationError, text: str, where: str) -> InputError:
    first: Any = error.errors(include_url=False)[0]
    loc: Loc = tuple(first["loc"])
    value = first["input"]
    value = None if isinstance(value, dict | list | tuple | Home) else value
    fault = first.get("ctx", {}).get("error")
    if isinstance(fault, EntryError):
        return _error(
            *(text, where, (*loc, *fault.at), fault.what),
            value=fault.value if fault.value is not None else value,
            allowed=fault.allowed,
            next_step=fault.next_step,
        )
    if first["type"] == "extra_forbidden":
        return _unknown_key(text, where, loc)
    if first["type"] == "missing":
        what = "is missing"
        return _error(text, where, loc, what)
    allowed = (
        first["msg"].removeprefix("Value error, ").removeprefix("Input should be ")
    )
    return _error(text, where, loc, "", value=value, allowed=allowed)


def _unknown_key(text: str, where: str, loc: Loc) -> InputError:
    part = next((_PARTS[p] for p in loc[:-1] if p in _PARTS), Home)
    known = list(part.model_fields)
    key = str(loc[-1])
    near = difflib.get_close_matches(key, known, n=1, cutoff=0.6)
    return _error(
        *(text, where, loc, "no such key"),
        allowed=" ".join(known),
        next_step=f"did you mean {near[0]}?" if near else "",
    )
