"""What is printed of a spot's uncertainty is what its members have."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from climrisk.commands.shared.spot_and_pot import spot_info
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.transfer import prepare, spot_air_c
from climrisk.weather.selection import WeatherChoice, load_weather

MEMBERS = 200


@pytest.fixture(scope="module")
def demo():
    """Return a year of the demo weather."""
    return load_weather(WeatherChoice(demo=True)).between(0, 24 * 365)


@pytest.mark.parametrize("name", ["open-rail", "roofed-balcony", "glasshouse"])
@pytest.mark.parametrize("regime", ["still", "windy"])
def test_the_printed_spread_is_that_of_the_members(demo, name, regime):
    # A wind that leaves no doubt of the regime, and a cloudless sky.
    wind = np.full((len(demo), 1), 0.0 if regime == "still" else 20.0)
    values = {**demo.values, "wind_speed_m_s": wind, "cloud_cover_frac": 0 * wind}
    weather = replace(demo, values=values)
    kind = replace(spot_kind(name), night_noise_sd=(1e-6, 1e-6))
    shown = spot_info(kind, weather, MEMBERS)
    made = prepare(weather, ensemble(MEMBERS))
    # Mid January at three in the night.
    seasons = made.seasons
    hours = (seasons.month == 1) & (seasons.hour == 3)
    january = np.flatnonzero(hours)[15]
    spread = float(spot_air_c(made, kind)[january].std())
    printed = shown.still_offset_k if regime == "still" else shown.windy_offset_k
    mean, sd = printed or (None, None)
    # The regime itself is uncertain by a tenth, which moves mixed nights more.
    doubt = 0.1 * abs(mean - shown.windy_offset_k[0])
    assert spread == pytest.approx(sd, abs=0.08 + doubt)
    assert sd >= 1.1
