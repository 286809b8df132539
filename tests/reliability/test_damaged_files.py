"""Every reader, given damaged files and words: read, or refused in one short line."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pvlib
import pytest

from climrisk.home import HomeEdit, demo_home_text, parse_home
from climrisk.plants.registry import find, load_profile, profile_folder
from climrisk.pot.model import FilledPot
from climrisk.spot.site import parse_site
from climrisk.weather.files import read_weather
from climrisk.weather.selection import parse_at
from climrisk.weather.series import Place
from climrisk.weather.stations.archive_file import (
    DamagedFileError,
    StationYear,
    decoded,
    encoded,
)
from climrisk.weather.typed.event_text import parse_cold
from climrisk.weather.typed.forecast_text import parse_words
from tests.damage import fuzz
from tests.made_files import epw
from tests.quick import but_quick
from tests.reliability.long_runs import repeats
from tests.unit.test_home import EXAMPLE

HERE = Place("here", 45.8, 15.9, 120.0, "Europe/Zagreb")
PVLIB = Path(pvlib.__file__).parent / "data"
EXTREMES = "date,minimum (°C),maximum (°C)\n" + "".join(
    f"2021-{m:02d}-{d:02d},{m - d % 5}.5,{m + 9 + d % 3}\n"
    for m in range(1, 13)
    for d in range(1, 29)
)


def checked(tally, counted):
    counted(tally)
    assert tally.faults == []
    assert tally.refused > 0


def as_weather(path):
    weather = read_weather(path, place=HERE, clock="standard")
    assert np.isfinite(weather.air_temp_c).any()


@pytest.mark.parametrize(
    "kind", but_quick(["epw", "tmy3", "tmy2", "extremes"], "epw", "extremes")
)
def test_damaged_typical_years_and_daily_extremes(tmp_path, kind, counted):
    hours = 10 + 8 * np.sin(np.arange(8760) * 2 * np.pi / 24)
    seed = {
        "epw": lambda: epw(tmp_path / "a.epw", hours).read_bytes(),
        "tmy3": lambda: (PVLIB / "703165TY.csv").read_bytes(),
        "tmy2": lambda: (PVLIB / "12839.tm2").read_bytes(),
        "extremes": EXTREMES.encode,
    }[kind]()
    # The slower the reader, the fewer.
    many = {"epw": 2000, "tmy3": 1000, "tmy2": 100, "extremes": 20_000}[kind]
    checked(fuzz([seed], as_weather, repeats(6, many), seed=1), counted)


def test_damaged_home_files(counted):
    seeds = [demo_home_text().encode(), EXAMPLE.read_bytes()]

    def read(path):
        text = path.read_bytes().decode("utf-8", "replace")
        parse_home(text, where="home.toml")
        edit = HomeEdit(text)
        edit.set("risk", 0.2)
        parse_home(edit.text(), where="home.toml")

    checked(fuzz(seeds, read, repeats(100, 40_000), seed=2), counted)


def test_damaged_profiles(counted):
    paths = sorted(profile_folder().glob("*.toml"))
    seeds = [p.read_bytes() for p in paths if p.stem[0].islower()]
    assert len(seeds) > 100
    checked(
        fuzz(seeds, lambda p: load_profile(p, own=True), repeats(300, 60_000), seed=8),
        counted,
    )


def test_damaged_archive_files(counted):
    columns = {"temp": np.arange(8760.0), "rhum": np.full(8760, 50.0)}
    flags = {name: np.zeros(8760, np.int8) for name in columns}
    one = StationYear("A", 2021, columns, ("x",), flags, "made", "2024-06-01")
    good = encoded(one)
    refused = 0

    def read(path):
        nonlocal refused
        try:
            again = decoded(path.read_bytes())
        except DamagedFileError:
            refused += 1
        else:
            assert np.array_equal(again.columns["temp"], columns["temp"])

    tally = fuzz([good], read, repeats(100, 20_000), seed=3)
    counted(f"{tally}; {refused:,} of them found damaged")
    assert tally.faults == []
    assert refused > 0
    with pytest.raises(DamagedFileError):
        decoded(b"[" * 3000 + b"\n" + good)


WORDS = {
    "forecast": (parse_words, "4, wind 6 km/h gusts 35 mph, clear", "39F, NE 20, 3/8"),
    "cold": (parse_cold, "3.1 at 06:00, 7 h below 8", "38F, below 45 F for 5 hours"),
    "place": (parse_at, "45.2,14.6,18", "-33.9,18.4"),
    "plant": (find, "Phalaenopsis hybrids", "lemon tree", "Masdevallia"),
    "site": (
        lambda t: parse_site(t.split()),
        "facing=SE floor=3 horizon=10",
        "glass=2",
    ),
    "medium": (lambda t: FilledPot.named("terracotta", 12, t), "50 akadama + 50 grit"),
    "layer": (
        lambda t: FilledPot.named("glass", 12, "sphagnum").with_layers(t, t),
        "3 expanded-clay",
    ),
}


@pytest.mark.parametrize("kind", WORDS)
def test_damaged_words(kind, counted):
    parse, *seeds = WORDS[kind]

    def read(path):
        parse(path.read_bytes().decode("utf-8", "surrogateescape"))

    times = repeats(30, 5000) if kind == "plant" else repeats(150, 25_000)
    tally = fuzz([s.encode() for s in seeds], read, times, seed=4)
    checked(tally, counted)
