"""The one loop over hours: heat balance of a pot by finite volumes.

The interior is L-stable (two-stage SDIRK, Alexander 1977, SIAM J. Numer. Anal.
14:1006, gamma = 1 - 1/sqrt(2)); wall and top balances are solved by Newton once an hour
and enter the matrix with their slope, so no step is too long for stability.

Two interiors share the surfaces and the loop: shells of one layer (`column`, quick) and
volumes in r and z with their water (`volumes`, whole). Both freeze.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any
from zlib import crc32

import numpy as np

from climrisk.core import compiler_cache, constants
from climrisk.physics import longwave, pointwise, solar, surface, vectors
from climrisk.pot import film
from climrisk.pot.kernel import column as shells
from climrisk.pot.kernel import (
    simd_layout,
    spot_hour,
    spot_night,
    spot_rows,
    spot_sums,
    surfaces,
)
from climrisk.pot.kernel import volumes as rings
from climrisk.pot.kernel.packing import (
    Ends,
    PackedColumn,
    Volumes,
    band_width,
    ends_of,
    work_of,
)
from climrisk.pot.kernel.simd_layout import (
    AXIS,
    FORCINGS,
    GAMMA,
    LANES,
    LATER,
    MEAN,
    NOW,
    compiled,
    inlined,
    u,
)
from climrisk.pot.kernel.spot_hour import tell_spot
from climrisk.pot.kernel.spot_night import write_dark
from climrisk.pot.kernel.surfaces import balance, calm
from climrisk.spot import (
    air,
    kernel_inputs,
    nightly,
    radiation,
    regimes,
    sunlight,
    wind,
)
from climrisk.spot.kernel_inputs import Ingredients

_AGAIN = (1.0 - GAMMA) / GAMMA
#: Hours that a block of shells is marched at a stretch.
_SPAN_H = 24


@inlined
def _hour_of_shells(  # type: ignore[no-untyped-def]
    w, column, parts, gdt, flat, ice, gained, begin, count, kind
):
    """March a block of columns through an hour."""
    state = shells.STATE
    middle = state + len(column) * LANES
    calm(w, kind)
    balance(w, 0, flat, False, kind)  # noqa: FBT003
    balance(w, 1, flat, False, kind)  # noqa: FBT003
    frosty = ice and shells.near_freezing(w, column, kind)
    shells.edges(w, gdt)
    shells.factor(w, column, kind)
    for step in range(len(parts)):
        part, whole = parts[step, 0], parts[step, 1]
        shells.stage(w, column, state, middle, part, kind)
        if gained.size:
            shells.gain(w, column, middle, part, _AGAIN, gained, begin, count, kind)
        shells.stage(w, column, middle, state, whole, kind)
        if gained.size:
            shells.gain(w, column, state, whole, 1.0, gained, begin, count, kind)
        if frosty:
            shells.freeze(w, column, kind)


@inlined
def _hour_of_rings(  # type: ignore[no-untyped-def]
    w, band, n_r, n_z, parts, gdt, flat, ice, watered, gained, begin, count, kind
):
    """March a block of pots in r and z through an hour."""
    n, width = n_r * n_z, len(band)
    size = (rings.RECORD_ROWS + 2 * width) * LANES
    at = rings.RECORDS + width * size
    calm(w, kind)
    balance(w, 0, flat, watered, kind)
    balance(w, 1, flat, watered, kind)
    frosty = ice and rings.near_freezing(w, n, at, size, kind)
    if frosty:
        rings.with_ice(w, n, width, at, size, kind)
    rings.edges(w, n_r, n_z, at, size)
    rings.factor(w, n, band, at, size, kind)
    for step in range(len(parts)):
        part, whole = parts[step, 0], parts[step, 1]
        rings.stage(w, n, band, at, size, rings.T, rings.MIDDLE, part, kind)
        if gained.size:
            weight = _AGAIN * gdt
            rings.gain(w, n, at, size, rings.MIDDLE, part, weight, gained, begin, count)
        rings.stage(w, n, band, at, size, rings.MIDDLE, rings.T, whole, kind)
        if gained.size:
            rings.gain(w, n, at, size, rings.T, whole, gdt, gained, begin, count)
        if frosty:
            rings.freeze(w, n, at, size, kind)
    if watered:
        rings.drink(w, kind)


def _loop(stamp: int) -> Any:  # noqa: C901
    """Return the compiled loop.

    It is cached on disk beside this file and compiled anew when this file changes. The
    pieces that are put into it stand in other files: `stamp` tells theirs.
    """

    @compiled
    def _run(  # type: ignore[no-untyped-def]  # noqa: C901
        forcing,
        rows,
        steps_of,
        hourly,
        night,
        still,
        place,
        numbers,
        first,
        work,
        column,
        band,
        n_r,
        n_z,
        parts,
        gdt,
        flat,
        ice,
        watered,
        mean,
        axis,
        gained,
        kind,
        spot_air,
        dark,
    ):
        """March all blocks through all hours."""
        _ = stamp
        steps, cases = mean.shape
        if rows is not None:
            # What is taken out of a tuple in the loop is counted there each time.
            base, dew, wind, station, sky_dew, cloud, ghi, share = rows
        # A block of lanes stays in the nearest cache for some hours, and the rows of
        # those hours are still at hand when the next block reads its part of them. A
        # block of volumes is too large for that.
        span = _SPAN_H if column is not None else max(1, steps)
        for since in range(0, steps, span):
            for block in range(len(work)):
                for t in range(since, min(since + span, steps)):
                    w, begin = work[block], block * LANES
                    count = min(LANES, cases - begin)
                    if column is not None:
                        shells.summarize(w, column, kind)
                    if band is not None:
                        size = (rings.RECORD_ROWS + 2 * len(band)) * LANES
                        at = rings.RECORDS + len(band) * size
                        rings.summarize(w, n_r, n_z, at, size, kind)
                    for c in range(u(count)):
                        mean[t, u(begin) + c] = w[u(MEAN) + c]
                    for c in range(u(count)):
                        axis[t, u(begin) + c] = w[u(AXIS) + c]
                    for k in range(u(FORCINGS * LANES)):
                        w[u(NOW) + k] = w[u(LATER) + k]
                    # numba drops the branch of what is None before it compiles.
                    if rows is not None:
                        tell_spot(
                            w, base, dew, wind, station, sky_dew, cloud, ghi, share,
                            hourly, night, still, place, steps_of, numbers,
                            first + t + 1, t == 0, begin, count, kind,
                        )  # fmt: skip
                        for c in range(u(count)):
                            spot_air[t, u(begin) + c] = w[u(NOW) + c]
                        write_dark(w, dark, t, begin, count)
                    # One hour more may be told than marched, where a march goes on.
                    if forcing is not None and t + 1 < forcing.shape[0]:
                        for f in range(FORCINGS):
                            row = LATER + f * LANES
                            for c in range(u(count)):
                                w[u(row) + c] = forcing[u(t + 1), u(f), u(begin) + c]
                            for c in range(u(count), u(LANES)):
                                w[u(row) + c] = forcing[u(t + 1), u(f), u(cases - 1)]
                    if column is not None:
                        _hour_of_shells(
                            w, column, parts, gdt, flat, ice, gained, begin, count, kind
                        )
                    if band is not None:
                        _hour_of_rings(
                            w,
                            band,
                            n_r,
                            n_z,
                            parts,
                            gdt,
                            flat,
                            ice,
                            watered,
                            gained,
                            begin,
                            count,
                            kind,
                        )

    return _run


_PIECES = (
    *(simd_layout, surfaces, shells, rings, film, constants),
    *(spot_hour, spot_night, spot_rows, spot_sums),
    *(air, kernel_inputs, nightly, radiation, regimes, sunlight, wind),
    *(solar, compiler_cache, longwave, surface, pointwise, vectors),
)
_run = _loop(crc32(b"".join(Path(str(m.__file__)).read_bytes() for m in _PIECES)))


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
            As `march` fills them.
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
        _run(*hours, *size, *self._steps, *flags, *out, self.kind, *of_spot)

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
    mean_out: Any,
    axis_out: Any,
    gained: Any,
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
    mean_out, axis_out : float array (time, case)
        Filled: volume mean of the medium, and axis (at middle height), at the start of
        each hour. [°C]
    gained : float64 array (case,) or (0,)
        Adds the heat gained through all surfaces: of a column over its thawed
        capacity [K], of volumes [J]; not counted where empty.
    """
    run = March(film, pot, start, forcing[:, 0], substeps, psychrometric)
    by_hour = np.ascontiguousarray(forcing.transpose(1, 0, 2))
    run.add(by_hour, mean_out, axis_out, gained)
    return run.ends()
