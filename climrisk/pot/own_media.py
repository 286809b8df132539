"""A grower's own media: TOML files in the user's folder."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from climrisk.core.errors import InputError
from climrisk.core.paths import data_folder, is_folder
from climrisk.core.toml_text import parse_toml

#: What a file must say, and the range of each number.
RANGES: dict[str, tuple[float, float]] = {
    "bulk_density_kg_m3": (10.0, 2000.0),
    "total_porosity": (0.05, 0.99),
    "water_drained": (0.0, 0.95),
    "water_moist": (0.0, 0.95),
    "specific_heat_j_kgk": (400.0, 3000.0),
    "conductivity_dry_w_mk": (0.02, 2.5),
    "conductivity_moist_w_mk": (0.02, 2.5),
    "top_wetness": (0.0, 1.0),
}


def own_folder() -> Path:
    """Return the folder of the user's own media; it need not exist."""
    return data_folder() / "media"


def own_rows() -> tuple[list[dict[str, str]], dict[str, InputError]]:
    """Return the user's own media as rows of the table of media.

    Returns
    -------
    rows : list of dict
    unreadable : dict of str to InputError
        What is wrong with each file that cannot be used, by its name without ending.
    """
    folder, rows, unreadable = own_folder(), [], {}
    if is_folder(folder):
        for path in sorted(folder.glob("*.toml")):
            try:
                rows.append(_row(path))
            except InputError as error:
                unreadable[path.stem] = error
    return rows, unreadable


def _row(path: Path) -> dict[str, str]:
    try:
        said = parse_toml(path.read_text("utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, OSError) as error:
        raise InputError(
            "own medium cannot be read", where=str(path), value=str(error)
        ) from error
    unknown = set(said) - {*RANGES, "name", "basis"}
    if unknown:
        raise InputError(
            "own medium has an unknown key",
            where=str(path),
            value=", ".join(sorted(unknown)),
            allowed="name basis " + " ".join(RANGES),
        )
    row = {key: _number(path, key, said.get(key), *RANGES[key]) for key in RANGES}
    if float(row["water_drained"]) > float(row["total_porosity"]):
        raise InputError(
            "own medium holds more water than it has pores",
            where=f"{path}: water_drained",
            value=row["water_drained"],
            allowed=f"at most {row['total_porosity']}",
        )
    row["name"] = str(said.get("name", path.stem)).strip()
    if not re.fullmatch(r"[^\W\d][\w .()-]{0,39}", row["name"]):
        raise InputError(
            "own medium's name cannot be typed",
            where=f"{path}: name",
            value=row["name"],
            allowed="a letter, then up to 39 letters, digits, spaces, . ( ) - _",
        )
    row["basis"] = str(said.get("basis", "the user's own"))
    row["sources"] = ""
    return row


def _number(path: Path, key: str, value: Any, low: float, high: float) -> str:
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    if not is_number or not low <= value <= high:
        raise InputError(
            "own medium lacks a number" if value is None else "not in range",
            where=f"{path}: {key}",
            value="nothing" if value is None else value,
            allowed=f"{low:g} to {high:g}",
        )
    return str(float(value))
