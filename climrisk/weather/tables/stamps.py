"""Time stamps of a table: their format and the order of day and month."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.core import references
from climrisk.core.errors import InputError
from climrisk.weather.tables import digits

if TYPE_CHECKING:
    import pandas as pd

DateOrder = Literal["dmy", "mdy", "ymd"]
Int = NDArray[np.integer]
Lengths = NDArray[np.uint8]
Halves = NDArray[np.int8]
Stamps = NDArray[np.datetime64]

_ZONE = re.compile(r"\b(?:utc|gmt)\s?(?:([+-])(\d{1,2})(?::?(\d{2}))?)?", re.I)
_OFFSET = re.compile(r"\d(Z|[+-]\d{2}:?\d{2})\s*$")
_MONTHS = (
    *("jan", "feb", "mar", "apr", "may", "jun"),
    *("jul", "aug", "sep", "oct", "nov", "dec"),
)
_MONTH_NAME = re.compile(r"[-/. ]?\s*\b(" + "|".join(_MONTHS) + r")[a-z]*\b\.?", re.I)
_HALF_DAY = re.compile(r"\b[ap]\.?\s?m\b", re.I)
#: Day 0 of spreadsheets.
_SERIAL_ZERO = np.datetime64("1899-12-30", "s")


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

    stamps: Stamps
    utc: bool
    order: str = field(default="")

    def notes(self, unread: int) -> list[str]:
        """Return what a reader must know."""
        out = [f"dates read as {self.order}"] if self.order else []
        if unread:
            out.append(f"{unread:,} rows without a readable time left out")
        return out


def read_stamps(
    parts: list[pd.Series],
    header: list[str],
    order: DateOrder | None,
    path: Path,
) -> Stamped:
    """Return the stamps of a table.

    Parameters
    ----------
    parts : list of Series of str
        One column with date and time, or a column of each.
    header : list of str
        Their names in the header.
    order : {"dmy", "mdy", "ymd"} or None
        As the user says.
    path : Path
        For messages.

    Raises
    ------
    InputError
        Dates that could be either order, or none that is understood.
    """
    sample = [str(t).strip() for t in parts[0].iloc[:40] if str(t).strip()]
    first = sample[0] if sample else ""
    if len(parts) == 1:
        if re.fullmatch(r"1\d{9}(\d{3})?(\.0+)?", first):
            return _unix(parts[0], len(first.split(".")[0]) == 13)
        if re.fullmatch(r"[2-5]\d{4}([.,]\d+)?", first):
            return _serial(parts[0])
        if _OFFSET.search(first) and ":" in first and re.match(r"\d{4}", first):
            return _with_offset(parts[0])
    said = _offset_in(header)
    values, lengths, late = _numbers(parts)
    known, words = _order(values, lengths, order, first, path)
    date = _dates(values, lengths, known)
    stamps = _moments(date, values, lengths, late)
    if said is not None:
        stamps = stamps - np.timedelta64(said, "m")
    return Stamped(stamps, said is not None, words)


def _offset_in(header: list[str]) -> int | None:
    """Return the minutes from UTC that a header states, as in GMT+01:00."""
    for name in header:
        match = _ZONE.search(name)
        if match:
            minutes = int(match[2] or 0) * 60 + int(match[3] or 0)
            return -minutes if match[1] == "-" else minutes
    return None


def _unix(text: pd.Series, milliseconds: bool) -> Stamped:  # noqa: FBT001
    import pandas as pd

    numbers = pd.to_numeric(text, errors="coerce").to_numpy(float)
    seconds = numbers / 1000 if milliseconds else numbers
    return Stamped(_since(np.datetime64(0, "s"), seconds), utc=True)


def _serial(text: pd.Series) -> Stamped:
    """Return days since 1899-12-30, as spreadsheets count them."""
    import pandas as pd

    plain = text.str.replace(",", ".", regex=False)
    days = pd.to_numeric(plain, errors="coerce").to_numpy(float)
    return Stamped(_since(_SERIAL_ZERO, days * 86_400), utc=False)


def _since(zero: np.datetime64, seconds: NDArray[np.floating]) -> Stamps:
    stamps = np.full(len(seconds), np.datetime64("NaT", "s"), dtype="datetime64[s]")
    # Years 1900 to 2200, whatever else the column holds.
    good = np.isfinite(seconds) & (np.abs(seconds) < 1e10)
    stamps[good] = zero + np.round(seconds[good]).astype("timedelta64[s]")
    return stamps


def _with_offset(text: pd.Series) -> Stamped:
    import pandas as pd

    moments = pd.to_datetime(text, utc=True, errors="coerce", format="ISO8601")
    naive = moments.dt.tz_localize(None).to_numpy("datetime64[s]")
    return Stamped(np.asarray(naive), utc=True)


def _numbers(parts: list[pd.Series]) -> tuple[Int, Lengths, Halves]:
    """Return the numbers of date and time, their digits, and the half of the day.

    The half is 0 where the clock has 24 hours, 1 before noon, 2 after it.
    """
    columns = []
    for part in parts:
        text = part
        if any(_MONTH_NAME.search(str(t)) for t in part.iloc[:40]):
            text = _numbered_months(part)
        columns.append(np.asarray(text.to_numpy(), dtype=np.str_))
    samples = [
        " ".join(str(c[i]) for c in columns) for i in range(min(40, len(parts[0])))
    ]
    half_days = any(_HALF_DAY.search(t) for t in samples)
    if len(columns) == 2 and not _dated_first(columns):
        columns.reverse()
    n = len(parts[0])
    # Only a date and time in one number needs the room of 64 bits.
    packed = any(re.search(r"\d{9}", str(t)) for t in columns[0][:40])
    values = np.zeros((n, digits.MOST_FIELDS), np.int64 if packed else np.int32)
    lengths = np.zeros((n, digits.MOST_FIELDS), np.uint8)
    half = np.zeros(n, np.int8)
    for rows in digits.chunks(n):
        pieces = [digits.characters(c[rows]) for c in columns]
        if len(pieces) == 2:
            space = np.full((len(pieces[0]), 1), ord(" "), np.uint8)
            pieces = [pieces[0], space, pieces[1]]
        chars = np.concatenate(pieces, axis=1)
        values[rows], lengths[rows] = digits.fields(chars)
        if half_days:
            late, early = digits.contains(chars, "pP"), digits.contains(chars, "aA")
            half[rows] = np.where(late, 2, np.where(early, 1, 0))
    return values, lengths, half


def _numbered_months(text: pd.Series) -> pd.Series:
    """Return dates with the English names of months as numbers."""

    def number(match: re.Match[str]) -> str:
        return f"/{_MONTHS.index(match[1][:3].lower()) + 1}/"

    return text.str.replace(_MONTH_NAME, number, regex=True)


def _dated_first(columns: list[NDArray[np.str_]]) -> bool:
    def dated(column: NDArray[np.str_]) -> int:
        pattern = r"\d+[-/.]\s?\d+[-/.]\s?\d+|^\s*(19|20)\d{6}\s*$"
        return sum(bool(re.search(pattern, str(t))) for t in column[:40])

    return dated(columns[0]) >= dated(columns[1])


def _order(
    values: Int, lengths: Lengths, order: DateOrder | None, first: str, path: Path
) -> tuple[DateOrder, str]:
    """Return the order of day and month, proved from the data where it can be."""
    used = lengths[:, 0] > 0
    if not used.any():
        raise _not_understood(first, path)
    leading = lengths[used, 0]
    if (leading >= 4).mean() > 0.5:
        return "ymd", ""
    whole = used & (lengths[:, 2] > 0)
    if not whole.any():
        raise _not_understood(first, path)
    # A few damaged rows prove nothing.
    most = max(1, int(0.001 * whole.sum()))
    day_first = int((values[whole, 0] > 12).sum()) >= most
    month_first = int((values[whole, 1] > 12).sum()) >= most
    if day_first and not month_first:
        _agrees(order, "dmy", path)
        return "dmy", "day first (proved by days above 12)"
    if month_first and not day_first:
        _agrees(order, "mdy", path)
        return "mdy", "month first (proved by days above 12)"
    if order is not None:
        words = {"dmy": "day first", "mdy": "month first", "ymd": "year first"}
        return order, f"{words[order]} (as told)"
    if day_first and month_first and (values[whole, 0] > 31).any():
        return "ymd", "year first (proved by numbers above 31)"
    raise InputError(
        "the dates could be day first or month first",
        where=str(path),
        value=first,
        allowed=" or ".join(references.field("date_order", o) for o in ("dmy", "mdy")),
        next_step="say which",
    )


def _not_understood(first: str, path: Path) -> InputError:
    return InputError(
        "dates not understood",
        where=str(path),
        value=first or None,
        allowed="2021-03-28 14:00, 28.3.2021 14:00, 3/28/2021 2:00 PM and the like",
    )


def _agrees(requested: DateOrder | None, proved: DateOrder, path: Path) -> None:
    if requested is not None and requested != proved:
        raise InputError(
            f"the dates contradict {references.field('date_order')}",
            where=str(path),
            value=requested,
            allowed=proved,
        )


def _below_eight(lengths: Lengths) -> Int:
    """Return the power of ten of the digits after the eighth of the first number."""
    extra = np.clip(lengths[:, 0].astype(np.int64) - 8, 0, 10)
    return np.asarray(10**extra)


@dataclass(frozen=True)
class _Date:
    year: Int
    month: Int
    day: Int
    clock_at: int
    compact: bool


def _dates(values: Int, lengths: Lengths, order: DateOrder) -> _Date:
    one, two, three = values[:, 0], values[:, 1], values[:, 2]
    if order == "ymd" and np.median(lengths[:, 0]) >= 8:
        # 20210328, or 202103281405 and 20210328140500 in one.
        date = one // _below_eight(lengths)
        return _Date(date // 10_000, date // 100 % 100, date % 100, 1, compact=True)
    parts: dict[str, tuple[Int, Int, Int]] = {
        "ymd": (one, two, three),
        "dmy": (three, two, one),
        "mdy": (three, one, two),
    }
    year, month, day = parts[order]
    century = np.where(year < 70, 2000, 1900)
    full = np.where(year < 100, year + century, year)
    return _Date(full, month, day, 3, compact=False)


def _moments(
    date: _Date, values: Int, lengths: Lengths, half: NDArray[np.int8]
) -> Stamps:
    at = date.clock_at
    hour, minute, second = (values[:, at + i].copy() for i in range(3))
    if date.compact:
        rest = values[:, 0] % _below_eight(lengths)
        inside = lengths[:, 0] > 8
        apart = ~inside & (lengths[:, at] >= 4)
        packed = np.where(inside, rest, values[:, at])
        width = np.where(inside, lengths[:, 0].astype(int) - 8, lengths[:, at])
        joined = inside | apart
        packed = np.where(width <= 4, packed * 100, packed)
        hour = np.where(joined, packed // 10_000, hour)
        minute = np.where(joined, packed // 100 % 100, minute)
        second = np.where(joined, packed % 100, second)
    noon = (half > 0) & (hour == 12)
    hour = np.where(noon, 0, hour) + np.where((half == 2) & (hour <= 12), 12, 0)
    out = digits.seconds(date.year, date.month, date.day, (hour, minute, second))
    out[(lengths[:, 0] == 0)] = np.datetime64("NaT", "s")
    if not date.compact:
        odd = (lengths[:, 2] == 0) | (lengths[:, :6] > 4).any(axis=1)
        out[odd] = np.datetime64("NaT", "s")
    return out
