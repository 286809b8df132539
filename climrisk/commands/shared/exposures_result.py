"""Exposure to cold, heat and night drop as parts of a result."""

from __future__ import annotations

from typing import Literal

from climrisk.core.ranges import Band
from climrisk.render.document import Frozen


class PerYear(Frozen):
    """Hours in growing years that are wholly inside the record, middle member."""

    typical: float | None
    worst: float | None
    worst_label: str | None


class Chill(Frozen):
    """Exposure of air, leaf or root zone to the plant's cold limits.

    Totals are over the whole record, `per_growing_year` beside them; null where no
    growing year lies wholly inside the record.
    """

    hours_below_preferred: Band
    hours_below_tolerated: Band
    lowest_c: Band
    longest_run_nights: Band
    preferred_per_growing_year: PerYear | None
    tolerated_per_growing_year: PerYear | None


class Drop(Frozen):
    """Night drop: day maximum minus the following night's lowest, middle member.

    `needed` is false where experiments found that the plant needs none; `large` and
    `sudden` nights are a strain on any plant, by stated falls that are our estimates;
    `share_below_wanted` is that of the growing months.
    """

    mean_k: float | None
    p95_k: float | None
    wanted_k: float | None
    met: bool | None
    needed: bool | None
    share_below_wanted: float | None
    large_k: float
    large_nights_per_growing_year: PerYear | None
    sudden_k: float
    sudden_nights_per_growing_year: PerYear | None
    words: str


class HeatLimit(Frozen):
    """A heat limit of the plant and how often the spot passes it.

    `typical` is of the median year, hours for ``ceiling`` and ``advised_top``, nights
    for ``warm_night``; beyond `rules_out_beyond` the spot is too hot.
    """

    kind: Literal["ceiling", "advised_top", "warm_night"]
    limit_c: float
    basis: str
    typical: float | None
    rules_out_beyond: float


class Heat(Frozen):
    """Exposure to the plant's heat limits.

    `hours_above_limit` and `per_growing_year` are of the lowest published day limit,
    else of the lowest; `limits` has all. `met` is false where the heat rules the spot
    out.
    """

    limit_c: float | None
    hours_above_limit: Band | None
    per_growing_year: PerYear | None
    warm_night_c: float | None
    warm_nights: Band | None
    warm_nights_per_growing_year: PerYear | None
    limits: list[HeatLimit]
    highest_c: Band
    met: bool | None
    unknown_because: dict[str, str]
