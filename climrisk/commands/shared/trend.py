"""Whether the winters of a record have drifted or jumped, in words."""

from __future__ import annotations

import numpy as np

from climrisk.core.calendar import WINTER_MONTHS, growing_year_label
from climrisk.core.quantities import difference
from climrisk.exposure.nights import Nights
from climrisk.exposure.trend import drift
from climrisk.render.document import DriftInfo


def drift_info(nights: Nights) -> DriftInfo | None:
    """Return trend and break of the winters' mean night minima, middle member.

    None where fewer than ten winters count.
    """
    lowest = np.median(nights.lowest_c, axis=1)
    winter = np.isin(nights.month, WINTER_MONTHS[nights.north])
    counted = [y for y, ok in nights.winters.items() if ok.mean() >= 0.5]
    means = [
        float(np.nanmean(lowest[winter & (nights.growing_year == y)])) for y in counted
    ]
    trend = drift(np.array(means), np.array(counted))
    if trend is None:
        return None
    label = growing_year_label(counted[trend.break_at], north=nights.north)
    words = f"over {len(counted)} winters no trend and no break is seen"
    if trend.kind == "trend":
        way = "warmed" if trend.per_decade > 0 else "cooled"
        wrong = "too cautious" if trend.per_decade > 0 else "too bold"
        words = (
            f"winter nights have {way} by {difference(abs(trend.per_decade), 1)} a "
            "decade: "
            f"dates from all winters are {wrong} for today; use the last ones only"
        )
    elif trend.kind == "break":
        way = "warmer" if trend.shift > 0 else "colder"
        words = (
            f"winter nights from {label} on are {difference(abs(trend.shift), 1)} "
            f"{way} than "
            f"before, at once: the station may have moved; use the last winters only"
        )
    return DriftInfo(
        kind=trend.kind,
        k_per_decade=round(trend.per_decade, 2),
        p_trend=round(trend.p_trend, 3),
        break_in=label,
        shift_k=round(trend.shift, 2),
        p_break=round(trend.p_break, 3),
        words=words,
    )
