"""The march of pots through hours: arrays in, arrays out, the compiled loop between."""

from __future__ import annotations

from typing import Any

import numpy as np

from climrisk.core.compiled import Compiled
from climrisk.pot.kernel.packing import (
    Ends,
    PackedColumn,
    Volumes,
    band_width,
    ends_of,
    work_of,
)
from climrisk.pot.kernel.simd_layout import GAMMA
from climrisk.spot.kernel_inputs import Ingredients

_KERNEL = (
    *("column", "column_rows", "loop", "simd_layout", "spot_hour"),
    *("spot_night", "spot_rows", "spot_sums", "surfaces", "volume_rows", "volumes"),
)
_PHYSICS = ("longwave", "pieces", "pointwise", "solar", "surface", "vectors")
_SPOT = (
    *("air", "kernel_inputs", "nightly", "radiation", "regimes", "sunlight", "wind"),
)
#: The loop over hours. Pieces that are put into it stand in many files.
RUN = Compiled(
    "climrisk.pot.kernel.loop",
    "run",
    [
        *(f"climrisk.pot.kernel.{name}" for name in _KERNEL),
        *(f"climrisk.physics.{name}" for name in _PHYSICS),
        *(f"climrisk.spot.{name}" for name in _SPOT),
        *("climrisk.pot.film", "climrisk.pot.vapor"),
        *("climrisk.core.compiler_cache", "climrisk.core.constants"),
    ],
)


class March:
    """A march through hours that come one stretch after the other.

    Parameters
    ----------
    film : float array (2, FILM_TERMS, case)
        Film coefficients of wall and top: polynomials in the root of the wind, the
        constant term first; good for winds of 0 to 12 m/s. [W/m2/K]
    pot : PackedColumn or Volumes
    start : float array (volume, case)
        Temperatures at the first hour. [°C]
    first : float array (8, case)
        Forcing at the first hour.
    substeps : int
        Steps an hour.
    psychrometric : float
        Of a freely wet surface. [Pa/K]
    """

    def __init__(
        self,
        film: Any,
        pot: PackedColumn | Volumes,
        start: Any,
        first: Any,
        substeps: int,
        psychrometric: float,
    ) -> None:
        self.pot, self.kind = pot, np.dtype(first.dtype).type
        self.cases = first.shape[1]
        step = np.arange(substeps)[:, None]
        parts = (step + np.array([GAMMA, 1.0])) / substeps
        gdt = self.kind(GAMMA * 3600.0 / substeps)
        flat = self.kind(1.0 / psychrometric)
        self._steps = (parts.astype(self.kind), gdt, flat)
        self._work = work_of(pot, first, film, start, gdt, self.kind)

    def add(self, forcing: Any, mean_out: Any, axis_out: Any, gained: Any) -> None:
        """March on, one hour for each row of what is filled.

        Parameters
        ----------
        forcing : float array (time or time + 1, 8, case)
            As `march` takes it, but an hour's rows together, as the loop reads them.
            Where the march is to go on, the first hour of the next stretch stands at
            its end; else the last hour lasts.
        mean_out, axis_out, gained
            As `march` fills them; an axis without hours is left out.
        """
        self._run(forcing, None, 0, (mean_out, axis_out, gained), (None, None))

    def add_spot(
        self,
        spot: Ingredients,
        first: int,
        mean_out: Any,
        axis_out: Any,
        gained: Any,
        air_out: Any,
        dark_out: Any,
    ) -> None:
        """March on through hours of a spot whose climate the loop works out itself.

        Parameters
        ----------
        spot : Ingredients
            Of the hours to be marched, of `BEFORE_H` hours before them and of
            `AHEAD_H` hours after (`climrisk.spot.kernel_inputs`).
        first : int
            Which of its hours is the first to be marched: the one that was told last.
        mean_out, axis_out, gained
            As `march` fills them.
        air_out : float array (time, case)
            Filled: air at the spot. [°C]
        dark_out : bool array (time, case)
            Filled: the dark hours.
        """
        self._run(None, spot, first, (mean_out, axis_out, gained), (air_out, dark_out))

    def _run(
        self,
        forcing: Any,
        spot: Ingredients | None,
        first: int,
        out: tuple[Any, ...],
        of_spot: tuple[Any, ...],
    ) -> None:
        pot = self.pot
        size: tuple[Any, ...]
        if isinstance(pot, PackedColumn):
            shares = tuple(self.kind(x) for x in pot.shares)
            flags = (bool(pot.parameters[-1].any()), False)
            size = (shares, None, len(shares), 1)
        else:
            flags = (bool(pot.records[0].any()), pot.water is not None)
            size = (None, tuple(range(band_width(pot.n_r, pot.n_z))), pot.n_r, pot.n_z)
        parts = (None,) * len(Ingredients._fields) if spot is None else tuple(spot)
        hours = (forcing, *parts, first, self._work)
        RUN(*hours, *size, *self._steps, *flags, *out, self.kind, *of_spot)

    def ends(self) -> Ends:
        """Return what the march has left behind so far."""
        return ends_of(self.pot, self._work, self.cases)


def march(
    forcing: Any,
    film: Any,
    pot: PackedColumn | Volumes,
    start: Any,
    substeps: int,
    psychrometric: float,
    out: tuple[Any, Any, Any],
) -> Ends:
    """March pots through hours; all arrays of one floating type, cases last.

    Parameters
    ----------
    forcing : float array (8, time, case)
        Air [°C], vapor pressure [Pa], wind [m/s], longwave on wall and top, sunlight
        on wall and top [W/m2], floor [°C]; joined by straight lines between hours. No
        NaN: validity travels outside.
    film, pot, start, substeps, psychrometric
        As `March` takes them.
    out : float arrays (time, case), (time, case) and float64 (case,) or (0,)
        Filled: volume mean of the medium, and axis (at middle height), at the start of
        each hour [°C]. The third adds up the heat gained through all surfaces: of a
        column over its thawed capacity [K], of volumes [J]; not counted where empty.
    """
    run = March(film, pot, start, forcing[:, 0], substeps, psychrometric)
    by_hour = np.ascontiguousarray(forcing.transpose(1, 0, 2))
    run.add(by_hour, *out)
    return run.ends()
