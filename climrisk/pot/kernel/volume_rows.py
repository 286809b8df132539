"""Where the numbers of volumes in r and z stand in a block."""

from __future__ import annotations

from climrisk.pot.kernel.simd_layout import HEAD, LANES

# Rows of every block after `HEAD`: sums of wall and top conductance, wetness of well
# watered surfaces and area; water held, below which evaporation falls, when full; hours
# between waterings and since the last; evaporated, watered, run off.
SUMS, WELL, AREA = (HEAD + k * LANES for k in (0, 2, 4))
HELD, HALF, FULL, EVERY, SINCE = (HEAD + k * LANES for k in range(6, 11))
EVAPORATED, WATERED, RUN_OFF = (HEAD + k * LANES for k in range(11, 14))
RECORDS = HEAD + 14 * LANES
HEAD_ROWS = 14

# Rows of a record. The march works with the first eleven; then what was given: ice and
# its latent heat, capacity and conductances thawed, loss of capacity and gain of
# conductivity with ice, conductances to wall, top and floor, areas, share.
T, MIDDLE, RIGHT, INVERSE, EARLY, LATE, LIFT, CAPACITY, BESIDE, ABOVE = (
    k * LANES for k in range(10)
)
ICE, LATENT, THAWED, LOSS, BESIDE_THAWED, ABOVE_THAWED, STIFFER = (
    k * LANES for k in range(10, 17)
)
WALL, WALL_AREA, TOP, TOP_AREA, FLOOR, SHARE = (k * LANES for k in range(17, 23))
BAND = 23 * LANES
RECORD_ROWS = 23
