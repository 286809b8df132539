"""What drives the kernel: the climate of a spot as eight rows, and where it is unknown.

Validity travels beside the numbers. The march needs a number every hour, so that holes
carry the last known hour; what they touch is unknown afterwards.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Bool, Float
from climrisk.core.chunked import by_slabs, is_known
from climrisk.core.compiled import Compiled, plain_array
from climrisk.pot.time_chunks import Piece
from climrisk.spot.climate import SpotClimate

#: Of `SpotClimate`, what the balance takes, in the order of the kernel's forcings.
_USED = (
    "air_c",
    "dew_point_c",
    "wind_m_s",
    "longwave_wall_w_m2",
    "longwave_top_w_m2",
    "solar_wall_w_m2",
    "solar_top_w_m2",
    "floor_c",
)
#: Any plausible hour, where nothing is known yet.
ANY_HOUR = (10.0, 7.0, 1.0, 350.0, 350.0, 0.0, 0.0, 10.0)
LAY_OUT = Compiled(
    "climrisk.pot.kernel.lay_out",
    "run_lay_out",
    [
        *("climrisk.pot.kernel.lay_out", "climrisk.pot.kernel.surfaces"),
        *("climrisk.pot.kernel.simd_layout", "climrisk.pot.film", "climrisk.pot.vapor"),
        *("climrisk.physics.pieces", "climrisk.physics.pointwise"),
        *("climrisk.physics.vectors", "climrisk.core.compiler_cache"),
    ],
)


def unknown_hours(climate: SpotClimate) -> Bool | None:
    """Return the case-hours of which some part is unknown; None where none is."""
    parts = [getattr(climate, name) for name in _USED]
    if all(is_known(part) for part in parts):
        return None

    def total(*some: Float) -> Float:
        return np.asarray(sum(some))

    return np.isnan(by_slabs(total, *parts))


def forcing_of(
    climate: SpotClimate, unknown: Bool | None, before: Float, dtype: type
) -> list[Float]:
    """Return what drives a pot, each of shape (time, case), without holes.

    Parameters
    ----------
    climate : SpotClimate
    unknown : ndarray of bool, shape (time, case), or None
        From `unknown_hours`.
    before : ndarray, shape (8, case)
        The last known hour before the first, which holes at the start carry on.
    dtype : type
        float32 or float64.

    Returns
    -------
    list of ndarray
        Air [°C], dew point [°C], wind [m/s], longwave on wall and top, sunlight on wall
        and top [W/m2], floor [°C].
    """
    forcing: list[Float] = [getattr(climate, name) for name in _USED]
    if unknown is None:
        return [plain_array(values, dtype) for values in forcing]
    # Row 0 is the hour before.
    row = np.where(unknown, 0, np.arange(1, len(unknown) + 1)[:, None])
    np.maximum.accumulate(row, axis=0, out=row)
    case = np.arange(unknown.shape[1])
    return [
        np.concatenate([first[None], values], dtype=dtype)[row, case]
        for first, values in zip(before, forcing, strict=True)
    ]


def lay_out(
    forcing: list[Float], pieces: list[Piece], first: int, out: Float, *, in_air: bool
) -> None:
    """Lay some hours of pieces side by side as lanes, in the kernel's units.

    Vapor pressure is that of the polynomial of the surfaces, so that a surface at the
    dew point neither dries nor gathers dew. Shorter pieces repeat their last hour.

    Parameters
    ----------
    forcing : list of ndarray, shape (time, case)
        Of `forcing_of`, of the same type of numbers as `out`.
    pieces : list of (int, int, int)
    first : int
        First hour, from the start of the pieces.
    out : ndarray, shape (time, 8, lane)
        Filled.
    in_air : bool
        Whether the bottom hangs in the air instead of standing on the floor.
    """
    *above, floor = forcing
    ends = np.array([(start, stop) for start, _, stop in pieces])
    below = forcing[0] if in_air else floor
    LAY_OUT(*above, below, ends, first, out, out.dtype.type)


def any_hour(cases: int) -> Float:
    """Return `ANY_HOUR` for every case, shape (8, case)."""
    return np.repeat(np.array(ANY_HOUR)[:, None], cases, axis=1)


class Forgetting:
    """Where the root zone is unknown: in a gap, after it, and at a record's start.

    Parameters
    ----------
    wait_h : float
        What the pot takes to forget what it was.
    """

    def __init__(self, wait_h: float) -> None:
        self._wait = int(np.ceil(wait_h))
        self._hours = 0
        # The hour before the first counts as unknown.
        self._last: NDArray[np.int64] = np.array([-1])

    def add(self, hours: int, unknown: Bool | None) -> Bool | None:
        """Return it for the next hours, (time, case) or (time, 1); None: nowhere.

        Parameters
        ----------
        hours : int
        unknown : ndarray of bool, shape (time, case), or None
            Of as many hours, in which some part of the forcing is unknown.
        """
        first, self._hours = self._hours, self._hours + hours
        clock = np.arange(first, first + hours)[:, None]
        if unknown is None or not unknown.any():
            if first - int(self._last.max()) > self._wait:
                return None
            return np.asarray(clock - self._last <= self._wait)
        if (unknown == unknown[:, :1]).all() and len(self._last) == 1:
            unknown = unknown[:, :1]
        last = np.where(unknown, clock, -1)
        last[0] = np.maximum(last[0], self._last)
        np.maximum.accumulate(last, axis=0, out=last)
        self._last = last[-1]
        return np.asarray(clock - last <= self._wait)
