"""To what step a record was rounded, and what that does to counts near a limit."""

from __future__ import annotations

import numpy as np

from climrisk.core.arrays import Float

#: Share of readings that must lie on a grid for the record to be rounded to it.
_ON_GRID = 0.995
_LEAST_READINGS = 48
#: Whole and half degrees Celsius, whole degrees Fahrenheit: (step in °C, zero in °C).
_GRIDS = ((1.0, 0.0), (1 / 1.8, -32 / 1.8), (0.5, 0.0))


def resolution_c(air_c: Float) -> float | None:
    """Return the step in °C to which temperatures were rounded; None where it is fine.

    Airports report whole degrees; such a reading of 10 may have been 9.6.

    Parameters
    ----------
    air_c : ndarray of float, shape (reading,)
        NaN is skipped.
    """
    known = air_c[np.isfinite(air_c)]
    if known.size < _LEAST_READINGS or np.ptp(known) < 3:
        return None
    for step, zero in _GRIDS:
        away = np.abs((known - zero) / step - np.round((known - zero) / step))
        if (away < 0.011 / step).mean() >= _ON_GRID:
            return round(step, 4)
    return None
