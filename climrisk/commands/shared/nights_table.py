"""The nightly table: what every count is made of, by night and member."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from climrisk.core.arrays import Float
from climrisk.core.calendar import as_date, growing_year_label
from climrisk.exposure.nights import Nights
from climrisk.render.document import WeatherInfo


@dataclass(frozen=True)
class NightTable:
    """A table of nights; a row a night and spot.

    Parameters
    ----------
    header : list of str
        ``lowest_c_3`` is the lowest known hour in the third member, ``counts`` whether
        80 % of the dark hours are known, ``hours_below_preferred_3`` the hours of that
        night, noon to noon.
    rows : list of tuple
    weather : WeatherInfo
    """

    header: list[str]
    rows: list[tuple[object, ...]]
    weather: WeatherInfo


def night_table(
    spots: Mapping[str, tuple[Nights, Mapping[str, Float]]], weather: WeatherInfo
) -> NightTable:
    """Return the nights of spots, each with further columns by name."""
    header = ["spot", "evening", "growing_year", "month"]
    rows: list[tuple[object, ...]] = []
    for spot, (nights, extra) in spots.items():
        columns: dict[str, Float] = {"counts": nights.valid.astype(float)}
        columns["lowest_c"] = nights.lowest_c
        columns |= extra
        if len(header) == 4:
            members = nights.lowest_c.shape[1]
            header += [f"{n}_{m + 1}" for n in columns for m in range(members)]
        cells = np.concatenate([np.asarray(c, float) for c in columns.values()], axis=1)
        for i, values in enumerate(cells):
            year = growing_year_label(int(nights.growing_year[i]), north=nights.north)
            rows.append(
                (
                    *(spot, as_date(int(nights.evening[i])).isoformat(), year),
                    int(nights.month[i]),
                    *("" if np.isnan(v) else f"{v:.9g}" for v in values),
                )
            )
    return NightTable(header, rows, weather)
