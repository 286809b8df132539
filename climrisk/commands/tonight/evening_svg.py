"""How cold each spot may get tonight, beside the limits of the plants there."""

from __future__ import annotations

import math

from climrisk.commands.tonight.result import PlantTonight, SpotTonight, TonightResult
from climrisk.core.ranges import EIGHT_IN_TEN_SD
from climrisk.core.typed_text import Viewer
from climrisk.core.wording import plural
from climrisk.render.charts.ranges import RangeRow, ranges_html


def evening_svg(result: TonightResult, viewer: Viewer) -> str:
    """Return a row for each spot with plants to judge, or where they go, coldest first.

    Upright marks are what the plants that stand there tolerate; in a room those of the
    plants that are carried in.
    """
    plants = [*result.carry, *result.cover, *result.leave]
    spots = sorted(result.spots, key=lambda s: s.plan_for_c)
    rows = [_row(spot, plants) for spot in spots]
    shown = [row for row in rows if row.limits_c] or rows
    return ranges_html(
        shown, viewer, bar="expected, 8 chances in 10", mark="what a plant tolerates"
    )


def _row(spot: SpotTonight, plants: list[PlantTonight]) -> RangeRow:
    mine = [p for p in plants if p.spot == spot.name]
    count = sum(p.count for p in mine)
    there = mine or [p for p in plants if p.to == spot.name]
    sd = math.hypot(spot.forecast_sd_k, spot.spot_sd_k)
    return RangeRow(
        spot.name[:1].upper() + spot.name[1:],
        plural(count, "plant") if count else "goes in here",
        spot.expected_c - EIGHT_IN_TEN_SD * sd,
        spot.expected_c,
        spot.expected_c + EIGHT_IN_TEN_SD * sd,
        [p.tolerated_c for p in there],
    )
