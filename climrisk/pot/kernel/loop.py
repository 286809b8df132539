"""The one loop over hours: heat balance of a pot by finite volumes.

The interior is L-stable (two-stage SDIRK, Alexander 1977, SIAM J. Numer. Anal.
14:1006, gamma = 1 - 1/sqrt(2)); wall and top balances are solved by Newton once an hour
and enter the matrix with their slope, so no step is too long for stability.

Two interiors share the surfaces and the loop: shells of one layer (`column`, quick) and
volumes in r and z with their water (`volumes`, whole). Both freeze.
"""

from __future__ import annotations

from typing import Any

from climrisk.physics.pieces import compiled, inlined
from climrisk.pot.kernel import column as shells
from climrisk.pot.kernel import column_rows, volume_rows
from climrisk.pot.kernel import volumes as rings
from climrisk.pot.kernel.march import RUN
from climrisk.pot.kernel.simd_layout import (
    AXIS,
    FORCINGS,
    GAMMA,
    LANES,
    LATER,
    MEAN,
    NOW,
    u,
)
from climrisk.pot.kernel.spot_hour import tell_spot
from climrisk.pot.kernel.spot_night import write_dark
from climrisk.pot.kernel.surfaces import balance, calm

_AGAIN = (1.0 - GAMMA) / GAMMA
#: Hours that a block of shells is marched at a stretch.
_SPAN_H = 24


@inlined
def _hour_of_shells(  # type: ignore[no-untyped-def]
    w, column, parts, gdt, flat, ice, gained, begin, count, kind
):
    """March a block of columns through an hour."""
    state = column_rows.STATE
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
    state, middle = volume_rows.T, volume_rows.MIDDLE
    size = (volume_rows.RECORD_ROWS + 2 * width) * LANES
    at = volume_rows.RECORDS + width * size
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
        rings.stage(w, n, band, at, size, state, middle, part, kind)
        if gained.size:
            weight = _AGAIN * gdt
            rings.gain(w, n, at, size, middle, part, weight, gained, begin, count)
        rings.stage(w, n, band, at, size, middle, state, whole, kind)
        if gained.size:
            rings.gain(w, n, at, size, state, whole, gdt, gained, begin, count)
        if frosty:
            rings.freeze(w, n, at, size, kind)
    if watered:
        rings.drink(w, kind)


def _loop(stamp: int) -> Any:  # noqa: C901
    """Return the compiled loop.

    Where numba itself keeps it, it compiles it anew when this file changes. The pieces
    that are put into it are in other files: `stamp` changes with any of them.
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
                        size = (volume_rows.RECORD_ROWS + 2 * len(band)) * LANES
                        at = volume_rows.RECORDS + len(band) * size
                        rings.summarize(w, n_r, n_z, at, size, kind)
                    for c in range(u(count)):
                        mean[t, u(begin) + c] = w[u(MEAN) + c]
                    if axis.size:
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


run = _loop(int(RUN.sources[:12], 16))
