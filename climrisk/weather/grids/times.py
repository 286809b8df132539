"""The hours of a grid: one calendar, an hour apart, in order, each once."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from climrisk.core.errors import InputError

if TYPE_CHECKING:
    import xarray as xr

Stamps = NDArray[np.datetime64]

#: Calendars whose dates are those of the sun and of people.
CALENDARS = ("standard", "gregorian", "proleptic_gregorian")
_HOUR = np.timedelta64(60, "m")


@dataclass(frozen=True)
class FileTimes:
    """The times of a file.

    Parameters
    ----------
    time : ndarray of datetime64[m], shape (time,)
        Starts of the hours.
    notes : tuple of str
    """

    time: Stamps
    notes: tuple[str, ...] = ()


def times_of(data: xr.Dataset, name: str, *, where: str) -> FileTimes:
    """Return the hours of a file, checked.

    Parameters
    ----------
    data : xarray.Dataset
        Opened without decoding its times.
    name : str
        Its time coordinate.
    where : str
        The file, for messages.

    Raises
    ------
    InputError
        Another calendar than the usual one, or times that are unsorted, duplicate,
        not an hour apart, or have gaps.
    """
    attrs = data[name].attrs
    calendar = str(attrs.get("calendar", "standard")).lower()
    if calendar not in CALENDARS:
        raise InputError(
            "a calendar without real dates",
            where=f"{where}, {name}",
            value=calendar,
            allowed=" ".join(CALENDARS),
            next_step="give hours of the usual calendar",
        )
    time = _decoded(data, name, where=where)
    check_hours(time, where=where)
    within = int(time[0].astype("datetime64[m]").astype(np.int64) % 60)
    if within == 0:
        return FileTimes(time)
    if within == 30:
        note = "hours stamped at half past are taken as the hours around their stamp"
        return FileTimes(time - np.timedelta64(30, "m"), (note,))
    raise InputError(
        "hours that begin neither on the hour nor at half past",
        where=where,
        value=str(time[0]),
        next_step="bring the record to full hours of UTC",
    )


def check_hours(time: Stamps, *, where: str) -> None:
    """Raise InputError where times are not consecutive hours."""
    step = np.diff(time)
    if len(step) == 0:
        raise InputError(
            "too few hours", where=where, value=len(time), allowed="at least 2"
        )
    if (step == _HOUR).all():
        return
    back = np.flatnonzero(step <= np.timedelta64(0, "m"))
    i = int(back[0] if len(back) else np.flatnonzero(step != _HOUR)[0])
    pair = f"{time[i]} then {time[i + 1]}"
    hint = "sort the record by time, each hour once"
    if step[i] == np.timedelta64(0, "m"):
        raise InputError("a time that comes twice", where=where, value=time[i],
                         next_step=hint)  # fmt: skip
    if step[i] < np.timedelta64(0, "m"):
        raise InputError(
            "times that are not in order", where=where, value=pair, next_step=hint
        )
    usual = np.median(step.astype(np.int64))
    if usual != 60:
        raise InputError(
            "steps that are not an hour",
            where=where,
            value=f"{usual / 60:g} h",
            allowed="1 h",
            next_step="give hourly values: nights and their runs need them",
        )
    raise InputError(
        "a gap in time",
        where=where,
        value=pair,
        next_step="put the hours in as missing values, or give the parts one by one",
    )


def _decoded(data: xr.Dataset, name: str, *, where: str) -> Stamps:
    import xarray as xr

    # Only names, values and units of the coordinate itself: bounds are read apart.
    plain = xr.Dataset(coords={name: (data[name].dims, data[name].values)})
    keep = {k: v for k, v in data[name].attrs.items() if k in ("units", "calendar")}
    plain[name].attrs.update(keep)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            values = xr.decode_cf(plain)[name].values
        return np.asarray(values.astype("datetime64[m]"))
    except (ValueError, TypeError, OverflowError, AttributeError, ImportError) as error:
        raise InputError(
            "times that cannot be read",
            where=f"{where}, {name}",
            value=keep.get("units", "no units"),
            next_step='write units such as "hours since 1970-01-01"',
        ) from error
