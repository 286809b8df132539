"""What the client hands over, as a station-year of plain arrays."""

from __future__ import annotations

from typing import Any

import numpy as np

from climrisk.weather.stations.archive_file import StationYear

#: Temperature, humidity, wind, gust, cloud: in °C, %, km/h, km/h and oktas.
COLUMNS = ("temp", "rhum", "wspd", "wpgt", "cldc")


def year_of_frame(station: str, year: int, frame: Any, series: Any) -> StationYear:
    """Return a fetched frame as all hours of its year.

    The client's small integer columns wrap when calculated with: they become floats.
    """
    import pandas as pd

    if isinstance(frame.index, pd.MultiIndex):
        frame = frame.droplevel("station")
    index = pd.date_range(f"{year}-01-01", f"{year}-12-31 23:00", freq="h")
    frame = frame[~frame.index.duplicated()].reindex(index)
    columns = {
        name: frame[name].to_numpy(dtype=float, na_value=np.nan)
        for name in COLUMNS
        if name in frame and frame[name].notna().any()
    }
    sources = {name: _sources(frame, name) for name in columns}
    names = tuple(sorted({n for column in sources.values() for n in column if n}))
    number = {name: i for i, name in enumerate(names)} | {"": -1}
    flags = {
        name: np.array([number[n] for n in column], dtype=np.int8)
        for name, column in sources.items()
    }
    credit = str(series.attribution or "Meteostat")
    return StationYear(station, year, columns, names, flags, credit)


def _sources(frame: Any, name: str) -> list[str]:
    """Return the provider of each hour of a column; "" where there is none."""
    if f"{name}_source" not in frame:
        return [""] * len(frame)
    column = frame[f"{name}_source"]
    return [str(v) if ok else "" for v, ok in zip(column, column.notna(), strict=True)]
