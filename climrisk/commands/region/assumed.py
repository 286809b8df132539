"""What stands in for variables that a grid lacks, in words."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from climrisk.commands.shared.weather_info import assumed_info
from climrisk.regions.job import RegionJob
from climrisk.render.document import Assumed
from climrisk.spot.ensemble import ensemble
from climrisk.spot.transfer import prepare
from climrisk.weather.series import Place, Source, WeatherSeries

#: What a spot needs, and which variables of a grid give it.
_GIVES = {
    "dew_point_c": (
        ("dew_point_c",),
        ("rel_humidity_pct",),
        ("specific_humidity", "surface_pressure"),
    ),
    "wind_speed_m_s": (("wind_speed_m_s",), ("wind_east", "wind_north")),
    "cloud_cover_frac": (("cloud_cover_frac",),),
    "ghi_w_m2": (("ghi_w_m2",),),
}
_USUAL = {"dew_point_c": 5.0, "wind_speed_m_s": 2.0, "cloud_cover_frac": 0.5,
          "ghi_w_m2": 100.0}  # fmt: skip


def assumed(job: RegionJob) -> list[Assumed]:
    """Return the stand-ins, as a record with the same variables gets them."""
    known = job.grid().variables
    values = {
        name: np.full((48, 1), _USUAL[name], np.float32)
        for name, ways in _GIVES.items()
        if any(all(part in known for part in way) for way in ways)
    }
    values["air_temp_c"] = np.full((48, 1), 10.0, np.float32)
    time = np.datetime64("2020-01-01T00:00", "m") + np.arange(48) * np.timedelta64(
        60, "m"
    )
    made = WeatherSeries.build(
        time,
        values,
        place=Place("", 45.0, 15.0, None, "Etc/GMT-1"),
        source=Source("grid", "", "", "station"),
    )
    substitutes = prepare(replace(made), ensemble(1)).assumed
    return list(assumed_info(substitutes))
