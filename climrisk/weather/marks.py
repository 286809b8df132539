"""Single readings that cannot be weather are marked as missing, and counted."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from climrisk.errors import InputError
from climrisk.variables import VARIABLES

Float = NDArray[np.floating]

#: Beyond this share of impossible readings the column is not what it says (estimate).
_MOST_IMPOSSIBLE = 0.02


def possible_only(name: str, values: Float, *, where: str) -> tuple[Float, str | None]:
    """Return values with impossible ones as NaN, and a note that says how many.

    Parameters
    ----------
    name : str
        Of `climrisk.variables`; its range decides.
    values : ndarray of float, shape (reading,)
        NaN where missing.
    where : str
        File and column, for the note.

    Raises
    ------
    InputError
        Where more than 2 % are impossible: then the unit or the column is wrong.
    """
    known = VARIABLES[name]
    with np.errstate(invalid="ignore"):
        wrong = (values < known.lowest) | (values > known.highest)
    count = int(wrong.sum())
    if count == 0:
        return values, None
    first = float(values[int(np.argmax(wrong))])
    allowed = f"{known.lowest:g} to {known.highest:g} {known.unit}"
    if count > _MOST_IMPOSSIBLE * max(int(np.isfinite(values).sum()), 1):
        raise InputError(
            f"{known.label} outside what weather can be, {count:,} times",
            where=where,
            value=f"first {first:g} {known.unit}",
            allowed=allowed,
            next_step="check the unit and the missing-value marks of the file",
        )
    readings = "reading" if count == 1 else "readings"
    note = (
        f"{count:,} {readings} of {known.label} outside {allowed} taken as missing, "
        f"the first {first:g}"
    )
    return np.where(wrong, np.nan, values), note
