"""Any dialect that a table may be written in is read back equal."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
from hypothesis import given, settings
from hypothesis import strategies as st

from climrisk.weather.files import read_weather
from climrisk.weather.series import Place
from tests.reliability.long_runs import repeats

HERE = Place("here", 45.8, 15.9, 120.0, "Europe/Zagreb")
DATES = ["%Y-%m-%d", "%d.%m.%Y", "%m/%d/%Y", "%d-%b-%Y", "%Y/%m/%d", "%d.%m.%y"]
TIMES = ["%H:%M", "%H:%M:%S", "%I:%M %p", "%I:%M:%S %p"]
NAMES = ["Temperature", "temp", "T_out temp", "Temperatur", "Air Temp."]


@st.composite
def dialects(draw):
    delimiter = draw(st.sampled_from([",", ";", "\t", "|"]))
    decimal = draw(st.sampled_from([".", ","])) if delimiter != "," else "."
    return {
        "delimiter": delimiter,
        "decimal": decimal,
        "date": draw(st.sampled_from(DATES)),
        "time": draw(st.sampled_from(TIMES)),
        "apart": draw(st.booleans()),
        "name": draw(st.sampled_from(NAMES)),
        "unit": draw(st.sampled_from(["c", "f"])),
        "digits": draw(st.integers(1, 3)),
        "encoding": draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "latin-1"])),
        "newline": draw(st.sampled_from(["\n", "\r\n"])),
        "before": draw(st.integers(0, 5)),
        "quoted": draw(st.booleans()),
        "humid": draw(st.booleans()),
        "lost": draw(st.sets(st.integers(0, 900), max_size=8)),
        "seed": draw(st.integers(0, 99)),
    }


def written(path: Path, series: pd.Series, d: dict[str, Any]) -> None:
    quote = '"' if d["quoted"] else ""
    unit = f"°{d['unit'].upper()}"
    head = ["Date", "Time"] if d["apart"] else ["Date time"]
    head += [f"{d['name']} ({unit})"] + (["Humidity (%)"] if d["humid"] else [])
    lines = [f"made by a test, line {i}" for i in range(d["before"])]
    lines.append(d["delimiter"].join(quote + h + quote for h in head))
    for i, (at, value) in enumerate(series.items()):
        stamp = [at.strftime(d["date"]), at.strftime(d["time"])]
        fields = stamp if d["apart"] else [" ".join(stamp)]
        shown = value * 1.8 + 32 if d["unit"] == "f" else value
        number = "" if np.isnan(value) else f"{shown:.{d['digits']}f}"
        fields = [*fields, number] + ([f"{55 + i % 11}"] if d["humid"] else [])
        fields = [f.replace(".", d["decimal"]) if j >= len(fields) - 1 - d["humid"]
                  else f for j, f in enumerate(fields)]  # fmt: skip
        lines.append(d["delimiter"].join(quote + f + quote for f in fields))
    path.write_bytes((d["newline"].join(lines) + d["newline"]).encode(d["encoding"]))


@settings(max_examples=repeats(40, 150))
@given(dialects())
def test_a_table_in_any_dialect_is_read_back(d):
    rng = np.random.default_rng(d["seed"])
    index = pd.date_range("2021-04-03", periods=24 * 40, freq="h")
    day = np.arange(len(index)) / 24
    air = 12 + 5 * np.cos(2 * np.pi * day) + rng.normal(0, 1, len(index))
    series = pd.Series(np.round(air, d["digits"]), index=index)
    series.iloc[sorted(d["lost"])] = np.nan
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        written(path, series, d)
        weather = read_weather(path, place=HERE, clock="utc")
    got = pd.Series(weather.air_temp_c[:, 0], index=pd.DatetimeIndex(weather.time))
    want = series.loc[series.first_valid_index() :]
    half_a_digit = 0.5 * 10.0 ** -d["digits"] / (1.8 if d["unit"] == "f" else 1e9)
    known = want.notna()
    assert got.reindex(want.index).notna().equals(known)
    error = (got.reindex(want.index) - want)[known].abs().max()
    assert error <= half_a_digit + 1e-6
    assert (weather.get("rel_humidity_pct") is not None) == d["humid"]
