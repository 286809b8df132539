"""Every option of every command moves what it should; none is forgotten."""

from __future__ import annotations

import json
import tempfile
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import typer

from climrisk.cli.main import application, main
from climrisk.inputs.weather import WeatherInput
from examples.made_region import dataset
from tests.made_files import logger_csv, truth
from tests.quick import but_quick
from tests.unit import keeper_options
from tests.unit.test_home import EXAMPLE

OWN = """
name = "My windowsill orchid"
label = "intermediate"
[limits]
preferred = [
  { value = 10, meaning = "advised_night_low", basis = "yours" },
  { value = 14, meaning = "advised_night_low", basis = "yours", when = "in-spike" },
]
"""
WEATHER = {d.name.rstrip("_") for d in WeatherInput.declared()}
#: Tried on one command, because all commands share one decorator.
SHARED_BY = "exposure"
#: How an answer is shown; tried with the texts in test_answers.
SHOWN = {"json", "details", "units"}
FEW = ("--years", "12", "--members", "3")
BASE = {
    "exposure": ("exposure", "--demo", "--years", "6", "--below", "10"),
    "assess": ("assess", "My windowsill orchid", "--demo", *FEW),
    "winter": ("winter", "My windowsill orchid", "--demo", *FEW),
    "calendar": ("calendar", "My windowsill orchid", "--demo", *FEW),
    "remedies": (
        *("remedies", "My windowsill orchid", "--demo", "--years", "4"),
        *("--members", "2", "--medium", "expanded-clay"),
    ),
    "arrive": (
        *("arrive", "My windowsill orchid", "--demo", *FEW, "--as-of", "2026-10-01"),
    ),
    "pots": (
        *("pots", "My windowsill orchid", "--demo", "--years", "2", "--members", "2"),
        *("--pot", "thin-plastic", "--medium", "expanded-clay"),
    ),
    "learn": ("learn", "--demo"),
    "region": (
        *("region", "GRID", "--plant", "My windowsill orchid", "--at", "36.05,-8"),
        *("--risk", "0.25"),
    ),
    "spots": (
        *("spots", "My windowsill orchid", "--demo", "--years", "3"),
        *("--members", "2", "--spot", "roofed-balcony"),
    ),
} | keeper_options.BASE


@lru_cache(maxsize=1)
def made_grid():
    """Five years of four cells; one temperature has a hole, another has none."""
    path = Path(tempfile.mkdtemp()) / "made.nc"
    data = dataset(2, 2, 5 * 8766)
    data["warm"] = data["t2m"].copy()
    del data["warm"].attrs["standard_name"]
    data["t2m"][3000:3500] = np.nan
    data.to_netcdf(path, engine="h5netcdf")
    return str(path)


@pytest.fixture(scope="session")
def data_folder(tmp_path_factory):
    """Return a data folder with a plant of one's own; its caches are shared."""
    folder = tmp_path_factory.mktemp("data")
    (folder / "plants").mkdir()
    (folder / "plants" / "mine.toml").write_text(OWN, "utf-8")
    return folder


@pytest.fixture(autouse=True)
def own_plant(data_folder, monkeypatch):
    monkeypatch.setenv("CLIMRISK_DATA", str(data_folder))


@pytest.fixture
def run_json(capsys):
    def ask(*arguments):
        words = [made_grid() if a == "GRID" else a for a in arguments]
        status = main([*words, "--json"])
        out, err = capsys.readouterr()
        assert status == 0, err
        return json.loads(out)

    return ask


#: Documents of the base commands, each run once.
_BASES: dict[tuple[str, ...], Any] = {}


@pytest.fixture
def base_document(run_json):
    def ask(*arguments):
        if arguments not in _BASES:
            _BASES[arguments] = run_json(*arguments)
        return _BASES[arguments]

    return ask


def at(document, path):
    for key in path.split("/"):
        document = document[int(key) if isinstance(document, list) else key]
    return document


OWNED, WARM = ("--limit-source", "memory"), ("--preferred", "10")
OWN_SOURCE = "preferred/sources"
SOURCE_OF = f"plant/limits/{OWN_SOURCE}"
CELL, ROOTS = "at/0/plants/0", "root_zone_hours_below_preferred"
#: (command, option): its value, what is looked at, and which way it goes.
MOVES = {
    ("exposure", "below"): (["12"], "below/1/hours", "added"),
    ("exposure", "above"): (["25"], "above/0/hours", "added"),
    ("exposure", "humidity-below"): (["50"], "humidity_below/0/hours", "added"),
    ("exposure", "vpd-above"): (["1.2"], "vpd_above/0/hours", "added"),
    ("exposure", "wind-above"): (["8"], "wind_above/0/hours", "added"),
    ("exposure", "inclusive"): ([], "below/0/hours", "up"),
    ("exposure", "home"): ([str(EXAMPLE)], "weather/kind", "same"),
    ("assess", "spot"): (["open-rail"], "air/hours_below_preferred/mid", "up"),
    ("assess", "site"): (["hollow=yes"], "air/hours_below_preferred/mid", "up"),
    ("assess", "pot-diameter"): (["25"], "pot/time_constant_h", "up"),
    ("assess", "pot"): (["terracotta"], "root_zone/hours_below_preferred/mid", "up"),
    ("assess", "medium"): (["sphagnum"], "root_zone/hours_below_preferred/mid", "up"),
    ("assess", "wetness"): (["wet"], "root_zone/hours_below_preferred/mid", "up"),
    ("assess", "state"): (["in-spike"], "air/hours_below_preferred/mid", "up"),
    ("assess", "risk"): (["0.5"], "move_in/month_day", "later"),
    ("assess", "spring-risk"): (["0.4"], "move_out/month_day", "earlier"),
    ("assess", "members"): (["9"], "spot/members", "up"),
    ("assess", "crocking"): (
        ["4 sand"],
        "root_zone/hours_below_preferred/mid",
        "moved",
    ),
    ("assess", "top-dressing"): (
        ["2 grit"],
        "root_zone/hours_below_preferred/mid",
        "down",
    ),
    ("assess", "stands-on"): (["feet"], "root_zone/hours_below_preferred/mid", "up"),
    ("assess", "watered-every"): (
        ["20"],
        "root_zone/hours_below_preferred/mid",
        "moved",
    ),
    ("assess", "pot-color"): (["white"], "root_zone/hours_below_preferred/mid", "up"),
    ("assess", "plant-height"): (["90"], "wind/toppling/falls_at_m_s/mid", "down"),
    ("assess", "leaf-area"): (["200"], "wind/toppling/falls_at_m_s/mid", "up"),
    ("assess", "setup"): (["full"], "root_zone/hours_below_preferred/mid", "moved"),
    ("assess", "elevation"): (["600"], "air/lowest_c/mid", "down"),
    ("assess", "preferred"): (
        ["14", "--limit-source", "memory"],
        "air/hours_below_preferred/mid",
        "up",
    ),
    ("assess", "tolerated"): (
        ["5", "--limit-source", "memory"],
        "plant/limits/tolerated",
        "moved",
    ),
    ("assess", "hot-limit"): (
        ["25", "--limit-source", "memory"],
        "heat/limit_c",
        "moved",
    ),
    ("assess", "limit-source"): (
        ["the label", "--preferred", "10"],
        "plant/limits/preferred/sources",
        "moved",
    ),
    ("assess", "strict"): ([], "air/hours_below_tolerated/mid", "up"),
    ("assess", "home"): ([str(EXAMPLE)], "air/hours_below_preferred/mid", "moved"),
    ("arrive", "spot"): (["open-rail"], "coming/lowest_c/mid", "down"),
    ("arrive", "site"): (["hollow=yes"], "coming/lowest_c/mid", "moved"),
    ("arrive", "weeks"): (["2"], "coming/cold_nights/mid", "down"),
    ("arrive", "state"): (["in-spike"], "preferred_c", "up"),
    ("arrive", "risk"): (["0.9"], "hold_until", "moved"),
    ("arrive", "members"): (["9"], "spot/members", "up"),
    ("arrive", "elevation"): (["600"], "coming/lowest_c/mid", "down"),
    ("arrive", "strict"): ([], "coming/share_with_harmful_night", "up"),
    ("arrive", "home"): ([str(EXAMPLE)], "weather/kind", "same"),
    **{
        (command, option): ([value, *more], path, way)
        for command, option, value, more, path, way in (
            ("arrive", "preferred", "14", OWNED, "preferred_c", "up"),
            ("arrive", "tolerated", "5", OWNED, "tolerated_c", "down"),
            ("arrive", "hot-limit", "25", OWNED, "coming/hot_days/mid", "up"),
            ("arrive", "limit-source", "the label", WARM, SOURCE_OF, "moved"),
            ("remedies", "preferred", "14", OWNED, "air_hours_typical_year/mid", "up"),
            ("remedies", "tolerated", "5", OWNED, "remedies/1/name", "moved"),
            ("remedies", "hot-limit", "25", OWNED, "verdict", "moved"),
            (
                "remedies",
                "limit-source",
                "the label",
                WARM,
                "preferred/sources",
                "moved",
            ),
        )
    },
    ("remedies", "spot"): (["open-rail"], "air_hours_per_year/mid", "up"),
    ("remedies", "site"): (["hollow=yes"], "air_hours_per_year/mid", "up"),
    ("remedies", "pot-diameter"): (["25"], "root_hours_per_year/mid", "down"),
    ("remedies", "pot"): (["terracotta"], "root_hours_per_year/mid", "up"),
    ("remedies", "medium"): (["sphagnum"], "root_hours_per_year/mid", "moved"),
    ("remedies", "wetness"): (["wet"], "root_hours_per_year/mid", "up"),
    ("remedies", "stands-on"): (["feet"], "root_hours_per_year/mid", "up"),
    ("remedies", "state"): (["in-spike"], "air_hours_per_year/mid", "up"),
    ("remedies", "risk"): (["0.5"], "remedies/-1/air_hours_per_year/mid", "moved"),
    ("remedies", "members"): (["3"], "members", "up"),
    ("remedies", "elevation"): (["600"], "air_hours_per_year/mid", "up"),
    ("remedies", "strict"): ([], "remedies/-1/air_hours_per_year/mid", "down"),
    ("remedies", "home"): ([str(EXAMPLE)], "spot/kind", "same"),
    ("winter", "spot"): (["open-rail"], "thresholds/0/hours_per_winter/mid", "up"),
    ("winter", "site"): (
        ["hollow=yes"],
        "thresholds/0/hours_per_winter/mid",
        "up",
    ),
    ("winter", "below"): (["3"], "thresholds/2/threshold_c", "added"),
    ("winter", "winter"): (["2020/21"], "shown", "moved"),
    ("winter", "state"): (["in-spike"], "thresholds/0/threshold_c", "up"),
    ("winter", "members"): (["9"], "members", "up"),
    ("winter", "elevation"): (["600"], "worst/0/lowest_c", "down"),
    ("winter", "home"): ([str(EXAMPLE)], "worst/0/lowest_c", "moved"),
    ("calendar", "spot"): (["open-rail"], "months/0/move_in/month_day", "earlier"),
    ("calendar", "site"): (
        ["hollow=yes"],
        "months/0/move_in/month_day",
        "earlier",
    ),
    ("calendar", "state"): (["in-spike"], "months/0/preferred_c", "up"),
    ("calendar", "risk"): (["0.5"], "months/0/move_in/month_day", "later"),
    ("calendar", "trips"): (["2"], "trips", "down"),
    ("calendar", "spring-risk"): (["0.4"], "months/0/move_out/month_day", "earlier"),
    ("calendar", "members"): (["1"], "months/0/move_in/month_day", "later"),
    ("calendar", "elevation"): (["600"], "months/0/move_in/month_day", "earlier"),
    ("calendar", "strict"): ([], "months/0/move_in/month_day", "earlier"),
    ("calendar", "home"): ([str(EXAMPLE)], "home", "moved"),
    ("pots", "spot"): (["open-rail"], "pots/0/lowest_c/mid", "down"),
    ("pots", "site"): (["hollow=yes"], "pots/0/hours_below/10/mid", "up"),
    ("pots", "pot"): (["terracotta"], "pots/1/pot", "added"),
    ("pots", "medium"): (["sphagnum"], "pots/1/medium", "added"),
    ("pots", "pot-diameter"): (["25"], "pots/0/time_constant_h", "up"),
    ("pots", "wetness"): (["wet"], "pots/0/wet_and_cold_hours_per_year/mid", "up"),
    ("pots", "below"): (["3"], "pots/0/hours_below/3/mid", "added"),
    ("pots", "state"): (["in-spike"], "preferred_c", "up"),
    ("pots", "members"): (["6"], "members", "up"),
    ("pots", "crocking"): (["3 sand"], "pots/0/daily_amplitude_ratio", "down"),
    ("pots", "top-dressing"): (["2 grit"], "pots/0/warmer_k/mid", "up"),
    ("pots", "stands-on"): (["feet"], "pots/0/lowest_c/mid", "down"),
    ("pots", "watered-every"): (["20"], "pots/0/lowest_c/mid", "moved"),
    ("pots", "pot-color"): (["white"], "pots/0/warmer_k/mid", "down"),
    ("pots", "plant-height"): (["90"], "pots/0/falls_at_m_s/mid", "down"),
    ("pots", "leaf-area"): (["200"], "pots/0/falls_at_m_s/mid", "up"),
    ("pots", "setup"): (["full"], "pots/0/hours_below/10/mid", "moved"),
    ("pots", "elevation"): (["600"], "pots/0/lowest_c/mid", "down"),
    ("pots", "home"): ([str(EXAMPLE)], "pots/0/lowest_c/mid", "moved"),
    ("region", "plant"): (["Masdevallia"], "at/0/plants/1/plant", "added"),
    ("region", "at"): (["36.15,-7.9"], "at/1/latitude_deg", "added"),
    ("region", "spot"): (["open-rail"], f"{CELL}/hours_below_preferred", "up"),
    ("region", "site"): (["hollow=yes"], f"{CELL}/hours_below_preferred", "up"),
    ("region", "pot-diameter"): (["30"], "at/0/lowest_root_zone_temperature_c", "up"),
    ("region", "pot"): (["terracotta"], f"{CELL}/{ROOTS}", "up"),
    ("region", "medium"): (["sphagnum"], f"{CELL}/{ROOTS}", "moved"),
    ("region", "wetness"): (["wet"], f"{CELL}/{ROOTS}", "moved"),
    ("region", "crocking"): (["4 sand"], f"{CELL}/{ROOTS}", "moved"),
    ("region", "top-dressing"): (["2 grit"], f"{CELL}/{ROOTS}", "moved"),
    ("region", "stands-on"): (["feet"], f"{CELL}/{ROOTS}", "moved"),
    ("region", "pot-color"): (["white"], f"{CELL}/{ROOTS}", "up"),
    ("region", "state"): (["in-spike"], f"{CELL}/hours_below_preferred", "up"),
    ("region", "risk"): (["0.5"], f"{CELL}/move_in", "later"),
    ("region", "spring-risk"): (["0.6"], f"{CELL}/move_out", "earlier"),
    ("region", "setup"): (["full"], f"{CELL}/{ROOTS}", "moved"),
    ("region", "variable"): (["air_temp_c=warm"], "at/0/known_hours", "up"),
    ("learn", "spot"): (["yard-floor"], "prior_still/mean", "down"),
    ("learn", "site"): (["hollow=yes"], "prior_still/mean", "down"),
    ("learn", "against"): (["demo"], "offset_still_k", "same"),
    ("learn", "elevation"): (["600"], "offset_still_k", "up"),
    ("learn", "home"): ([str(EXAMPLE)], "offset_still_k", "moved"),
    ("spots", "spot"): (["open-rail"], "spots/1/spot", "added"),
    ("spots", "site"): (
        ["hollow=yes"],
        "spots/0/hours_below_preferred/mid",
        "up",
    ),
    ("spots", "pot"): (
        ["terracotta"],
        "spots/0/root_zone_hours_below_preferred/mid",
        "up",
    ),
    ("spots", "pot-diameter"): (
        ["25"],
        "spots/0/root_zone_hours_below_preferred/mid",
        "moved",
    ),
    ("spots", "medium"): (
        ["sphagnum"],
        "spots/0/root_zone_hours_below_preferred/mid",
        "moved",
    ),
    ("spots", "state"): (["in-spike"], "preferred_c", "up"),
    ("spots", "members"): (["6"], "members", "up"),
    ("spots", "elevation"): (["600"], "spots/0/lowest_c/mid", "down"),
    ("spots", "strict"): ([], "spots/0/harmful_nights/mid", "up"),
    ("spots", "home"): ([str(EXAMPLE)], "spots/0/lowest_c/mid", "moved"),
    ("exposure", "years"): (["3"], "weather/hours_expected", "down"),
    ("exposure", "from"): (["2023-07-01"], "below/0/hours", "down"),
    ("exposure", "to"): (["2021-06-30"], "below/0/hours", "down"),
    ("exposure", "zone"): (["Asia/Tokyo"], "below/0/by_month/3", "moved"),
    ("exposure", "measured-at"): (["spot"], "weather/measured_at", "moved"),
} | keeper_options.MOVES
FILES = {
    ("assess", "html"),
    ("assess", "csv"),
    ("arrive", "html"),
    ("remedies", "html"),
    ("remedies", "csv"),
    ("winter", "html"),
    ("winter", "csv"),
    ("calendar", "html"),
    ("calendar", "csv"),
    ("calendar", "ics"),
    ("calendar", "sheet"),
    ("calendar", "nights"),
    ("assess", "nights"),
    ("pots", "html"),
    ("pots", "csv"),
    ("spots", "html"),
    ("spots", "csv"),
    ("learn", "html"),
    ("learn", "csv"),
    ("region", "csv"),
} | keeper_options.FILES
#: Tried elsewhere: pictures in the browser tests, places and readers in their own.
ELSEWHERE = {
    ("assess", "means"),
    ("remedies", "png"),
    ("assess", "png"),
    ("winter", "png"),
    ("pots", "png"),
    *(("region", o) for o in ("html", "png")),
    *(("region", o) for o in ("out", "workers", "scheduler", "threads", "rechunk")),
    ("spots", "png"),
    ("learn", "png"),
    ("learn", "read"),
    ("learn", "save"),
    *(
        ("exposure", o)
        for o in ("demo", "file", "town", "at", "station", "combine", "fill")
    ),
    *(
        ("exposure", o)
        for o in ("temperature-unit", "date-order", "clock", "column", "as-of")
    ),
} | keeper_options.ELSEWHERE


#: Commands share the parts that read and use an option: one of them is tried each time.
QUICK = {option: (command, option) for command, option in MOVES}.values()


@pytest.mark.parametrize(
    ("command", "option"), but_quick(MOVES, *QUICK), ids=lambda v: v
)
def test_option_moves_its_numbers_the_right_way(
    run_json, base_document, command, option
):
    values, path, way = MOVES[command, option]
    base = BASE[command]
    if option == "years":
        base = ("exposure", "--demo", "--below", "10")
    changed = at(run_json(*base, f"--{option}", *values), path)
    if way == "added":
        assert changed is not None
        with pytest.raises((IndexError, KeyError)):
            at(base_document(*base), path)
        return
    before = at(base_document(*base), path)
    rule = {
        "up": lambda: changed > before,
        "down": lambda: changed < before,
        "moved": lambda: changed != before,
        "same": lambda: changed == before,
        "later": lambda: _place(changed) > _place(before),
        "earlier": lambda: _place(changed) < _place(before),
    }[way]
    assert rule(), (before, changed)


def _place(month_day):
    month, day = (int(p) for p in month_day.split("-"))
    return ((month - 7) % 12, day)


@pytest.mark.parametrize(
    "command", but_quick(sorted({c for c, _ in FILES}), "assess", "calendar")
)
def test_file_options_write_files_and_name_them(run_json, tmp_path, command):
    paths = {o: str(tmp_path / f"out.{o}") for c, o in sorted(FILES) if c == command}
    words = [word for option, path in paths.items() for word in (f"--{option}", path)]
    document = run_json(*BASE[command], *words)
    for path in paths.values():
        assert Path(path).stat().st_size > 100
    assert sorted(document.get("files", paths.values())) == sorted(paths.values())


def test_today_moves_the_calendars_year_and_nothing_else(run_json):
    now = run_json(*BASE["calendar"], "--as-of", "2026-11-25")
    then = run_json(*BASE["calendar"], "--as-of", "2028-02-29")
    assert now["months"][0]["states"] == then["months"][0]["states"]
    assert then["as_of"] == "2028-02-29"
    first = date.fromisoformat(then["entries"][0]["date"])
    assert first.year == 2027


def test_clock_unit_and_order_of_a_file_change_what_it_says(run_json, tmp_path):
    path = logger_csv(tmp_path / "a.csv", truth("2021-05-01", 24 * 60), clock="utc")
    base = ("exposure", "--file", str(path), "--at", "45.8,15.9", "--below", "12")
    utc = run_json(*base, "--clock", "utc")
    standard = run_json(*base, "--clock", "standard")
    assert utc["weather"]["first"] != standard["weather"]["first"]
    hot = run_json(*base, "--clock", "utc", "--temperature-unit", "f")
    assert hot["lowest_c"] < utc["lowest_c"]
    far = run_json(
        *("exposure", "--file", str(path), "--at", "35.7,139.7", "--below", "12"),
        *("--clock", "standard"),
    )
    assert far["weather"]["first"] != standard["weather"]["first"]


def commands():
    found: Any = typer.main.get_command(application())
    return {
        name: {
            option.lstrip("-")
            for parameter in command.params
            for option in parameter.opts
            if option.startswith("--")
        }
        for name, command in found.commands.items()
    }


def test_no_option_is_forgotten():
    known = set(MOVES) | FILES | ELSEWHERE
    every = commands()
    assert set(every) == {
        *BASE,
        *keeper_options.WRITES,
        "logger",
        "plants",
        "stations",
        "demo",
    } | {
        *("serve", "schema", "help"),
    }
    for name in keeper_options.NO_RECORD:
        assert {(name, o) for o in every[name] - SHOWN} - known == set()
    for name in set(BASE) - keeper_options.NO_RECORD:
        weather = {o for o in every[name] if o.replace("-", "_") in WEATHER}
        if name == "region":
            weather = set()  # its hours are those of the map
        else:
            assert len(weather) == len(WEATHER), name
        own = every[name] if name == SHARED_BY else every[name] - weather
        assert {(name, o) for o in own - SHOWN} - known == set()


def test_help_names_every_command_and_loads_no_heavy_library():
    import subprocess
    import sys

    code = (
        "import sys; from climrisk.cli.main import main; s = main(['--help']);"
        "heavy = {'pandas','numpy','xarray','plotly','numba','pvlib','meteostat'};"
        "sys.exit(s or sorted(heavy & set(sys.modules)) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    for name in commands():
        assert name in done.stdout
