"""The forecast through the real client: every fault is an outage, and heals."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest

from climrisk.core.errors import WeatherUnavailableError
from climrisk.weather.forecast import forecast_series
from climrisk.weather.series import Origin, Place
from tests.quick import but_quick
from tests.unit.test_station_client import (
    BREAKING,
    bytes_stored,
    fresh_room,
    made,
    room,
    series,
    server,
)

__all__ = ["made", "room", "server"]

HERE = Place("here", 48.0, 16.0, 200.0, "Europe/Vienna")


def ask(room):
    return forecast_series(HERE, datetime.now(UTC), room.client)


def test_a_forecast_is_model_hours_with_its_credit(room):
    result = ask(room)
    assert result.source.kind == "forecast"
    known = np.isfinite(result.air_temp_c[:, 0])
    assert known.sum() > 60
    assert set(np.unique(result.origin[known])) == {Origin.MODELED}
    assert "CC BY 4.0" in result.source.credit
    # Every six hours only after some sixty: the hours between stay unknown.
    assert not known.all()
    assert (np.diff(result.time) == np.timedelta64(60, "m")).all()
    assert np.nanmax(np.abs(result.air_temp_c)) < 60


@pytest.mark.parametrize("kind", but_quick([*BREAKING, "404"], "truncate", "404"))
def test_a_fault_is_an_outage_that_heals_and_spoils_nothing(room, server, kind):
    series(room)
    before = bytes_stored(room)
    good = ask(room)
    server.fail("/metno", kind)
    with pytest.raises(WeatherUnavailableError) as caught:
        ask(room)
    assert caught.value.exit_status == 3
    assert "forecast for 48,16" in caught.value.line()
    server.heal()
    again = ask(fresh_room())
    assert np.allclose(good.air_temp_c, again.air_temp_c, equal_nan=True)
    assert bytes_stored(room) == before
