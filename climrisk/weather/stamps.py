"""Time stamps of a table: their format and the order of day and month."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.errors import InputError

if TYPE_CHECKING:
    import pandas as pd

DateOrder = Literal["dmy", "mdy", "ymd"]

_DATE = re.compile(r"(\d{1,4})([-/.])(\d{1,2})[-/.](\d{1,4})")
_OFFSET = re.compile(r"(Z|[+-]\d{2}:?\d{2})\s*$")


@dataclass(frozen=True)
class Stamped:
    """Stamps as read.

    Parameters
    ----------
    stamps : ndarray of datetime64[s], shape (row,)
        NaT where a row's stamp could not be read.
    utc : bool
        They carried an offset, or were Unix seconds.
    order : str
        How dates were read, in words; "" where nothing was open.
    """

    stamps: NDArray[np.datetime64]
    utc: bool
    order: str = field(default="")

    def notes(self, unread: int) -> list[str]:
        """Return what a reader must know."""
        out = [f"dates read as {self.order}"] if self.order else []
        if unread:
            out.append(f"{unread:,} rows without a readable time left aside")
        return out


def read_stamps(
    parts: list[pd.Series],
    header: list[str],
    columns: list[int],
    order: DateOrder | None,
    path: Path,
) -> Stamped:
    """Return the stamps of a table.

    Parameters
    ----------
    parts : list of Series of str
        One column with date and time, or a column of each.
    header : list of str
    columns : list of int
        Their places, for the names in the header.
    order : {"dmy", "mdy", "ymd"} or None
        As the user says.
    path : Path
        For messages.

    Raises
    ------
    InputError
        Dates that could be either order.
    """
    text = parts[0].str.strip()
    if len(parts) == 2:
        text = _joined(text, parts[1].str.strip())
    first = next((t for t in text if t), "")
    if re.fullmatch(r"1\d{9}(\d{3})?", first):
        return _unix(text, len(first) == 13)
    if _OFFSET.search(first) and ":" in first and re.match(r"\d{4}", first):
        return _with_offset(text)
    said_utc = any(
        re.search(r"\b(utc|gmt)\b(?![+-])", header[i], re.I) for i in columns
    )
    known, words = _order(text, order, path)
    stamps = _parsed(text, known)
    return Stamped(stamps, said_utc, words)


def _joined(one: pd.Series, two: pd.Series) -> pd.Series:
    """Return date and time in one column, whichever came first."""
    dated = any(_DATE.search(text) for text in one.iloc[:20])
    return one + " " + two if dated else two + " " + one


def _unix(text: pd.Series, milliseconds: bool) -> Stamped:  # noqa: FBT001
    import pandas as pd

    numbers = pd.to_numeric(text, errors="coerce").to_numpy(float)
    seconds = numbers / 1000 if milliseconds else numbers
    stamps = np.full(len(seconds), np.datetime64("NaT"), dtype="datetime64[s]")
    good = np.isfinite(seconds)
    stamps[good] = seconds[good].astype(np.int64).astype("datetime64[s]")
    return Stamped(stamps, utc=True)


def _with_offset(text: pd.Series) -> Stamped:
    import pandas as pd

    moments = pd.to_datetime(text, utc=True, errors="coerce", format="ISO8601")
    naive = moments.dt.tz_localize(None).to_numpy("datetime64[s]")
    return Stamped(np.asarray(naive), utc=True)


def _order(
    text: pd.Series, order: DateOrder | None, path: Path
) -> tuple[DateOrder, str]:
    """Return the order of day and month, proved from the data where it can be."""
    fields = text.str.extract(_DATE.pattern)
    fields = fields.dropna()
    if fields.empty:
        raise InputError(
            "dates not understood",
            where=str(path),
            value=text.iloc[0] if len(text) else None,
            allowed="2021-03-28 14:00, 28.3.2021 14:00, 3/28/2021 2:00 PM and the like",
        )
    if (fields[0].str.len() == 4).all():
        return "ymd", ""
    one = fields[0].astype(int).to_numpy()
    two = fields[2].astype(int).to_numpy()
    day_first, month_first = bool((one > 12).any()), bool((two > 12).any())
    if day_first and not month_first:
        _agrees(order, "dmy", path)
        return "dmy", "day first (proved by days above 12)"
    if month_first and not day_first:
        _agrees(order, "mdy", path)
        return "mdy", "month first (proved by days above 12)"
    if order in ("dmy", "mdy"):
        return order, f"{'day' if order == 'dmy' else 'month'} first (as told)"
    raise InputError(
        "the dates could be day first or month first",
        where=str(path),
        value=text.iloc[0],
        allowed="--date-order dmy or --date-order mdy",
        next_step="say which",
    )


def _agrees(asked: DateOrder | None, proved: DateOrder, path: Path) -> None:
    if asked is not None and asked != proved:
        raise InputError(
            "the dates contradict --date-order",
            where=str(path),
            value=asked,
            allowed=proved,
        )


def _parsed(text: pd.Series, order: DateOrder) -> NDArray[np.datetime64]:
    import pandas as pd

    mark = next((m[2] for t in text if (m := _DATE.search(t))), "-")
    short = next((len(m[4]) <= 2 for t in text if (m := _DATE.search(t))), False)
    year = "%y" if short and order != "ymd" else "%Y"
    date = {
        "ymd": f"%Y{mark}%m{mark}%d",
        "dmy": f"%d{mark}%m{mark}{year}",
        "mdy": f"%m{mark}%d{mark}{year}",
    }[order]
    plain = text.str.replace("T", " ", regex=False).str.replace(r"\s+", " ", regex=True)
    plain = plain.str.replace(r"(?i)\b([ap])\.?m\.?", r"\1m", regex=True)
    sample = next((t for t in plain if t), "")
    clock = "%I:%M" if re.search(r"[ap]m\b", sample, re.I) else "%H:%M"
    if re.search(r":\d{2}:\d{2}\.\d", sample):
        clock += ":%S.%f"
    elif re.search(r":\d{2}:\d{2}", sample):
        clock += ":%S"
    if clock.startswith("%I"):
        clock += " %p"
    shape = f"{date} {clock}" if ":" in sample else date
    stamps = pd.to_datetime(plain, format=shape, errors="coerce")
    return np.asarray(stamps.to_numpy("datetime64[s]"))
