"""Checks at the door: what passes here is trusted within."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import TYPE_CHECKING

import numpy as np

from climrisk.core.defaults import HEIGHT_M, MEMBERS, RISK
from climrisk.core.errors import InputError
from climrisk.core.quantities import of_unit
from climrisk.core.references import field
from climrisk.core.variables import VARIABLES

if TYPE_CHECKING:
    from numpy.typing import NDArray


def number_in(
    value: float,
    lowest: float,
    highest: float,
    *,
    what: str,
    where: str,
    unit: str = "",
    next_step: str = "",
) -> float:
    """Return `value` if it lies in the closed range, else raise InputError."""
    # Whole numbers may be too large for a float.
    if not lowest <= value <= highest:
        raise InputError(
            f"{what} out of range",
            where=where,
            value=value if isinstance(value, int) else of_unit(value, unit),
            allowed=of_unit(highest, unit, low=lowest),
            next_step=next_step,
        )
    return float(value)


def hourly_values(
    name: str, values: NDArray[np.floating], *, where: str
) -> NDArray[np.floating]:
    """Return values of a known variable, or raise on the first impossible one.

    Parameters
    ----------
    name : str
        A name of `climrisk.core.variables.VARIABLES`.
    values : ndarray of float
        Any shape; NaN is missing and passes.
    where : str
        File or station, for the message.

    Raises
    ------
    InputError
        Where a value lies outside the variable's range.
    """
    variable = VARIABLES[name]
    bad = (values < variable.lowest) | (values > variable.highest)
    if bad.any():
        row = int(np.flatnonzero(bad.reshape(len(values), -1).any(axis=1))[0])
        first = values[bad].ravel()[0]
        raise InputError(
            f"{variable.label} outside what weather can be",
            # Of a single hour the caller knows better which it is.
            where=where if len(values) == 1 else f"{where}, hour {row + 1}",
            value=f"{first:g} {variable.unit}",
            allowed=f"{variable.lowest:g} to {variable.highest:g} {variable.unit}",
            next_step="check the unit and the missing-value marks of the file",
        )
    return values


def latitude(value: float, *, where: str) -> float:
    """Return a latitude in degrees north."""
    return number_in(
        value,
        -90,
        90,
        what="latitude",
        where=where,
        unit="degrees north",
        next_step="write LAT,LON[,ELEVATION], such as 45.2,14.6,18",
    )


def longitude(value: float, *, where: str) -> float:
    """Return a longitude in degrees east."""
    return number_in(
        value,
        -180,
        180,
        what="longitude",
        where=where,
        unit="degrees east",
        next_step="write LAT,LON[,ELEVATION], such as 45.2,14.6,18",
    )


def elevation(value: float, *, where: str) -> float:
    """Return a height above sea level in meters."""
    return number_in(value, *HEIGHT_M, what="height", where=where, unit="m")


def threshold_c(value: float, *, where: str) -> float:
    """Return a temperature threshold in Celsius that a plant could care for."""
    return number_in(
        value,
        -60,
        60,
        what="threshold",
        where=where,
        unit="°C",
    )


def risk(value: float, *, where: str) -> float:
    """Return a risk as a fraction."""
    return number_in(
        value,
        *RISK,
        what="risk",
        where=where,
        next_step="0.1 means one year in ten",
    )


def members(value: float, *, where: str = field("members")) -> int:
    """Return the number of members of a spread."""
    number_in(value, *MEMBERS, what="number of members", where=where)
    return int(value)


def named(
    value: str,
    names: Collection[str],
    *,
    what: str,
    where: str,
    everyday: Mapping[str, str] | None = None,
) -> str:
    """Return one of some names, however it is capitalized or joined.

    Parameters
    ----------
    value : str
    names : collection of str
    what, where : str
        For the error.
    everyday : mapping of str to str, optional
        Everyday words and the names they mean.

    Raises
    ------
    InputError
        With all names, and the nearest one.
    """
    key = "-".join(value.lower().replace("_", " ").split())
    if key in names:
        return key
    meant = (everyday or {}).get(key)
    if meant in names:
        return str(meant)
    import difflib

    near = difflib.get_close_matches(key, names, n=1, cutoff=0.5)
    raise InputError(
        f"unknown {what}",
        where=where,
        value=value,
        allowed=" ".join(names),
        next_step=f"did you mean {near[0]}?" if near else "",
    )
