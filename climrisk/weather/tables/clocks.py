"""What clock a logger kept, and its stamps in UTC."""

from __future__ import annotations

from datetime import datetime
from typing import Any, Literal
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from climrisk.core.calendar import standard_offset_min
from climrisk.core.errors import InputError
from climrisk.core.references import field

Stamps = NDArray[np.datetime64]
Clock = Literal["local", "standard", "utc"]

#: A clock that is wrong by so little is assumed and said, not asked for. [min]
_LITTLE_MIN = 60
_ASSUMED = (
    ", assumed: the file does not show whether its clock changes in summer (matters by "
    f"one hour at most; {field('clock')} changes it)"
)
_ASSUMED_NO_SUMMER = f", assumed: {field('clock', 'utc')} says that the clock keeps UTC"
_ASSUMED_NOT_UTC = (
    ", assumed: the clock does not change in summer, and the file does not show "
    f"whether it is in UTC (matters by one hour at most; {field('clock')} changes it)"
)


def to_utc(
    stamps: Stamps, clock: Clock | None, zone: str, *, where: str
) -> tuple[Stamps, str]:
    """Return a logger's stamps in UTC and what was taken for its clock, in words.

    Parameters
    ----------
    stamps : ndarray of datetime64[s], shape (reading,)
        As the file shows them, in the order of the file.
    clock : {"local", "standard", "utc"} or None
        What the user says; None lets a change of summer time inside the record
        prove it. A record that shows no change is taken to keep standard time.
    zone : str
    where : str
        File, for messages.

    Raises
    ------
    InputError
        The record keeps one clock over a change of summer time, and whether that is
        standard time or UTC matters by more than an hour; or its changes contradict
        each other.
    """
    assumed = ""
    if clock is None:
        clock, assumed = _proved(stamps, zone, where)
    if clock == "utc":
        return stamps, "UTC"
    offset = standard_offset_min(zone, _year(stamps))
    if clock == "standard":
        said = f"standard time of {zone}{assumed}"
        return stamps - np.timedelta64(offset, "m"), said
    return _wall_to_utc(stamps, zone), f"wall clock of {zone} with summer time"


def _year(stamps: Stamps) -> int:
    middle: datetime = stamps[len(stamps) // 2].astype("datetime64[s]").astype(object)
    return middle.year


def changes(zone: str, first: datetime, last: datetime) -> list[tuple[datetime, int]]:
    """Return the changes of the clock between two wall times: (wall time, minutes).

    The stretch of |minutes| before the wall time does not exist where minutes are
    positive (the clock skips ahead), and comes twice where they are negative.
    """
    info = ZoneInfo(zone)
    out = []
    hours = np.arange(
        np.datetime64(first, "h") - np.timedelta64(48, "h"),
        np.datetime64(last, "h") + np.timedelta64(48, "h"),
        dtype="datetime64[h]",
    )
    previous = None
    for day in hours[::24]:
        moment = day.astype("datetime64[s]").astype(object)
        offset = _offset(info, moment)
        if previous is not None and offset != previous:
            out.append((_edge(info, moment, offset), offset - previous))
        previous = offset
    return out


def _offset(info: ZoneInfo, wall: datetime) -> int:
    delta = wall.replace(tzinfo=info).utcoffset()
    return 0 if delta is None else int(delta.total_seconds() // 60)


def _edge(info: ZoneInfo, after: datetime, offset: int) -> datetime:
    """Return the wall time at which the offset before `after` begins."""
    from datetime import timedelta

    moment = after
    for _ in range(60):
        earlier = moment - timedelta(minutes=30)
        if _offset(info, earlier) != offset:
            break
        moment = earlier
    return moment


def _proved(stamps: Stamps, zone: str, where: str) -> tuple[Clock, str]:
    """Return a record's clock, and what to say where it is assumed."""
    first: Any = stamps.min().astype("datetime64[s]").astype(object)
    last: Any = stamps.max().astype("datetime64[s]").astype(object)
    within = changes(zone, first, last)
    votes = {vote for edge, minutes in within if (vote := _vote(stamps, edge, minutes))}
    if votes == {"local"}:
        return "local", ""
    if votes == {"fixed"}:
        return _fixed(zone, where)
    if votes:
        raise _ask(where)
    if _offset(ZoneInfo(zone), first) == _offset(ZoneInfo(zone), last) == 0:
        return "utc", ""
    year = first.replace(month=1, day=1), first.replace(month=12, day=31)
    summer = changes(zone, *year)
    return "standard", _ASSUMED if summer else _ASSUMED_NO_SUMMER


def _vote(stamps: Stamps, edge: datetime, minutes: int) -> str | None:
    """Return what one change of the clock says: local, fixed or nothing."""
    width = np.timedelta64(abs(minutes), "m")
    at = np.datetime64(edge, "s")
    begin, end = at - width, at
    near = (stamps >= begin - 6 * width) & (stamps < end + 6 * width)
    inside = (stamps >= begin) & (stamps < end)
    if near.sum() < 8:
        return None
    if minutes > 0:
        return "fixed" if inside.any() else "local"
    usual = near.sum() / 13.0
    return "local" if inside.sum() > 1.5 * usual else "fixed"


def _fixed(zone: str, where: str) -> tuple[Clock, str]:
    offset = standard_offset_min(zone, 2020)
    if offset == 0:
        return "utc", ""
    if abs(offset) <= _LITTLE_MIN:
        return "standard", _ASSUMED_NOT_UTC
    raise InputError(
        "the stamps keep one clock all year, in standard time or in UTC",
        where=where,
        allowed=f"{field('clock', 'standard')} or {field('clock', 'utc')}",
        next_step="look when the day is warmest: near 14 h it is standard time",
    )


def _ask(where: str) -> InputError:
    return InputError(
        "the clock follows some changes of summer time and not others",
        where=where,
        allowed=f"{field('clock', 'local')} (with summer time), "
        f"{field('clock', 'standard')}, {field('clock', 'utc')}",
        next_step="say which",
    )


def _wall_to_utc(stamps: Stamps, zone: str) -> Stamps:
    """Return wall-clock stamps in UTC.

    In the hour that comes twice the first pass is summer time; where it was recorded
    once only, it is taken as summer time if the hour before it is there.
    """
    import pandas as pd

    index = pd.DatetimeIndex(stamps)
    first = _first_pass(stamps, zone)
    aware = index.tz_localize(zone, ambiguous=first, nonexistent="shift_forward")
    return np.asarray(
        aware.tz_convert("UTC").tz_localize(None).to_numpy("datetime64[s]")
    )


def _first_pass(stamps: Stamps, zone: str) -> NDArray[np.bool_]:
    """Return, for each reading, whether it belongs to the first pass of its hour."""
    out = np.ones(len(stamps), dtype=bool)
    first: Any = stamps.min().astype("datetime64[s]").astype(object)
    last: Any = stamps.max().astype("datetime64[s]").astype(object)
    for edge, minutes in changes(zone, first, last):
        if minutes >= 0:
            continue
        end = np.datetime64(edge, "s")
        begin = end - np.timedelta64(-minutes, "m")
        rows = np.flatnonzero((stamps >= begin) & (stamps < end))
        # The second pass starts where the clock jumps back within the hour.
        back = np.flatnonzero(np.diff(stamps[rows]) <= np.timedelta64(0, "s"))
        if len(back):
            out[rows[back[0] + 1 :]] = False
    return out
