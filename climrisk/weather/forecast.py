"""The forecast of a place: model hours, never readings, and never archived."""

from __future__ import annotations

from datetime import datetime

import numpy as np

from climrisk.weather.series import Origin, Place, Source, WeatherSeries
from climrisk.weather.stations.client import Client
from climrisk.weather.stations.series import CONVERTED


def forecast_series(place: Place, now: datetime, client: Client) -> WeatherSeries:
    """Return the forecast of a place as hours from now on.

    After some sixty hours the forecast comes every six hours only: the hours between
    are unknown, not filled.

    Parameters
    ----------
    place : Place
        With its height where known: a forecast for another height is another forecast.
    now : datetime
        Aware.
    client : Client

    Raises
    ------
    WeatherUnavailableError
        The forecast could not be downloaded.
    """
    frame = client.forecast(
        place.latitude_deg, place.longitude_deg, place.elevation_m, now
    )
    stamps = frame.index.to_numpy("datetime64[m]")
    time = np.arange(
        stamps[0], stamps[-1] + np.timedelta64(60, "m"), np.timedelta64(60, "m")
    )
    at = ((stamps - stamps[0]) / np.timedelta64(60, "m")).astype(int)
    values = {}
    for name, column, divisor in CONVERTED:
        if column in frame:
            full = np.full(len(time), np.nan)
            full[at] = frame[column].astype("float64").to_numpy() / divisor
            values[name] = full
    known = np.isfinite(values["air_temp_c"])[:, None]
    origin = np.where(known, Origin.MODELED, Origin.MISSING).astype(np.uint8)
    who = frame.attrs.get("credit", "Meteostat")
    return WeatherSeries.build(
        time,
        values,
        place=place,
        source=Source(
            "forecast",
            f"forecast for {place.name}",
            f"Data: {who}, CC BY 4.0, changed by us",
            "station",
        ),
        origin=origin,
        notes=("a forecast: model values, to be taken with a margin",),
    )
