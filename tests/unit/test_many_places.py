"""Cases that are places: each column is what its own place alone would give."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from climrisk.exposure.hours import expose
from climrisk.physics.solar import sun_path
from climrisk.pot.root_zone import REFERENCE_POT, root_zone
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import KINDS, spot_kind
from climrisk.spot.transfer import prepare, spot_climate
from climrisk.weather.selection import WeatherChoice, load_weather
from climrisk.weather.series import Place, WeatherSeries

LATITUDES = np.array([36.5, 44.1, 51.0, 63.25, 70.0])
LONGITUDES = np.array([8.0, 15.1, 20.5, 22.4, 14.0])


def places(*, holes: bool) -> list[WeatherSeries]:
    whole = load_weather(WeatherChoice(demo=True)).between(3000, 3000 + 1300)
    out = []
    for i, (lat, lon) in enumerate(zip(LATITUDES, LONGITUDES, strict=True)):
        values = dict(whole.values)
        values["air_temp_c"] = values["air_temp_c"] - 2.0 * i
        values["dew_point_c"] = values["dew_point_c"] - 2.0 * i
        if holes:
            for j, name in enumerate(sorted(values)):
                values[name] = values[name].copy()
                values[name][200 + 97 * i + 31 * j :][: 2 + 5 * i] = np.nan
        place = Place(f"place {i}", float(lat), float(lon), None, "Etc/GMT-1")
        out.append(replace(whole, values=values, place=place))
    return out


@pytest.mark.parametrize("holes", [False, True])
@pytest.mark.parametrize("kind", KINDS)
def test_many_places_are_each_their_own(kind, holes):
    alone = places(holes=holes)
    together = replace(
        alone[0],
        values={
            name: np.concatenate([w.values[name] for w in alone], axis=1)
            for name in alone[0].values
        },
        origin=np.concatenate([w.origin for w in alone], axis=1),
    )
    one = ensemble(1)
    sun = sun_path(together.time, LATITUDES, LONGITUDES)
    prepared = prepare(together, one, sun=sun)
    climate = spot_climate(prepared, spot_kind(kind))
    # Of the same steps and hours, so that no piece begins elsewhere.
    root = root_zone(climate, REFERENCE_POT).mean_c
    swept = expose(climate.air_c, prepared.seasons, prepared.dark, np.array([5.0]))
    for i, weather in enumerate(alone):
        mine = prepare(weather, one)
        own = spot_climate(mine, spot_kind(kind))
        for name in ("air_c", "leaf_c", "longwave_top_w_m2", "solar_wall_w_m2"):
            got, want = getattr(climate, name)[:, i], getattr(own, name)[:, 0]
            # Two units of single precision, which leaves count from absolute zero.
            np.testing.assert_allclose(got, want, rtol=2e-6, atol=2 * 2.0**-15)
        want = expose(own.air_c, mine.seasons, mine.dark, np.array([5.0]))
        assert (swept.nights.valid[:, i] == want.nights.valid[:, 0]).all()
        assert swept.total_hours[0, i] == want.total_hours[0, 0]
        assert (swept.longest_run_hours[..., i] == want.longest_run_hours[..., 0]).all()
        np.testing.assert_allclose(
            root[:, i], root_zone(own, REFERENCE_POT).mean_c[:, 0], atol=1e-3
        )
