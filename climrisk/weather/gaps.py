"""Short gaps bridged by straight lines, marked as filled; long ones stay unknown."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.core.chunked import is_known
from climrisk.weather.series import Origin, WeatherSeries
from climrisk.weather.spans import spans

#: Hours that are bridged, and how far apart the ends may be (our estimates: over two
#: hours air seldom strays by more than its usual hour-to-hour noise from a line).
MOST_HOURS, MOST_APART_K = 2, 5.0


def bridged(weather: WeatherSeries) -> WeatherSeries:
    """Return a record whose gaps of up to two hours in the air are filled.

    The filled hours carry `Origin.FILLED`, and a note says how many there are. Other
    variables are not touched: where they lack, stand-ins with a spread take over.
    """
    air = weather.air_temp_c
    if is_known(air):
        return weather
    filled = air.copy()
    origin = weather.origin.copy()
    for case in range(air.shape[1]):
        rows = _bridge(filled[:, case])
        origin[rows, case] = Origin.FILLED
    count = int((origin != weather.origin).sum())
    if count == 0:
        return weather
    hours = "hour" if count == 1 else "hours"
    note = f"{count:,} {hours} in gaps of up to {MOST_HOURS} h filled by straight lines"
    return replace(
        weather,
        values={**weather.values, "air_temp_c": filled},
        origin=origin,
        notes=(*weather.notes, note),
    )


def _bridge(air: Float) -> NDArray[np.int64]:
    """Fill short gaps in place and return the rows that were filled."""
    rows = []
    for first, stop in spans(np.isnan(air)):
        if stop - first > MOST_HOURS or first == 0 or stop == len(air):
            continue
        before, after = air[first - 1], air[stop]
        if abs(after - before) > MOST_APART_K:
            continue
        inside = np.arange(first, stop)
        share = (inside - first + 1) / (stop - first + 1)
        air[inside] = before + (after - before) * share
        rows.append(inside)
    return np.concatenate(rows) if rows else np.empty(0, np.int64)
