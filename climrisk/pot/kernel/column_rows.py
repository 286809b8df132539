"""Where the numbers of shells stand in a block."""

from __future__ import annotations

from climrisk.pot.kernel.simd_layout import HEAD, LANES

# Rows after those of every block: area over capacity of wall, top and floor, the
# floor's conductance; then sources at both ends and lift, of all shells and the outer;
# latent heat of its water over capacity, and the coldest shell.
PER_CAPACITY = HEAD
EARLY, LATE, LIFT = (HEAD + k * LANES for k in (4, 6, 8))
LATENT, COLDEST = HEAD + 10 * LANES, HEAD + 11 * LANES
HEAD_ROWS = 12
STATE = HEAD + HEAD_ROWS * LANES
#: Groups of rows, one a shell: temperatures, mid-stage, right side, inverse and ratio
#: of the eliminated matrix, conductances inwards and outwards, shares, frozen share of
#: the water.
GROUPS = 9
