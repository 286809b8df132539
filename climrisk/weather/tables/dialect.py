"""How a table is written: delimiter, decimal mark, where its rows begin."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from climrisk.core.errors import InputError

#: Lines that are looked at to tell how a table is written.
HEAD_LINES = 80
_DELIMITERS = (";", "\t", "|", ",")
#: Columns set apart by spaces: two or more, or one before a lone number.
SPACES = r"[ \t]{2,}|\t| (?=[-+]?\d+(?:[.,]\d+)?(?:[ \t]|$))"
_NUMBER = re.compile(r"\s*[-+−]?\d+([.,]\d+)?\s*°?\s*[CFcf%]?\s*")
_DATE = re.compile(
    r"\d{1,4}[-/.]\s?(\d{1,2}|[A-Za-z]{3,9})[-/.]\s?\d{1,4}"
    r"|\d{1,2} [A-Za-z]{3,9} \d{2,4}"
)
_UNIX = re.compile(r"\s*1\d{9}(\d{3})?(\.0+)?\s*")


@dataclass(frozen=True)
class Dialect:
    """How a table is written.

    Parameters
    ----------
    delimiter : str
        One character, or a regular expression for columns set apart by spaces.
    decimal : {".", ","}
    thousands : str or None
    start : int
        Index of the first line with readings.
    header : tuple of str
        Names of the columns, "" where there are none.
    """

    delimiter: str
    decimal: str
    thousands: str | None
    start: int
    header: tuple[str, ...]

    @property
    def width(self) -> int:
        """Number of columns."""
        return len(self.header)


def dialect_of(lines: list[str], path: Path) -> Dialect:
    """Return how a table is written, told from its first lines.

    Raises
    ------
    InputError
        No table of readings among the lines.
    """
    delimiter = _delimiter(lines)
    rows = [split(line, delimiter) for line in lines[:HEAD_LINES]]
    width = max((len(r) for r in rows), default=0)
    start = next(
        (
            i
            for i, r in enumerate(rows)
            if len(r) >= max(2, width - 1) and has_numbers(r)
        ),
        None,
    )
    if start is None or width < 2:
        raise InputError(
            "no table of readings found",
            where=str(path),
            value=lines[0][:60] if lines else None,
            allowed="a time column and a temperature column, separated by , ; tab or |",
        )
    decimal, thousands = _marks(rows[start:], delimiter)
    width = max(len(r) for r in rows[start:])
    header = tuple(_header(rows, start, width))
    return Dialect(delimiter, decimal, thousands, start, header)


def split(line: str, delimiter: str) -> list[str]:
    """Return the fields of one line."""
    if delimiter == SPACES:
        return re.split(SPACES, line.strip())
    try:
        return next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
    except csv.Error:
        return []


def _delimiter(lines: list[str]) -> str:
    """Return the delimiter that splits the lines most evenly into fields."""
    sample = [line for line in lines[:HEAD_LINES] if line.strip()]
    best, score = "", 0.0
    for mark in _DELIMITERS:
        counts = [len(split(line, mark)) - 1 for line in sample]
        usual = int(np.median(counts)) if counts else 0
        even = sum(c == usual for c in counts) / len(counts) if counts else 0
        if usual >= 1 and even * min(usual, 3) > score and even > 0.5:
            # A decimal comma also splits evenly, so the rarer marks are tried first.
            best, score = mark, even * min(usual, 3) + (1.0 if mark != "," else 0.0)
    if not best:
        counts = [len(re.split(SPACES, line.strip())) for line in sample]
        if counts and np.median(counts) >= 2:
            return SPACES
    return best or ","


def has_numbers(row: list[str]) -> bool:
    """Tell a row of readings from one of names."""
    numeric = sum(bool(_NUMBER.fullmatch(cell)) for cell in row)
    when = [bool(_DATE.search(c) or _UNIX.fullmatch(c)) for c in row]
    compact = any(re.match(r"\s*(19|20)\d{6}([ T]?\d{4,6})?\s*$", c) for c in row)
    named = sum(
        bool(re.search(r"[A-Za-z]{4,}", c))
        for c, dated in zip(row, when, strict=True)
        if not dated
    )
    return (any(when) and named < len(row) - 1) or compact or numeric >= 2


def _marks(rows: list[list[str]], delimiter: str) -> tuple[str, str | None]:
    """Return decimal and thousands marks, told from the readings."""
    cells = [c.strip() for r in rows for c in r if not _DATE.search(c) and ":" not in c]
    if any(re.fullmatch(r"[-+]?\d{1,3}(\.\d{3})+,\d+", c) for c in cells):
        return ",", "."
    if any(re.fullmatch(r"[-+]?\d{1,3}(,\d{3})+\.\d+", c) for c in cells):
        return ".", ","
    comma = sum(bool(re.match(r"[-+]?\d+,\d{1,3}(\D|$)", c)) for c in cells)
    point = sum(bool(re.match(r"[-+]?\d+\.\d+(\D|$)", c)) for c in cells)
    if comma > point and (delimiter != "," or comma):
        return ",", None
    return ".", None


def _header(rows: list[list[str]], start: int, width: int) -> list[str]:
    for row in reversed(rows[:start]):
        if len(row) >= 2 and any(re.search(r"[A-Za-z°%]", c) for c in row):
            names = [c.strip().strip('"') for c in row[:width]]
            return names + [""] * (width - len(names))
    return [""] * width
