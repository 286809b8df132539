"""Rows of a table: stamps as text, readings as numbers, quickly and in little room."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from climrisk.core.arrays import Float
from climrisk.core.errors import InputError
from climrisk.weather.tables.dialect import SPACES, Dialect

if TYPE_CHECKING:
    import pandas as pd


#: Values that loggers write for "no reading".
SENTINELS = (-9999.0, -999.0, -99.9, -99.0, 999.9, 9999.0)
#: Text that stands for "no reading"; any other text is counted as well.
_EMPTY = ("", "-", "--", "---", "----", "n/a", "N/A", "na", "NA", "nan", "NaN", "null")


@dataclass(frozen=True)
class TableRows:
    """Rows of a table.

    Parameters
    ----------
    text : dict of int to Series of str
        Columns kept as text, by their place.
    numbers : dict of int to ndarray
        Columns read as numbers; NaN where there was none.
    skipped : int
        Lines with another number of fields, left aside.
    """

    text: dict[int, pd.Series]
    numbers: dict[int, Float]
    skipped: int

    def __len__(self) -> int:
        return len(next(iter(self.text.values())))


def read_rows(
    path: Path,
    body: str,
    dialect: Dialect,
    text: Sequence[int],
    numbers: Sequence[int],
) -> TableRows:
    """Return the wanted columns of a table.

    Parameters
    ----------
    path : Path
        For messages.
    body : str
        The whole file.
    dialect : Dialect
    text, numbers : sequence of int
        Places of the columns wanted as text and as numbers.

    Raises
    ------
    InputError
        The lines make no table.
    """
    import pandas as pd

    delimiter = dialect.delimiter
    if '"' in body:
        body = _closed_quotes(body)
    if delimiter == SPACES:
        body = re.sub(r"^[ \t]+", "", body, flags=re.M)
        body, delimiter = re.sub(SPACES, "\t", body, flags=re.M), "\t"
    read = partial(
        pd.read_csv,
        sep=delimiter,
        header=None,
        names=range(dialect.width),
        usecols=sorted({*text, *numbers}),
        dtype=dict.fromkeys(text, str),
        skiprows=dialect.start,
        skip_blank_lines=True,
        keep_default_na=False,
        na_values={i: list(_EMPTY) for i in numbers},
        skipinitialspace=True,
        on_bad_lines="skip",
        decimal=dialect.decimal,
        thousands=dialect.thousands,
        index_col=False,
        low_memory=False,
    )
    try:
        # As bytes: text held as text takes four times the room.
        frame = read(io.BytesIO(body.encode("utf-8", "replace")))
    except (pd.errors.ParserError, pd.errors.EmptyDataError, ValueError) as error:
        raise InputError(
            "the table could not be read",
            where=str(path),
            value=" ".join(str(error).split())[:120],
            next_step="look for damaged lines in the file",
        ) from error
    lines = body.count("\n") + (not body.endswith("\n"))
    blank = body.count("\n\n") + body.count("\n\r\n")
    return TableRows(
        {i: frame[i].fillna("") for i in text},
        {i: _numbers(frame[i], dialect) for i in numbers},
        max(0, lines - blank - dialect.start - len(frame)),
    )


def _closed_quotes(body: str) -> str:
    """Return a table without quotes that open and never close on their line.

    No logger breaks a line inside a field; an open quote would swallow what follows.
    """
    return "\n".join(
        line.replace('"', "") if line.count('"') % 2 else line
        for line in body.split("\n")
    )


def _numbers(column: pd.Series, dialect: Dialect) -> Float:
    """Return a column as numbers; units behind them are dropped, text is missing."""
    import pandas as pd

    if not pd.api.types.is_numeric_dtype(column):
        plain = column.astype(str).str.strip()
        plain = plain.str.replace(r"\s*(°?\s?[CF]|%)$", "", regex=True)
        plain = plain.str.replace("−", "-", regex=False)
        if dialect.thousands:
            plain = plain.str.replace(dialect.thousands, "", regex=False)
        if dialect.decimal == ",":
            plain = plain.str.replace(",", ".", regex=False)
        column = pd.to_numeric(plain, errors="coerce")
    numbers = column.to_numpy(float, copy=True)
    numbers[np.isin(numbers, SENTINELS)] = np.nan
    return np.asarray(numbers)
