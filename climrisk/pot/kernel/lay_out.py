"""Hours of a climate laid out as the loop over hours reads them, compiled.

Imported only where its machine code is not on the disk yet: see
`climrisk.pot.forcing.lay_out`.
"""

from __future__ import annotations

import numpy as np

from climrisk.physics.pieces import compiled_apart, inlined
from climrisk.pot.film import STRONGEST_WIND_M_S
from climrisk.pot.kernel.simd_layout import u
from climrisk.pot.kernel.surfaces import saturation


@inlined
def _copied(out, t, f, at, values, row):  # type: ignore[no-untyped-def]
    for c in range(u(values.shape[1])):
        out[t, u(f), at + c] = values[row, c]


@compiled_apart
def run_lay_out(  # type: ignore[no-untyped-def]
    air, dew, wind, wall_lw, top_lw, wall_sun, top_sun, floor, pieces, first, out, kind
):  # fmt: skip
    """Fill hours (time, 8, lane) of pieces (start, stop), from the hour `first` on."""
    cases, strongest = air.shape[1], kind(STRONGEST_WIND_M_S)
    for t in range(u(out.shape[0])):
        for i in range(pieces.shape[0]):
            row = u(min(pieces[i, 0] + first + t, pieces[i, 1] - 1))
            at = u(i * cases)
            _copied(out, t, 0, at, air, row)
            for c in range(u(cases)):
                out[t, u(1), at + c] = saturation(dew[row, c], kind)
            for c in range(u(cases)):
                blown = np.maximum(wind[row, c], kind(0))
                out[t, u(2), at + c] = np.minimum(blown, strongest)
            _copied(out, t, 3, at, wall_lw, row)
            _copied(out, t, 4, at, top_lw, row)
            _copied(out, t, 5, at, wall_sun, row)
            _copied(out, t, 6, at, top_sun, row)
            _copied(out, t, 7, at, floor, row)
