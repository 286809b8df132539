"""Numbers inside many short texts at once: the way to millions of time stamps."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Bool

Int = NDArray[np.integer]
Chars = NDArray[np.uint8]

#: No time stamp is longer, nor has more numbers.
MOST_CHARACTERS, MOST_FIELDS = 40, 7
_CHUNK = 200_000


def characters(text: NDArray[np.str_]) -> Chars:
    """Return texts as characters, shape (text, character); zero fills the end.

    Characters beyond Latin-1 become ``?``; texts are cut after 40 characters.
    """
    width = min(max(text.dtype.itemsize // 4, 1), MOST_CHARACTERS)
    cut = np.ascontiguousarray(text.astype(f"U{width}"))
    codes = cut.view(np.uint32).reshape(len(text), width)
    return np.where(codes > 255, ord("?"), codes).astype(np.uint8)


def chunks(length: int) -> Iterator[slice]:
    """Yield slices that keep the temporaries of a long table small."""
    for start in range(0, length, _CHUNK):
        yield slice(start, min(start + _CHUNK, length))


def fields(chars: Chars) -> tuple[Int, Chars]:
    """Return the numbers of each text and how many digits they have.

    Parameters
    ----------
    chars : ndarray of uint8, shape (text, character)

    Returns
    -------
    values, lengths : ndarray of int, shape (text, 7)
        The first seven runs of digits; length 0 where there are fewer.
    """
    n, width = chars.shape
    digit = (chars >= 48) & (chars <= 57)
    values = np.zeros((n, MOST_FIELDS), np.int64)
    lengths = np.zeros((n, MOST_FIELDS), np.uint8)
    if n and (digit == digit[0]).all():
        _uniform(chars, digit[0], values, lengths)
        return values, lengths
    at = np.full(n, -1)
    before = np.zeros(n, dtype=bool)
    for j in range(width):
        now = digit[:, j]
        at += now & ~before
        rows = np.flatnonzero(now & (at < MOST_FIELDS))
        place = at[rows]
        values[rows, place] = values[rows, place] * 10 + (chars[rows, j] - 48)
        lengths[rows, place] += 1
        before = now
    return values, lengths


def _uniform(
    chars: Chars, digit: NDArray[np.bool_], values: Int, lengths: Chars
) -> None:
    """Fill the numbers of texts whose digits stand in the same places."""
    at, before = -1, False
    for j, now in enumerate(digit):
        if now:
            at += not before
            if at >= MOST_FIELDS:
                return
            values[:, at] = values[:, at] * 10 + (chars[:, j] - 48)
            lengths[:, at] += 1
        before = bool(now)


def contains(chars: Chars, letters: str) -> Bool:
    """Return which texts hold any of some letters."""
    out = np.zeros(len(chars), dtype=bool)
    for letter in letters:
        out |= (chars == ord(letter)).any(axis=1)
    return out


def seconds(
    year: Int, month: Int, day: Int, clock: tuple[Int, Int, Int]
) -> NDArray[np.datetime64]:
    """Return moments, NaT where a date or time of day does not exist.

    24:00 is the next day's midnight.
    """
    hour, minute, second = clock
    good = (month >= 1) & (month <= 12) & (day >= 1) & (day <= 31)
    good &= (year >= 1800) & (year <= 2200)
    good &= (minute <= 59) & (second <= 59)
    good &= (hour <= 23) | ((hour == 24) & (minute == 0) & (second == 0))
    months = (
        (np.where(good, year, 2000).astype(np.int64) - 1970) * 12
        + np.where(good, month, 1)
        - 1
    )
    first = months.astype("datetime64[M]").astype("datetime64[D]").astype(np.int64)
    following = (months + 1).astype("datetime64[M]").astype("datetime64[D]")
    good &= day <= following.astype(np.int64) - first
    total = (first + day - 1) * 86_400
    total += (hour * 60 + minute) * 60 + second
    out = np.where(good, total, 0).astype("datetime64[s]")
    out[~good] = np.datetime64("NaT", "s")
    return out
