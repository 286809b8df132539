"""Running means of hourly values with gaps."""

from __future__ import annotations

import numpy as np

from climrisk.core.arrays import Float
from climrisk.core.chunked import is_known

#: Longest run of unknown hours that a mean bridges, as a share.
_COVERAGE = 0.8


def running_mean(x: Float, hours: int, *, center: bool) -> Float:
    """Return the mean of the known hours of a window, shape (time, case).

    NaN where less than 80 % of the window is known. At the record's ends the window
    is what there is of it.
    """
    half = hours // 2 if center else 0
    x = np.asarray(x, np.float32)
    if is_known(x):
        whole = np.minimum(np.arange(len(x)) + 1 + half, len(x))
        whole = whole - np.maximum(np.arange(len(x)) + 1 + half - hours, 0)
        out = _window_sum(x, hours, half)
        out /= whole[:, None].astype(np.float32)
        return out
    known = np.isfinite(x)
    # Cases share their gaps more often than not: then they are counted once.
    if (known == known[:, :1]).all():
        known = known[:, :1]
    total = _window_sum(np.where(known, x, np.float32(0)), hours, half)
    n = _window_sum(known.astype(np.float32), hours, half)
    end = np.arange(len(x)) + 1 + half
    width = np.minimum(end, len(x)) - np.maximum(end - hours, 0)
    enough = n >= _COVERAGE * width[:, None]
    total /= np.maximum(n, 1)
    if not enough.all():
        total = np.where(enough, total, np.float32(np.nan))
    return total


def _window_sum(x: Float, hours: int, ahead: int) -> Float:
    """Return sums over `hours` rows that end `ahead` rows later; outside is zero.

    By doubling: sums of 1, 2, 4, ... rows are added up to the window's length, which
    is faster than a running sum and does not gather its rounding.
    """
    if ahead:
        x = np.concatenate([x, np.zeros((ahead, x.shape[1]), x.dtype)])
    power, length = x, 1
    out: Float | None = None
    while True:
        if hours & length:
            out = power if out is None else _joined(power, out, length)
        length *= 2
        if length > hours:
            break
        power = _joined(power, power, length // 2)
    assert out is not None
    return out[ahead:]


def _joined(late: Float, early: Float, shift: int) -> Float:
    out = np.empty_like(late)
    out[:shift] = late[:shift]
    np.add(late[shift:], early[:-shift], out=out[shift:])
    return out
