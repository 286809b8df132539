"""Real typical years shipped with pvlib against a plain reading by pandas."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from climrisk.commands.exposure.compute import exposure
from climrisk.weather.files import read_weather
from tests.made_files import epw

DATA = Path(str(resources.files("pvlib"))) / "data"
TMY2 = sorted(DATA.glob("*.tm2"))
TMY3 = sorted(DATA.glob("*TYA.CSV")) + sorted(DATA.glob("*TY.csv"))


@pytest.mark.skipif(not TMY3, reason="this pvlib ships no TMY3 file")
@pytest.mark.parametrize("path", TMY3, ids=lambda p: p.name)
def test_tmy3_equals_plain_rows(path):
    weather = read_weather(path)
    plain = pd.read_csv(path, skiprows=1)
    month = plain["Date (MM/DD/YYYY)"].str.slice(0, 2).astype(int)
    result = exposure(weather, below=[15.0, 0.0], wind_above=[8.0])
    for row, limit in zip(result.below, (15.0, 0.0), strict=True):
        cold = (plain["Dry-bulb (C)"] < limit).groupby(month).sum()
        assert row.hours == int(cold.sum())
        assert {int(m): n for m, n in row.by_month.items()} == dict(cold)
    assert result.wind_above[0].hours == int((plain["Wspd (m/s)"] > 8.0).sum())
    assert result.weather.kind == "typical"


@pytest.mark.skipif(not TMY2, reason="this pvlib ships no TMY2 file")
@pytest.mark.parametrize("path", TMY2, ids=lambda p: p.name)
def test_tmy2_equals_its_fixed_columns(path):
    # TMY2 user's manual, table 3-2: month in columns 4-5, dry bulb in tenths of a
    # degree in 68-71, wind in tenths of m/s in 96-98.
    lines = path.read_text("latin-1").splitlines()[1:]
    month = pd.Series([int(line[3:5]) for line in lines])
    air = pd.Series([int(line[67:71]) / 10 for line in lines])
    wind = pd.Series([int(line[95:98]) / 10 for line in lines])
    result = exposure(read_weather(path), below=[15.0], wind_above=[5.0])
    cold = (air < 15.0).groupby(month).sum()
    assert result.below[0].hours == int(cold.sum()) > 0
    assert {int(m): n for m, n in result.below[0].by_month.items()} == dict(cold)
    assert result.wind_above[0].hours == int((wind > 5.0).sum())
    assert result.lowest_c == pytest.approx(air.min())
    assert result.weather.kind == "typical"


@pytest.mark.skipif(not TMY3, reason="this pvlib ships no TMY3 file")
def test_epw_made_from_real_temperatures(tmp_path):
    real = pd.read_csv(TMY3[0], skiprows=1)["Dry-bulb (C)"].to_numpy(float)
    path = epw(tmp_path / "real.epw", real)
    result = exposure(read_weather(path), below=[15.0])
    index = pd.date_range("2005-01-01", periods=len(real), freq="h")
    cold = pd.Series(real < 15.0).groupby(index.month).sum()
    assert result.below[0].hours == int((real < 15.0).sum())
    assert {int(m): n for m, n in result.below[0].by_month.items()} == dict(cold)
    assert result.lowest_c == np.min(real)
