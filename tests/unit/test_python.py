"""Python and command line are one call; series carry their units."""

from __future__ import annotations

import doctest
import importlib
import json
import subprocess
import sys

import numpy as np
import pandas as pd
import pytest
import xarray as xr

import climrisk
from climrisk.cli.main import main
from climrisk.weather.synthetic_log import demo_log

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
        hours,
        climrisk.Plant("Masdevallia", state="in-spike"),
        spot=climrisk.Spot("open-rail", facing="SE", elevation_m=40),
        pot=climrisk.Pot("terracotta", 10, medium="50 akadama + 50 grit"),
        risk=climrisk.Risk(0.2, spring=0.3, strict=True),
        members=3,
        as_of=DAY,
    )
    words: tuple[str, ...] = ("assess", "Masdevallia", *COMMON, "--spot", "open-rail")
    words += ("--site", "facing=SE", "--elevation", "40", "--pot", "terracotta")
    words += ("--pot-diameter", "10", "--medium", "50 akadama + 50 grit", "--strict")
    words += ("--risk", "0.2", "--spring-risk", "0.3", "--state", "in-spike")
    assert mine.to_dict() == command(capsys, *words)


def test_winter_calendar_and_exposure_are_the_commands(capsys, hours):
    shown = climrisk.winter(hours, spot="open-rail", below=[4.0], members=3)
    words: tuple[str, ...] = ("winter", *COMMON, "--spot", "open-rail", "--below", "4")
    assert shown.to_dict() == command(capsys, *words)
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


def test_pots_and_spots_are_the_commands(capsys, hours):
    mine = climrisk.pots(
        hours,
        [climrisk.Pot("terracotta", 10, "akadama"), climrisk.Pot("glass", 10, "grit")],
        spot="open-rail",
        members=2,
    )
    common = ("pots", "--demo", "--years", "5", "--members", "2", "--spot", "open-rail")
    for pot, medium in (("terracotta", "akadama"), ("glass", "grit")):
        words: tuple[str, ...] = (
            *common,
            "--pot",
            pot,
            "--medium",
            medium,
            "--pot-diameter",
            "10",
        )
        alone = command(capsys, *words)["pots"][0]
        together = next(p for p in mine.to_dict()["pots"] if p["pot"] == pot)
        assert together["lowest_c"] == alone["lowest_c"]
    ranked = climrisk.rank_spots(hours, "Masdevallia", ["open-rail"], members=2)
    more = ("--demo", "--years", "5", "--members", "2", "--spot", "open-rail")
    by_command = command(capsys, "spots", "Masdevallia", *more)
    assert ranked.to_dict()["spots"] == by_command["spots"]


def test_learn_tonight_and_review_take_series(hours):
    logger = demo_log(climrisk.Weather.demo())
    taught = climrisk.learn(logger, spot="roofed-balcony", against="demo")
    assert taught.nights_used > 20
    looked = climrisk.review(logger, spot="roofed-balcony", against=hours, members=1)
    assert any(night.logger_c is not None for night in looked.nights)
    here = climrisk.tonight(
        hours, ["Masdevallia"], words="4, clear", spots=["open-rail"]
    )
    assert here.spots[0].expected_c < 5


def test_what_has_no_effect_is_refused(hours):
    with pytest.raises(TypeError, match="setup='full' has no effect here"):
        climrisk.remedies(hours, "Masdevallia", pot=climrisk.Pot(setup="full"))
    with pytest.raises(TypeError, match=r"preferred=10\.0 has no effect here"):
        climrisk.winter(hours, climrisk.Plant("Masdevallia", preferred_c=10.0))
    with pytest.raises(TypeError, match=r"site=.* has no effect here"):
        climrisk.event(hours, spot=climrisk.Spot("open-rail", facing="SE"))


def test_results_read_well_in_a_notebook(hours):
    result = climrisk.winter(hours, spot="open-rail", below=[4.0], members=1)
    first = result.summary().splitlines()[0]
    assert repr(result) == f"<WinterResult: {first}>"
    assert first in result._repr_html_()
    frame = result.to_frame()
    assert list(frame.columns[:2]) == ["evening", "lowest_c"]
    assert len(frame) == len(result.nights)
    assert result.to_dataset()["lowest_c"].sizes == {"row": len(result.nights)}
    assert result.figure().data
    assert "<svg" in result.to_html()
    assert json.loads(result.to_json()) == result.to_dict()


def test_a_data_frame_and_a_dataset_are_the_record(hours):
    hours = hours.between(0, 8766)
    frame = pd.DataFrame(
        {name: values[:, 0] for name, values in hours.values.items()},
        index=pd.DatetimeIndex(hours.time),
    )
    place = (hours.place.latitude_deg, hours.place.longitude_deg)
    again = climrisk.Weather.from_frame(frame.tz_localize("UTC"), at=place)
    known = {"below": [4.0], "wind_above": [8.0]}
    there = climrisk.hours_beyond(hours, **known).below
    assert climrisk.hours_beyond(again, **known).below[0].hours == there[0].hours
    # Hours that a frame leaves out are missing, never zero.
    gap = climrisk.Weather.from_frame(frame.drop(frame.index[100:110]), at=place)
    assert len(gap) == len(hours)
    assert np.isnan(gap.air_temp_c[100:110]).all()
    data = frame[["air_temp_c"]].rename(columns={"air_temp_c": "t2m"}).to_xarray()
    data = data.rename(index="time")
    data["t2m"] = data["t2m"] + 273.15
    data["t2m"].attrs["units"] = "K"
    kelvin = climrisk.Weather.from_dataset(data, at=place)
    assert kelvin.air_temp_c == pytest.approx(hours.air_temp_c, nan_ok=True)
    grid = xr.concat([data, data + 5], "longitude").expand_dims(latitude=[place[0]])
    grid["longitude"] = [place[1], place[1] + 1]
    grid["t2m"].attrs["units"] = "K"
    near = climrisk.Weather.from_dataset(grid, at=(place[0], place[1] + 0.9))
    assert near.air_temp_c == pytest.approx(hours.air_temp_c + 5, nan_ok=True)


@pytest.mark.parametrize(
    ("change", "error"),
    [
        (lambda f: f.reset_index(), "the index of the data frame is no time"),
        (lambda f: f.rename(columns={"air_temp_c": "t"}), "columns that are not known"),
        (lambda f: f.drop(columns="air_temp_c"), "no air temperature"),
        (lambda f: pd.concat([f, f[:1]]), "an hour twice"),
        (lambda f: pd.concat([f[:2], f[2:].shift(freq="10min")]), "not an hour apart"),
        (lambda f: f.assign(air_temp_c=99.0), "99"),
    ],
)
def test_frames_that_are_no_record(change, error):
    index = pd.date_range("2024-01-01", periods=48, freq="h")
    frame = pd.DataFrame({"air_temp_c": 5.0, "rel_humidity_pct": 80.0}, index=index)
    with pytest.raises(climrisk.InputError, match=error):
        climrisk.Weather.from_frame(change(frame), at="45,14")


def test_results_are_frozen(hours):
    record = climrisk.hours_beyond(hours, below=[4.0])
    with pytest.raises(Exception, match="frozen"):
        record.lowest_c = 3.0  # type: ignore[misc]


def test_series_stand_in_a_dataset_with_units(hours):
    data = climrisk.spot_series(hours, spot="roofed-balcony", members=3)
    assert data.sizes == {"time": len(hours), "case": 3}
    assert data.spot_air_temp_c.attrs["units"] == "degC"
    assert data.spot_air_temp_c.attrs["standard_name"] == "air_temperature"
    result = climrisk.assess(
        hours, "Masdevallia", spot="roofed-balcony", members=3, as_of=DAY
    )
    lowest = np.sort(data.spot_air_temp_c.min("time").values)
    assert result.air.lowest_c.low == pytest.approx(np.percentile(lowest, 10), abs=0.06)
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
    assert issubclass(climrisk.WeatherUnavailableError, climrisk.ClimriskError)


def test_importing_the_package_loads_nothing_heavy():
    code = (
        "import sys, climrisk; heavy = {'numpy', 'pandas', 'pydantic', 'numba'};"
        "sys.exit(sorted(heavy & set(sys.modules)) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert set(climrisk.__all__) <= set(dir(climrisk))


@pytest.mark.parametrize(
    ("module", "count"),
    [
        ("climrisk", 4),
        ("climrisk.commands.api", 3),
        ("climrisk.commands.shared.result", 2),
        ("climrisk.inputs.values", 3),
        ("climrisk.weather.given", 2),
    ],
)
def test_the_examples_of_the_documentation_run(module, count):
    module = importlib.import_module(module)
    done = doctest.testmod(module, extraglobs={"Weather": climrisk.Weather})
    assert (done.failed, done.attempted) == (0, count)
