"""Which cell of a typical year is wrong: looked for only where reading failed."""

from __future__ import annotations

import csv
import re
import warnings
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from climrisk.core.errors import InputError

_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)
_UNKNOWN = ("", "nan", "na", "n/a", "null", "none")
#: Cells of an EPW row at most, its data from line 9 on, and the cells that are read.
_EPW_CELLS, _EPW_FIRST = 35, 9
_EPW = {
    6: "dry bulb temperature",
    7: "dew point temperature",
    8: "relative humidity",
    13: "global horizontal radiation",
    21: "wind speed",
    22: "total sky cover",
}
_TMY3 = (
    *("Dry-bulb (C)", "Dew-point (C)", "RHum (%)"),
    *("Wspd (m/s)", "TotCld (tenths)", "GHI (W/m^2)"),
)
#: Places in a row of TMY2, from 0.
_TMY2 = {
    "global horizontal radiation": (17, 21),
    "total sky cover": (59, 61),
    "dry bulb temperature": (67, 71),
    "dew point temperature": (73, 77),
    "relative humidity": (79, 82),
    "wind speed": (95, 98),
}
_TMY2_DATE = {"month": (3, 5, 12), "day": (5, 7, 31), "hour": (7, 9, 24)}


@dataclass(frozen=True)
class TableCell:
    """A cell of a table.

    Parameters
    ----------
    line : int
        Of the file, from 1.
    column : str
    text : str
    most : int, optional
        Of a part of a date, which must be there and counts from 1.
    """

    line: int
    column: str
    text: str
    most: int | None = None

    @property
    def fault(self) -> str:
        """What would be right, or nothing if it is."""
        text = self.text.strip()
        if self.most is not None:
            whole = re.fullmatch(r"\d{1,4}", text, re.ASCII)
            right = whole is not None and 1 <= int(text) <= self.most
            return "" if right else f"a whole number from 1 to {self.most}"
        right = text.lower() in _UNKNOWN or _NUMBER.fullmatch(text) is not None
        return "" if right else "a number"


@contextmanager
def explained(path: Path, kind: str, cells: Iterable[TableCell]) -> Iterator[None]:
    """Turn whatever a reader makes of a broken file into an error that names the cell.

    Parameters
    ----------
    path : Path
    kind : str
    cells : iterable of TableCell
        Those that are read, in order; looked at only after a failure.

    Raises
    ------
    InputError
    """
    try:
        with warnings.catch_warnings():
            # The readers' own housekeeping; what they read is checked here.
            warnings.simplefilter("ignore")
            yield
    except InputError:
        raise
    except Exception as error:
        for cell in cells:
            if allowed := cell.fault:
                raise InputError(
                    f"a cell of this {kind} file cannot be read",
                    where=f"{path}, line {cell.line}, column {cell.column}",
                    value=cell.text.strip() or "empty",
                    allowed=allowed,
                    next_step="correct the cell, or download the file again",
                ) from error
        raise InputError(
            f"the file begins like {kind} but cannot be read",
            where=str(path),
            value=str(error),
            next_step="download it again or give another file",
        ) from error


def epw_cells(text: str) -> Iterator[TableCell]:
    """Yield the cells of an EPW file that are read."""
    head = next((row for _, row in _rows(text, 1)), []) + [""] * 10
    for place, name in enumerate(("latitude", "longitude", "time zone", "height"), 6):
        yield TableCell(1, name, head[place] or "nothing")
    for line, row in _rows(text, _EPW_FIRST):
        row += [""] * (max(_EPW) + 1 - len(row))
        yield TableCell(line, "year", row[0], 9999)
        yield TableCell(line, "month", row[1], 12)
        yield TableCell(line, "day", row[2], 31)
        yield TableCell(line, "hour", row[3], 24)
        for place, name in _EPW.items():
            yield TableCell(line, name, row[place])
        if len(row) > _EPW_CELLS:
            yield TableCell(
                line, f"{_EPW_CELLS + 1}", "more cells than other rows have"
            )


def tmy3_cells(text: str) -> Iterator[TableCell]:
    """Yield the cells of a TMY3 file that are read."""
    header = next((row for _, row in _rows(text, 2)), [])
    for line, row in _rows(text, 3):
        row += [""] * (len(header) - len(row))
        month, _, rest = row[0].partition("/")
        yield TableCell(line, "Date (MM/DD/YYYY)", month, 12)
        yield TableCell(line, "Date (MM/DD/YYYY)", rest.partition("/")[0], 31)
        yield TableCell(line, "Time (HH:MM)", row[1].partition(":")[0], 24)
        for name in _TMY3:
            if name in header:
                yield TableCell(line, name, row[header.index(name)])


def tmy2_cells(text: str) -> Iterator[TableCell]:
    """Yield the cells of a TMY2 file that are read."""
    for line, row in enumerate(text.splitlines()[1:], 2):
        for name, (start, stop, most) in _TMY2_DATE.items():
            yield TableCell(line, name, row[start:stop], most)
        for name, (start, stop) in _TMY2.items():
            yield TableCell(line, name, row[start:stop] or "nothing")


def _rows(text: str, first: int) -> Iterator[tuple[int, list[str]]]:
    """Yield the numbers and cells of rows from a line on; blank ones are left out."""
    lines = text.splitlines()
    for number, line in enumerate(lines[first - 1 :], first):
        if line.strip():
            # A quote that is never closed ends with its line.
            yield number, next(csv.reader([line]))
