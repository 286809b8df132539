"""The sun against the published solar position example."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from climrisk.physics.solar import (
    beam_and_diffuse,
    clear_sky_ghi_w_m2,
    night_hours,
    sun_path,
    sunset_utc,
)
from tests.published.rows import expected


def test_reda_andreas_example():
    # Reda & Andreas 2003/2008, NREL/TP-560-34302, table A5.1: zenith 50.11162 (with
    # refraction, about 0.02 degrees), azimuth 194.34024 at 2003-10-17 19:30:30 UTC.
    time = np.array(["2003-10-17T19:00"], dtype="datetime64[m]")
    # Our hour is taken at 19:30:00; the sun moves 0.125 degrees of hour angle in 30 s.
    sun = sun_path(time, 39.742476, -105.1786)
    assert 90 - sun.elevation_deg[0] == pytest.approx(expected("SO01"), abs=0.2)
    assert sun.azimuth_deg[0] == pytest.approx(expected("SO02"), abs=0.3)


def test_night_begins_and_ends_with_the_published_sunset_and_sunrise():
    # The same table: sunrise 6.212 h, sunset 17.339 h (MST, UTC-7). A night
    # runs from sunset to an hour after sunrise, told at the middle of each hour.
    time = np.arange("2003-10-17T07:00", "2003-10-18T07:00", 60, dtype="datetime64[m]")
    dark = night_hours(sun_path(time, 39.742476, -105.1786))
    middles = np.arange(24) + 0.5
    rise, set_ = expected("SO06"), expected("SO07")
    assert dark.tolist() == ((middles < rise + 1) | (middles > set_)).tolist()


def test_the_minute_of_sunset_is_the_published_one():
    # The same table; ours are whole minutes.
    found = sunset_utc(date(2003, 10, 17), 39.742476, -105.1786)
    hours = (found - np.datetime64("2003-10-17T07:00")) / np.timedelta64(1, "h")
    assert hours == pytest.approx(expected("SO07"), abs=2 / 60)
    # At 70° north the sun neither sets in June nor rises in December.
    assert sunset_utc(date(2003, 6, 21), 70.0, 20.0) is None
    assert sunset_utc(date(2003, 12, 21), 70.0, 20.0) is None


def test_long_records_repeat_the_calendar():
    # pvlib's SPA is the reference; the four-year repeat may cost a tenth of a degree.
    from pvlib import solarposition

    time = np.arange("1995-07-01", "2025-07-01", 60, dtype="datetime64[m]")
    sun = sun_path(time, 44.1, 15.1)
    pick = np.arange(5, len(time), 997)
    middle = pd.DatetimeIndex(time[pick].astype("datetime64[s]")).tz_localize("UTC")
    spa = solarposition.get_solarposition(middle + pd.Timedelta("30min"), 44.1, 15.1)
    assert np.abs(spa["elevation"] - sun.elevation_deg[pick]).max() < 0.1


def test_haurwitz_at_sixty_degrees_zenith():
    # Haurwitz 1945, J. Meteor. 2:154 with 0.059: 487.9 W/m2 at a zenith of 60 degrees.
    from climrisk.physics.solar import SunPath

    sun = SunPath.at(np.array([30.0, -5.0]), np.array([180.0, 0.0]))
    assert clear_sky_ghi_w_m2(sun) == pytest.approx([487.9, 0.0], abs=0.1)


def test_beam_and_diffuse_agree_with_pvlib_and_close():
    from pvlib import irradiance

    from climrisk.physics.solar import SunPath

    elevation = np.array([10.0, 25.0, 50.0, 70.0])
    sun = SunPath.at(elevation, np.zeros(4))
    ghi = np.array([[60.0], [200.0], [700.0], [950.0]])
    dni, dhi = beam_and_diffuse(ghi, sun)
    closed = dhi[:, 0] + dni[:, 0] * np.sin(np.deg2rad(elevation))
    # Beam and diffuse are kept in single precision: 24 bits.
    assert closed == pytest.approx(ghi[:, 0], rel=2**-23)
    day = pd.DatetimeIndex(["2020-04-03"] * 4)  # Earth at its mean distance
    erbs = irradiance.erbs(ghi[:, 0], 90 - elevation, day)
    assert dhi[:, 0] == pytest.approx(np.asarray(erbs["dhi"]), rel=0.02)
