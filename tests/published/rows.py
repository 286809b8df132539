"""Rows of check_values.csv: published or exact values with their sources."""

from __future__ import annotations

import csv
from pathlib import Path

ROWS = {
    row["id"]: row
    for row in csv.DictReader(Path(__file__).with_name("check_values.csv").open())
}


def inputs(key: str) -> dict[str, float]:
    """Return the numeric inputs of a row."""
    out = {}
    for part in ROWS[key]["inputs"].split(";"):
        name, _, value = part.partition("=")
        try:
            out[name] = float(value)
        except ValueError:
            continue
    return out


def expected(key: str) -> float:
    """Return the expected value of a row."""
    return float(ROWS[key]["expected"])
