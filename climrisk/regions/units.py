"""The maps that come out: name, dimensions, unit and words, as CF has them."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from climrisk.advice.dates import STATUSES
from climrisk.advice.heat import HeatKind
from climrisk.advice.months import STATES
from climrisk.advice.places import VERDICTS


@dataclass(frozen=True)
class Output:
    """A map.

    Parameters
    ----------
    dims : tuple of str
        Before latitude and longitude: of ``plant`` and ``month``.
    attrs : dict
        CF attributes.
    dtype : type
    fill : float
        Where there is nothing to say.
    """

    dims: tuple[str, ...]
    attrs: dict[str, Any] = field(default_factory=dict)
    dtype: type = np.float32
    fill: float = float("nan")

    def shape(self, plants: int, cells: tuple[int, ...]) -> tuple[int, ...]:
        """Return the shape of the map, its cells last."""
        size = {"plant": plants, "month": 12}
        return (*(size[d] for d in self.dims), *cells)


def _map(unit: str, words: str, *dims: str, **more: str) -> Output:
    return Output(dims, {"units": unit, "long_name": words, **more})


def _codes(words: str, names: tuple[str, ...], *dims: str) -> Output:
    return Output(
        dims,
        {
            "long_name": words,
            "flag_values": np.arange(len(names), dtype=np.int8),
            "flag_meanings": " ".join(n.replace(" ", "_") for n in names),
        },
        np.int8,
        -1,
    )


#: The map of each kind of heat limit.
HEAT_MAPS: dict[HeatKind, str] = {
    "ceiling": "hours_above_ceiling_per_year",
    "advised_top": "hours_above_advised_top_per_year",
    "warm_night": "warm_nights_per_year",
}
_SUM = {"cell_methods": "time: sum"}
_BELOW = "hours of spot air below the {} night minimum, over the whole record"
_DEPTH = "sum of hourly depths of spot air below the {} night minimum"
_ROOT = "hours of the root zone below the {} night minimum, over the whole record"
_MEDIAN = {"cell_methods": "time: sum within years time: median over years"}
_HOT = (
    "hours of spot air above the plant's {} in the median growing year; missing where "
    "it has no such limit or no year is whole"
)
_DATE = (
    "day of a common year, 1 for 1 January; missing where the status says that there "
    "is no date"
)

OUTPUTS: dict[str, Output] = {
    "known_hours": _map("h", "hours with a known air temperature at the spot"),
    "lowest_air_temperature": _map(
        "degC",
        "lowest hour of spot air",
        standard_name="air_temperature",
        cell_methods="time: minimum",
    ),
    "lowest_root_zone_temperature": _map(
        "degC", "lowest hour of the root zone", cell_methods="time: minimum"
    ),
    "hours_below_preferred": _map("h", _BELOW.format("preferred"), "plant", **_SUM),
    "hours_below_preferred_per_year": _map(
        "h", "hours of spot air below the preferred night minimum in 8766 known hours",
        "plant",
    ),
    "hours_below_tolerated": _map("h", _BELOW.format("tolerated"), "plant", **_SUM),
    "degree_hours_below_preferred": _map(
        "K h", _DEPTH.format("preferred"), "plant", **_SUM
    ),
    "degree_hours_below_tolerated": _map(
        "K h", _DEPTH.format("tolerated"), "plant", **_SUM
    ),
    "longest_run_hours": _map(
        "h", "longest run of hours of spot air below the preferred minimum; unknown "
        "hours neither join nor end one", "plant",
    ),
    "longest_run_nights": _map(
        "1", "longest run of nights with an hour of spot air below the preferred "
        "minimum; unknown nights neither join nor end one", "plant",
    ),
    "root_zone_hours_below_preferred": _map(
        "h", _ROOT.format("preferred"), "plant", **_SUM
    ),
    "root_zone_hours_below_tolerated": _map(
        "h", _ROOT.format("tolerated"), "plant", **_SUM
    ),
    "winters": _map("1", "winters that count: 80 % of their nights known", "plant"),
    "share_of_years_with_cold_night": _map(
        "1", "share of the winters that count with a night below the preferred minimum",
        "plant",
    ),
    "share_of_years_with_harmful_night": _map(
        "1", "share of the winters that count with a night below the tolerated minimum",
        "plant",
    ),
    "months_indoors": _map(
        "1", "months from the date to move in to the date to move out; missing with "
        "fewer than three winters", "plant",
    ),
    "verdict_at_spot": _codes(
        "what the spot allows without the rooms of a home, by its months and its heat",
        VERDICTS, "plant",
    ),
    "hours_above_ceiling_per_year": _map(
        "h", _HOT.format("upper limit"), "plant", **_MEDIAN
    ),
    "hours_above_advised_top_per_year": _map(
        "h", _HOT.format("advised day maximum"), "plant", **_MEDIAN
    ),
    "warm_nights_per_year": _map(
        "1", "nights in the median growing year that stay above what the plant takes; "
        "missing where it has no such limit or no year is whole", "plant", **_MEDIAN,
    ),
    "month_state": _codes(
        "where the plant stays in a month: outdoors, indoors, or outdoors and carried "
        "in on single nights (watch), by its harmful and cold nights",
        STATES, "plant", "month",
    ),
    "month_share_with_harmful_night": _map(
        "1", "share of the years with a harmful night in the month", "plant", "month"
    ),
    "move_in_day_of_year": _map(
        "d", f"evening by which to be inside: {_DATE}", "plant"
    ),
    "move_in_status": _codes("what the date to move in is", STATUSES, "plant"),
    "move_out_day_of_year": _map(
        "d", f"evening from which to be out: {_DATE}", "plant"
    ),
    "move_out_status": _codes("what the date to move out is", STATUSES, "plant"),
}  # fmt: skip
