"""Python and command line are one call; series carry their units."""

from __future__ import annotations

import doctest
import json
import subprocess
import sys

import numpy as np
import pytest

import climrisk
from climrisk.cli.main import main

DAY = "2026-11-25"


@pytest.fixture(scope="module")
def hours():
    return climrisk.load_weather(demo=True, years=5)


def command(capsys, *arguments):
    assert main([*arguments, "--json"]) == 0
    # Here the caller knows what was asked.
    return json.loads(capsys.readouterr().out) | {"provenance": None}


COMMON = ("--demo", "--years", "5", "--members", "3", "--as-of", DAY)


def test_assess_is_the_command(capsys, hours):
    mine = climrisk.assess(
        "Masdevallia", hours, spot="open-rail", members=3, pot="terracotta", as_of=DAY
    )
    words = ("assess", "Masdevallia", *COMMON, "--spot", "open-rail")
    assert mine.to_dict() == command(capsys, *words, "--pot", "terracotta")


def test_winter_calendar_and_exposure_are_the_commands(capsys, hours):
    told = climrisk.winter(hours, spot="open-rail", below=[4.0], members=3)
    words: tuple[str, ...] = ("winter", *COMMON, "--spot", "open-rail", "--below", "4")
    assert told.to_dict() == command(capsys, *words)
    plan = climrisk.calendar(
        hours, ["Masdevallia"], spot="open-rail", members=3, as_of=DAY
    )
    words = ("calendar", "Masdevallia", *COMMON, "--spot", "open-rail")
    by_command = command(capsys, *words)
    # The command's demo weather comes with its demo home, which has a name and height.
    mine = plan.to_dict()
    assert by_command.pop("home") == "A flat in Veladrag"
    assert mine.pop("home") == "home"
    assert mine["months"][0]["spot_kind"] == by_command["months"][0]["spot_kind"]
    record = climrisk.hours_beyond(hours, below=[4.0], wind_above=[8.0])
    words = ("exposure", "--demo", "--years", "5", "--below", "4", "--wind-above", "8")
    assert record.to_dict() == command(capsys, *words)


def test_results_are_frozen(hours):
    record = climrisk.hours_beyond(hours, below=[4.0])
    with pytest.raises(Exception, match="frozen"):
        record.lowest_c = 3.0  # type: ignore[misc]


def test_series_stand_in_a_dataset_with_units(hours):
    data = climrisk.spot_series(hours, spot="roofed-balcony", members=3)
    assert data.sizes == {"time": len(hours), "case": 3}
    assert data.spot_air_temp_c.attrs["units"] == "degC"
    assert data.spot_air_temp_c.attrs["standard_name"] == "air_temperature"
    told = climrisk.assess(
        "Masdevallia", hours, spot="roofed-balcony", members=3, as_of=DAY
    )
    lowest = np.sort(data.spot_air_temp_c.min("time").values)
    assert told.air.lowest_c.low == pytest.approx(np.percentile(lowest, 10), abs=0.06)
    # At the start the pot is not yet known.
    assert np.isnan(data.root_zone_temp_c[0]).all()
    assert np.isfinite(data.root_zone_temp_c[100:]).all()


def test_bad_words_raise_what_the_command_prints():
    with pytest.raises(climrisk.InputError, match="Did you mean blue vanda"):
        climrisk.find_plant("blu vanda")
    with pytest.raises(climrisk.InputError, match="not a date"):
        climrisk.load_weather(demo=True, first="yesterday")
    with pytest.raises(AttributeError, match="no attribute"):
        _ = climrisk.forecast
    assert issubclass(climrisk.WeatherUnavailable, climrisk.ClimriskError)


def test_importing_the_package_loads_nothing_heavy():
    code = (
        "import sys, climrisk; heavy = {'numpy', 'pandas', 'pydantic', 'numba'};"
        "sys.exit(sorted(heavy & set(sys.modules)) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert set(climrisk.__all__) <= set(dir(climrisk))


def test_the_example_in_the_package_runs():
    assert doctest.testmod(climrisk).failed == 0
    assert doctest.testmod(climrisk).attempted == 4
