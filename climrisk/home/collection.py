"""A collection as a table: read from CSV with every name resolved, and written."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from pydantic import ValidationError

from climrisk.core.errors import InputError
from climrisk.home.model import Home, HomePlant
from climrisk.plants.names import resolve
from climrisk.plants.registry import AmbiguousPlantError, UnknownPlantError

#: Columns of a collection, in order; those after ``label`` only where they say more.
COLUMNS = ("name", "spot", "pot", "diameter", "medium", "count", "label")
_KEYS = tuple(k for k in HomePlant.model_fields if k not in ("moves",))
#: What else a header may be called.
_ALSO = {
    "plant": "name",
    "species": "name",
    "place": "spot",
    "diameter": "pot_diameter_cm",
    "pot diameter": "pot_diameter_cm",
    "diameter cm": "pot_diameter_cm",
    "pot size": "pot_diameter_cm",
    "size": "pot_diameter_cm",
    "pot type": "pot",
    "substrate": "medium",
    "potting mix": "medium",
    "mix": "medium",
    "number": "count",
    "how many": "count",
    "pieces": "count",
    "note": "label",
    "called": "label",
}
_LENGTH = re.compile(r'^(\d+(?:[.,]\d+)?)\s*(cm|mm|in|inch|inches|"|”)?$')
_SIZE = r'\d+(?:[.,]\d+)?\s*(?:cm|mm|in|inch|inches|"|”)'
_ELSEWHERE = re.compile(r"^(.+?)\s+(?:on|in|at)\s+(?:the |my )?(.+)$", re.IGNORECASE)
_BULLET = re.compile(r"^(?:[-*•·–]|\d{1,3}[.)](?!\d))\s*")
_CM = {"mm": 0.1, "in": 2.54, "inch": 2.54, "inches": 2.54, '"': 2.54, "”": 2.54}
_MOST_ROWS = 5000
#: What a spreadsheet would take for a formula is written with an apostrophe.
_FORMULA = ("=", "+", "-", "@")


@dataclass(frozen=True)
class PlantRow:
    """A row of a collection and how it was understood.

    Parameters
    ----------
    line : int
        Of the file, from 1.
    typed : str
        The name as it stands there.
    name : str or None
        Of the profile; None where the name leads to none, or to several.
    read_as : str or None
        The profile where what was typed is none of its names.
    choices : tuple of str
        What the name may mean.
    spot : str
        As it stands there; empty where nothing does.
    values : dict
        The other keys of a plant.
    problem : str
        What is not understood, in a sentence; empty where all is.
    """

    line: int
    typed: str
    name: str | None
    spot: str
    read_as: str | None = None
    choices: tuple[str, ...] = ()
    values: Mapping[str, Any] = field(default_factory=dict)
    problem: str = ""

    def meaning(self, name: str) -> PlantRow:
        """Return the row with a name that leads to one profile.

        Raises
        ------
        AmbiguousPlantError, UnknownPlantError
        """
        found = resolve(name).profile.name
        values = dict(self.values)
        # The grower's own word for it is not lost.
        values.setdefault("label", self.typed)
        problem = self.problem if self.name is not None else ""
        return replace(
            self, name=found, read_as=found, choices=(), values=values, problem=problem
        )


def read_collection(text: str, *, where: str) -> list[PlantRow]:
    """Return the rows of a collection; what is wrong in one is said in it.

    Parameters
    ----------
    text : str
        CSV with a header; commas, semicolons or tabs part the columns.
    where : str
        The file, for messages.

    Raises
    ------
    InputError
        No header with a column of names, an unknown column, or no rows.
    """
    lines = text.lstrip("\ufeff").splitlines()
    head = next((i for i, line in enumerate(lines) if line.strip()), None)
    if head is None:
        raise InputError("the file is empty", where=where, allowed=_allowed())
    mark = max(",;\t", key=lines[head].count)
    table = csv.reader(
        io.StringIO("\n".join(lines[head:])), delimiter=mark, strict=True
    )
    try:
        header, *rows = [(table.line_num + head, cells) for cells in table]
    except csv.Error as error:
        raise InputError("not a CSV table", where=where, value=str(error)) from error
    keys = [_key(cell, where) for cell in header[1]]
    if "name" not in keys:
        raise InputError(
            "no column of plant names",
            where=where,
            value=", ".join(header[1]),
            allowed=_allowed(),
            next_step="begin the file with a line that names its columns",
        )
    twice = [k for k in keys if k and keys.count(k) > 1]
    if twice:
        raise InputError("a column is there twice", where=where, value=twice[0])
    out = [
        _row(line, dict(zip(keys, cells, strict=False)))
        for line, cells in rows
        if any(cell.strip() for cell in cells)
    ]
    if not out or len(out) > _MOST_ROWS:
        raise InputError(
            "no plants in the file" if not out else "too many plants in the file",
            where=where,
            allowed=f"1 to {_MOST_ROWS} rows below the header",
        )
    return out


def read_pasted(text: str, places: Sequence[str], *, where: str) -> list[PlantRow]:
    """Return the rows of a list as growers write it, a plant a line, or of a CSV.

    A line may begin with a bullet or a number of plants, and end with a spot or room,
    a number of plants, a pot size, or words of its grower's own: ``3 Phal., balcony``,
    ``moth orchid x 2 on the sill``, ``Cymbidium; shelf; 20 cm; the old one``.

    Parameters
    ----------
    text : str
    places : sequence of str
        Names of the spots and rooms of the home.
    where : str
        For messages.

    Raises
    ------
    InputError
        Nothing there, too many rows, or a table that cannot be read.
    """
    lines = [(n, line.strip()) for n, line in enumerate(text.splitlines(), 1)]
    lines = [(n, line) for n, line in lines if line]
    if lines and _is_header(lines[0][1]):
        return read_collection(text, where=where)
    if not lines or len(lines) > _MOST_ROWS:
        raise InputError(
            "no plants in the list" if not lines else "too many plants in the list",
            where=where,
            allowed=f"1 to {_MOST_ROWS} lines, a plant a line",
        )
    return [_row(n, _cells(line, places)) for n, line in lines]


def _is_header(line: str) -> bool:
    """Whether a line names columns: one of them that of the plants."""
    cells = [c.strip(" \"'").lower() for c in re.split(r"[,;\t]", line)]
    known = {*_KEYS, *_ALSO}
    plant = {"name", *(k for k, v in _ALSO.items() if v == "name")}
    named = [c for c in cells if c.replace("_", " ") in known or c in known]
    return bool(plant & set(cells)) and len(named) == len([c for c in cells if c])


def _cells(line: str, places: Sequence[str]) -> dict[str, str]:
    """Return what a line of a list says, by the keys of a plant."""
    line = _BULLET.sub("", line)
    first, *more = [c.strip() for c in re.split(r"[;\t]", line)]
    out: dict[str, str] = {}
    # What stands behind the name, from the end: a spot, a number, a size.
    first = _behind(first, places, out)
    elsewhere = _ELSEWHERE.match(first)
    if elsewhere and "spot" not in out and not _is_name(first):
        # A spot that the home does not have: which one it is, is asked.
        name = _behind(elsewhere[1], places, out)
        if _is_name(name):
            first, out["spot"] = name, elsewhere[2]
    notes = [c for c in more if c and _behind(f", {c}", places, out)]
    out["name"] = first
    if notes:
        out["label"] = "; ".join(notes)
    elif "," in first and not _is_name(first):
        name, _, label = first.partition(",")
        if _is_name(name):
            out |= {"name": name.strip(), "label": label.strip()}
    return out


def _behind(text: str, places: Sequence[str], out: dict[str, str]) -> str:
    """Take what is not the name off a text into `out`; return what is left."""
    by_length = sorted(places, key=len, reverse=True)
    spot = "|".join(re.escape(p) for p in by_length)
    patterns = [
        ("spot", rf"(?:[,:@–-]|\b(?:on|in|at|to))\s*(?:the |my )?(?P<it>{spot})$"),
        ("spot", rf"\((?:(?:on|in|at) )?(?:the |my )?(?P<it>{spot})\)$"),
        ("pot_diameter_cm", rf"[,–-]?\s*(?P<it>{_SIZE})(?: pot)?$"),
        ("count", r"(?:[,:–-]\s*|\s*[x×]\s*|\()(?P<it>\d{1,4})(?:\s*[x×]|\))?$"),
        ("count", r"\s(?P<it>\d{1,3})$"),
        ("count", r"^(?P<it>\d{1,4})\s*(?:[x×]\s*)?(?=[^\W\d])"),
    ]
    found = True
    while found:
        found = False
        for key, pattern in patterns:
            if key in out or (key == "spot" and not places):
                continue
            match = re.search(pattern, text, re.IGNORECASE)
            if match is not None:
                out[key] = match["it"]
                text = (text[: match.start()] + text[match.end() :]).strip(" ,:–-")
                found = True
    return text


def _is_name(text: str) -> bool:
    """Whether a text is a name of a plant as it stands, be it of several."""
    try:
        return resolve(text).read_as is None
    except AmbiguousPlantError as error:
        return error.read_as is None
    except InputError:
        return False


def collection_csv(home: Home) -> str:
    """Return the plants of a home as CSV, which `read_collection` reads back.

    Moves are notes of days and are not part of it.
    """
    first = [_plain_key(c) for c in COLUMNS]
    usual = HomePlant(name="x", spot="x")
    more = [
        k
        for k in _KEYS
        if k not in first
        and any(getattr(p, k) != getattr(usual, k) for p in home.plant)
    ]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*COLUMNS, *more])
    for plant in home.plant:
        writer.writerow([_cell(getattr(plant, k)) for k in (*first, *more)])
    return out.getvalue()


def _plain_key(column: str) -> str:
    return _ALSO.get(column, column)


def _cell(value: object) -> str:
    if value is None:
        return ""
    text = f"{value:g}" if isinstance(value, float) else str(value)
    return f"'{text}" if text.startswith(_FORMULA) else text


def _allowed() -> str:
    return f"columns {', '.join(COLUMNS)}; only name is needed"


def _key(cell: str, where: str) -> str:
    """Return which key of a plant a header means; empty for an empty header."""
    plain = " ".join(re.findall(r"[a-z0-9]+", cell.lower().replace("_", " ")))
    known = {key.replace("_", " "): key for key in _KEYS} | _ALSO
    if not plain:
        return ""
    if plain not in known:
        raise InputError(
            "unknown column",
            where=where,
            value=cell.strip(),
            allowed=_allowed(),
            next_step="rename the column or take it out",
        )
    return known[plain]


def _row(line: int, cells: Mapping[str, str]) -> PlantRow:
    said = {k: _unquoted(v) for k, v in cells.items() if k and v and v.strip()}
    typed, spot = said.pop("name", ""), said.pop("spot", "")
    values: dict[str, Any] = dict(said)
    problem = ""
    if "pot_diameter_cm" in said:
        size = length_cm(said["pot_diameter_cm"])
        if size is None:
            problem = f"no diameter: {said['pot_diameter_cm']}"
        else:
            values["pot_diameter_cm"] = size
    if not problem:
        problem = _wrong(values)
    try:
        found = resolve(typed)
    except AmbiguousPlantError as error:
        row = PlantRow(line, typed, None, spot, choices=tuple(error.choices))
        return replace(row, values=values, problem=problem or error.what)
    except (UnknownPlantError, InputError) as error:
        near = tuple(error.near) if isinstance(error, UnknownPlantError) else ()
        what = error.what if typed else "no name"
        row = PlantRow(line, typed, None, spot, choices=near)
        return replace(row, values=values, problem=problem or what)
    if found.read_as is None and typed.lower() != found.profile.name.lower():
        # Another name of the plant is its grower's word for it, and is kept.
        values.setdefault("label", typed)
    return PlantRow(
        *(line, typed, found.profile.name, spot, found.read_as),
        values=values,
        problem=problem,
    )


def length_cm(text: str, unit: str = "cm") -> float | None:
    """Return a length as written in centimeters; None where it is none.

    Parameters
    ----------
    text : str
        Such as ``12``, ``12,5 cm`` or ``5 in``.
    unit : {"cm", "in"}
        Of a number without one.
    """
    match = _LENGTH.match(text.strip().lower())
    if match is None:
        return None
    size = float(match[1].replace(",", "."))
    return round(size * _CM.get(match[2] or unit, 1.0), 2)


def _unquoted(cell: str) -> str:
    text = cell.strip()
    return text[1:] if text[:1] == "'" and text[1:].startswith(_FORMULA) else text


def _wrong(values: dict[str, Any]) -> str:
    """Return what is wrong with the keys of a plant; they are turned into numbers."""
    for key in ("count", "risk", "plant_height_cm", "leaf_area_cm2"):
        text = values.get(key)
        if isinstance(text, str) and re.fullmatch(r"\d+,\d+", text):
            values[key] = text.replace(",", ".")
    try:
        plant = HomePlant(name="x", spot="x", **values)
        plant.in_pot()
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        said = first["msg"].removeprefix("Input should be ").partition(",")[0]
        key = ".".join(map(str, first["loc"]))
        return f"{key}: {first['input']}; allowed: {said}"
    except InputError as error:
        return f"{error.what}: {error.value}; allowed: {error.allowed}"
    values.update({k: getattr(plant, k) for k in values})
    return ""


def spots_of(rows: Sequence[PlantRow]) -> list[str]:
    """Return the spots that the rows name, each once."""
    named = {row.spot.lower(): row.spot for row in rows if row.spot}
    return list(named.values())
