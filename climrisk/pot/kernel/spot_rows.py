"""Where a spot's numbers stand in a block, and how an hour of them gets there."""

from __future__ import annotations

from climrisk.physics.pieces import inlined
from climrisk.pot.kernel.simd_layout import HEAD, LANES, LAST_LANE, SPOT, u
from climrisk.spot.kernel_inputs import HOURLY, MEAN_H, NUMBERS, ROWS

# Rows, in the order of `climrisk.spot.kernel_inputs.ROWS`.
BASE, DEW, WIND, STATION, SKY_DEW, CLOUD, GHI, SHARE = (
    SPOT + k * LANES for k in range(len(ROWS))
)
#: The place on the Earth: an upright of three rows.
UPRIGHT = SPOT + len(ROWS) * LANES
#: Sine of the sun's height from two hours before the hour told until two after.
SINE = UPRIGHT + 3 * LANES
#: Whether night holds, over the same hours.
HELD = SINE + 5 * LANES
#: The night: its weight, what it adds beyond the day, and what tells of it (hours,
#: wind, cloud, fall).
WEIGHT, BEYOND, NIGHT_SUMS = HELD + 5 * LANES, HELD + 6 * LANES, HELD + 7 * LANES
#: Sums over a day: of the station, of the base (now and an hour ago), of light.
SUM, BASE_SUM, LIT_SUM = (NIGHT_SUMS + k * LANES for k in (4, 5, 7))
#: Light of the last hours on level ground, after its sum.
RING = LIT_SUM + LANES
WALL, TOP, AIR, OLD, NEW = (RING + (MEAN_H + k) * LANES for k in range(5))
assert NEW + LANES == HEAD, "SPOT_ROWS does not fit the rows of a spot"

(
    DIFFUSE_TOP, DIFFUSE_WALL, LEAK_K, WALL_SLOW, WALL_GROUND, FLOOR_SLOW, FLOOR_GROUND,
    SKY_WALL, SKY_TOP, LACKING, DAMPER_K, LATER_PART, DAMPING, WINDY_K, DAY_K, MORE_K,
    WARMED_K, VENT_C, VENTED, SHELTER, WIND_KNOWN, CLOUD_KNOWN, PANE, PANE_BY_NIGHT,
    SHADING_ABOVE, SHADING_TAKES, GLASS_WALL, GLASS_TOP, GLASS_SKY,
) = range(len(NUMBERS))  # fmt: skip
WINTER, EVENING, EQUATOR, EAST, POLE = range(len(HOURLY))
#: Of `steps`.
WIND_STEP, CLOUD_STEP, SHARE_STEP, LATER_HOURS = range(4)


@inlined
def copied(w, target, source, row, begin, count):  # type: ignore[no-untyped-def]
    """Copy an hour of a block; spare lanes repeat the last case."""
    for c in range(u(count)):
        w[u(target) + c] = source[u(row), u(begin) + c]
    for c in range(u(count), u(LANES)):
        w[u(target) + c] = source[u(row), u(begin + count - 1)]


@inlined
def moved(w, target, source):  # type: ignore[no-untyped-def]
    """Copy a row of the block to another."""
    for c in range(LAST_LANE):
        w[u(target) + c] = w[u(source) + c]


@inlined
def filled(w, target, value):  # type: ignore[no-untyped-def]
    """Set a row of the block."""
    for c in range(LAST_LANE):
        w[u(target) + c] = value


@inlined
def sine(w, target, hourly, row):  # type: ignore[no-untyped-def]
    """Work out the sine of the sun's height of an hour."""
    equator, east = hourly[u(row), u(EQUATOR)], hourly[u(row), u(EAST)]
    pole = hourly[u(row), u(POLE)]
    for c in range(LAST_LANE):
        w[u(target) + c] = (
            equator * w[u(UPRIGHT) + c]
            + east * w[u(UPRIGHT + LANES) + c]
            + pole * w[u(UPRIGHT + 2 * LANES) + c]
        )
