"""After a cold event: hours by hand, bounds from words, wet first, nothing promised."""

from __future__ import annotations

import csv
import json
import re
from datetime import date, timedelta

import numpy as np
import pandas as pd
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from climrisk.advice import after
from climrisk.cli.main import main
from climrisk.commands.event.compute import _limit_from_words
from climrisk.core.errors import InputError
from climrisk.plants.registry import all_profiles, find, sources
from climrisk.weather.selection import WeatherChoice
from climrisk.weather.typed.event_text import TypedCold, parse_cold
from tests import asking
from tests.made_files import epw, logger_csv

STORY = "3.1 at 06:00, 7 h below 8"
HOME = """
[weather]
demo = true
[[spot]]
name = "balcony"
kind = "roofed-balcony"
[[room]]
name = "ROOM"
kind = "heated-room"
[[plant]]
name = "Phalaenopsis hybrids"
label = "dry one"
spot = "ROOM"
wetness = "dry"
[[plant]]
name = "Cymbidium, standard hybrids"
label = "hardy one"
spot = "ROOM"
[[plant]]
name = "Phalaenopsis hybrids"
label = "damp one"
spot = "ROOM"
[[plant]]
name = "Cattleya, standard large-flowered hybrids"
label = "wet one"
spot = "ROOM"
wetness = "wet"
count = 2
[[plant]]
name = "Masdevallia"
label = "elsewhere"
spot = "balcony"
"""


@pytest.fixture
def home(tmp_path):
    path = tmp_path / "home.toml"
    path.write_text(HOME, "utf-8")
    return path


def run_json(capsys, *words):
    status = main(["event", *words, "--json"])
    out, err = capsys.readouterr()
    assert status == 0, err
    return json.loads(out)


def test_story_of_a_heating_that_failed(capsys, home):
    run = ("--home", str(home), "--at-spot", "room", "--words", STORY)
    document = run_json(capsys, *run, "--to", "2025-01-12")
    plants = document["plants"]
    # Every plant of the room and no other, the wet ones first, the dry one last.
    assert [p["label"] for p in plants] == [
        "wet one",
        "damp one",
        "hardy one",
        "dry one",
    ]
    cattleya = plants[0]
    # 7 h below 8 °C are at least 7 below 13, and at least 7 x 5 K h; below 7 °C at
    # most those 7 h. The limits are those of the profile.
    assert cattleya["preferred"]["limit_c"] == 13
    assert cattleya["preferred"]["hours"]["low"] == 7
    assert cattleya["preferred"]["hours"]["high"] is None
    assert cattleya["preferred"]["degree_hours"]["low"] == 35
    assert cattleya["preferred"]["unknown_because"]
    assert cattleya["tolerated"]["limit_c"] == 7
    assert cattleya["tolerated"]["hours"]["low"] == 0
    assert cattleya["tolerated"]["hours"]["high"] == 7
    assert cattleya["lowest_c"]["mid"] == 3.1
    assert cattleya["root_lowest_c"]["mid"] is None
    assert cattleya["root_unknown_because"]
    # Day 3, day 7, and the roots in spring.
    watch = [(w["date"], w["after_d"]) for w in document["watch"]]
    assert watch[:2] == [("2025-01-15", 3), ("2025-01-19", 7)]
    assert watch[2][0] == "2025-04-01"
    assert "root" in document["watch"][2]["what"]
    assert document["spots"][0]["lowest_at"] == "2025-01-12 06:00"
    assert len(document["do_not"]) >= 3
    assert any("fuel" in c["text"] for c in document["cautions"])


#: Words that would promise what nobody knows.
PROMISE = re.compile(
    r"\b(die[sd]?|dead|death|doomed|safe|survive[sd]?|fine|unharmed)\b"
)


@pytest.mark.parametrize("words", [STORY, "-4, 30 h below 0", "14", "9 at 05:30"])
def test_nothing_of_ours_promises_death_or_safety(capsys, home, words):
    run = ("--home", str(home), "--at-spot", "ROOM", "--words", words)
    document = run_json(capsys, *run, "--to", "2025-01-12")
    # Cautions speak of people, reports are other people's words.
    mine = [document["sentence"]]
    mine += [p["sentence"] for p in document["plants"]]
    mine += [p["dose"]["words"] for p in document["plants"]]
    mine += [r["text"] for r in (*document["do"], *document["do_not"])]
    mine += [w["what"] + w["why"] for w in document["watch"]]
    for text in mine:
        assert not PROMISE.search(text.lower()), text


def test_frost_on_a_tender_plant_stands_in_the_first_line(capsys, home):
    run = ["event", "--home", str(home), "--at-spot", "ROOM", "--to", "2025-01-12"]
    assert main([*run, "--words", "-0.5, 3 h below 0"]) == 0
    first = capsys.readouterr().out.splitlines()[0]
    assert "frost" in first
    assert "expect damage" in first
    document = run_json(capsys, *run[1:], "--words", "-0.5, 3 h below 0")
    assert all(p["frost"] for p in document["plants"])
    # Just above freezing nothing is called frost.
    mild = run_json(capsys, *run[1:], "--words", "0.5, 3 h below 1")
    assert "frost" not in mild["sentence"]
    assert not any(p["frost"] for p in mild["plants"])


def test_frost_that_a_plant_tolerates_is_not_held_against_it(capsys):
    """Pleione is said to tolerate -2 °C."""
    run = ("Pleione", "--at-spot", "unheated-room", "--to", "2025-01-12")
    document = run_json(capsys, *run, "--words", "-0.5, 3 h below 0")
    assert not document["plants"][0]["frost"]


def test_nothing_without_a_store_is_left_to_dry_out(capsys, home):
    document = run_json(
        capsys, "--home", str(home), "--at-spot", "ROOM", "--words", STORY
    )
    dry = {p["plant"]: p["must_not_dry"] for p in document["plants"]}
    # Moth orchids have no pseudobulbs; standard cattleyas have.
    assert dry["Phalaenopsis hybrids"]
    assert not dry["Cattleya, standard large-flowered hybrids"]
    texts = [r["text"] for r in (*document["do"], *document["do_not"])]
    assert not any(re.search(r"not water|no water", t) for t in texts)
    assert any("dry once" in t and "sparingly" in t for t in texts)
    moist = next(t for t in texts if t.startswith("Must not dry out here"))
    assert "damp one" in moist
    assert "dry one" in moist
    assert "wet one" not in moist


def test_plants_that_rest_dry_are_never_said_to_need_water():
    for plant in all_profiles():
        if plant.rest in ("dry", "cool_dry") or plant.family == "Cactaceae":
            assert not after.must_not_dry(plant)


def test_textbook_plants_without_pseudobulbs_must_not_dry():
    for name in ("Masdevallia", "Paphiopedilum sect. Brachypetalum", "Miltoniopsis"):
        assert after.must_not_dry(find(name))


def test_every_source_named_is_told_and_every_rule_has_a_basis(capsys, home):
    run = ("--home", str(home), "--at-spot", "ROOM", "--words", "3.2, 3 h below 3.5")
    document = run_json(capsys, *run)
    named = {
        key
        for p in document["plants"]
        for row in (*p["dose"]["reports"], *p["signs"])
        for key in row["sources"]
    }
    named |= {
        key
        for row in (*document["watch"], *document["do"], *document["do_not"])
        for key in row["sources"]
    }
    assert named
    assert named == set(document["sources"])
    for rule in (
        *after.DO,
        *after.DO_NOT,
        *(x.rule for x in after.looks(date(2025, 1, 1), north=True)),
    ):
        assert rule.basis
        assert set(rule.sources) <= set(sources())
        assert (rule.basis == "published") == bool(rule.sources)


def test_spring_is_that_of_the_half_of_the_earth():
    # Never in the week just after, always the next spring.
    for day in pd.date_range("2024-01-01", "2025-12-31", freq="9D").date:
        for north, month in ((True, 4), (False, 10)):
            roots = after.looks(day, north=north)[2]
            assert (roots.day.month, roots.day.day) == (month, 1)
            assert 7 < roots.after_d <= 373
            assert roots.day - day == timedelta(days=roots.after_d)


def test_the_south_looks_at_roots_in_october():
    choice = WeatherChoice(at=(-33.0, 18.0), last=date(2025, 7, 12))
    south = asking.event(choice, ["Masdevallia"], words=STORY, spot="unheated-room")
    assert south.watch[2].date == "2025-10-01"


WORDS = [
    (STORY, (3.1, 6.0, 7, 8, None, None)),
    ("-2°C at 6:30; 12 hours under 0", (-2, 6.5, 12, 0, None, None)),
    ("min 38F, 5 h below 46.4F", (3.33, None, 5, 8, None, None)),
    ("7 h below 8, lowest 3,1 by 06:15", (3.1, 6.25, 7, 8, None, None)),
    ("3.1 at 06:00, then 12 again at 10:00", (3.1, 6.0, None, None, 12, 10.0)),
    (
        "Heating failed, fell to 3.1 at 6 am, below 8 for 7 h",
        (3.1, 6, 7, 8, None, None),
    ),
    ("2 at 11 pm", (2, 23, None, None, None, None)),
    ("minus 1", (-1, None, None, None, None, None)),
]


@pytest.mark.parametrize(("text", "expected"), WORDS, ids=lambda v: str(v)[:30])
def test_words_of_an_event(text, expected):
    got = parse_cold(text)
    mine = (got.lowest_c, got.at_h, got.hours, got.below_c, got.back_c, got.back_h)
    for a, b in zip(mine, expected, strict=True):
        assert a == (None if b is None else pytest.approx(b, abs=0.01))


def test_what_has_no_number_is_kept_as_a_note():
    got = parse_cold("Heating failed in ROOM, 3.1° at 06:00, 7 h below 8")
    assert got.note == "heating failed in room"
    assert (got.lowest_c, got.at_h, got.hours, got.below_c) == (3.1, 6.0, 7, 8)


def test_warming_as_told():
    assert parse_cold("3.1 at 06:00, 12 again at 10:00").warming_k_per_h == (
        pytest.approx((12 - 3.1) / 4)
    )
    assert parse_cold(STORY).warming_k_per_h is None


WRONG = [
    ("", "no lowest"),
    ("cold", "cold"),
    ("7 h below 8", "no lowest"),
    ("3, 4", "4"),
    ("9, 7 h below 8", "never reached"),
    ("3 at 06:00, 1 at 09:00", "less than the lowest"),
    ("3 at 25:00", "00:00"),
    ("38, 5 h below 46", "Celsius or Fahrenheit"),
    ("3, 9000 h below 8", "0.1 to"),
    ("3, 7 h below 8, 6 h below 7", "twice"),
    ("-80", "-60"),
]


@pytest.mark.parametrize(("text", "word"), WRONG, ids=lambda v: v or "nothing")
def test_nonsense_is_one_line_and_status_two(capsys, text, word):
    assert main(["event", "--at-spot", "unheated-room", "--words", text]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert word in err


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text):
    try:
        parse_cold(text)
    except InputError:
        return


@given(
    low=st.floats(-5, 8),
    depth=st.floats(0.5, 6),
    limit=st.floats(-6, 18),
    width=st.integers(1, 30),
)
def test_bounds_from_words_hold_the_truth(low, depth, limit, width):
    # A made night: a triangle down to its lowest, told as its hours below one value.
    air = low + np.abs(np.arange(-48, 49)) * depth / width
    below = low + depth
    assume(abs(limit - below) > 0.01)
    typed = TypedCold(low, None, float((air < below).sum()), below)
    met = _limit_from_words(limit, typed)
    hours = float((air < limit).sum())
    deep = float(np.maximum(limit - air, 0).sum())
    for band, true in ((met.hours, hours), (met.degree_hours, deep)):
        assert band.low is None or band.low <= true + 0.06  # printed to a tenth
        assert band.high is None or true <= band.high + 0.06
        assert band.low is not None


def test_hours_of_a_logger_equal_a_count_by_hand(capsys, tmp_path, home):
    index = pd.date_range("2025-01-01", periods=24 * 40, freq="h", tz="UTC")
    rng = np.random.default_rng(4)
    temps = 12 - 6 * np.cos((index.hour - 16) / 24 * 2 * np.pi) * -1
    series = pd.Series(np.round(temps + rng.normal(0, 0.6, len(index)), 1), index=index)
    series["2025-01-29 23:00":"2025-01-30 12:00"] -= 9  # the cold night
    series["2025-01-30 18:00":"2025-01-30 23:00"] = np.nan  # six hours lost
    log = logger_csv(tmp_path / "log.csv", series, clock="utc")
    file = ("--file", str(log), "--at", "45.8,15.9,120", "--clock", "utc")
    run = (*file, "--home", str(home), "--at-spot", "ROOM")
    document = run_json(capsys, *run, "--from", "2025-01-29", "--to", "2025-01-31")
    hours = series.copy()
    hours.index = hours.index + pd.Timedelta(hours=1)  # standard time there
    days = hours["2025-01-29":"2025-01-31"]
    assert document["told"]["first"] == "2025-01-29"
    spot = document["spots"][0]
    assert spot["kind"] == "heated-room"  # and its air that of the logger
    assert spot["lowest_c"]["mid"] == days.min()
    assert spot["unknown_hours"] == 6
    low = days.idxmin()
    assert spot["lowest_at"] == low.strftime("%Y-%m-%d %H:%M")
    after_low = hours[low : low + pd.Timedelta(hours=6)]
    rise = after_low.diff().max()
    assert spot["warming_k_per_h"] == pytest.approx(rise, abs=0.06)
    for plant in document["plants"]:
        for kind in ("preferred", "tolerated"):
            met = plant[kind]
            if met is None:
                continue
            limit = met["limit_c"]
            run_now = best = count = 0
            deep = 0.0
            for value in days:
                cold = value < limit
                count += cold
                deep += limit - value if cold else 0.0
                run_now = run_now + 1 if cold else 0
                best = max(best, run_now)
            assert met["hours"]["mid"] == count
            assert met["hours"]["low"] == met["hours"]["high"] == count
            assert met["degree_hours"]["mid"] == pytest.approx(deep, abs=0.11)
            assert met["longest_run_h"]["mid"] == best
            assert met["hours"]["unknown"] == 6
        assert plant["root_lowest_c"]["mid"] is not None
    # The table of hours holds the same counts.
    assert [h["at"] for h in document["hours"]] == [
        t.strftime("%Y-%m-%d %H:%M") for t in days.index
    ]
    listed = [h["mid_c"] for h in document["hours"]]
    for plant in document["plants"]:
        limit = plant["preferred"]["limit_c"]
        colder = sum(t is not None and t < limit for t in listed)
        assert plant["preferred"]["hours"]["mid"] == colder
    assert sum(t is None for t in listed) == 6
    # Where the whole record is asked, its coldest night is taken and said.
    whole = run_json(capsys, *run)
    assert whole["told"]["first"] == "2025-01-29"
    assert "coldest night" in whole["told"]["chosen"]


def test_roots_lag_behind_a_short_cold(capsys, home):
    document = run_json(capsys, "--home", str(home), "--at-spot", "balcony")
    plant = document["plants"][0]
    assert plant["label"] == "elsewhere"
    assert plant["root_lowest_c"]["mid"] is not None
    assert plant["lowest_c"]["low"] < plant["lowest_c"]["high"]
    assert plant["preferred"]["hours"]["low"] <= plant["preferred"]["hours"]["high"]


QUESTIONS = [
    (("--words", STORY), "which spot was this"),
    (("--at-spot", "cellar", "--words", STORY), "cellar"),
    (("--from", "1950-01-01", "--to", "1950-01-03"), "no hour"),
    (("--at-spot", "ROOM", "--words", STORY, "--members", "0", "--to", "x"), "--to"),
]


@pytest.mark.parametrize(("words", "word"), QUESTIONS, ids=lambda v: str(v)[:30])
def test_what_is_left_open_is_asked(capsys, home, words, word):
    assert main(["event", "--home", str(home), *words]) == 2
    assert word in capsys.readouterr().err


def test_a_typical_year_holds_no_event(capsys, tmp_path):
    path = epw(tmp_path / "x.epw", np.full(8760, 9.0))
    assert main(["event", "Masdevallia", "--file", str(path)]) == 2
    assert "typical year" in capsys.readouterr().err


def test_hours_are_in_the_table_and_words_have_none(capsys, home, tmp_path):
    sheet = tmp_path / "event.csv"
    run = ("--home", str(home), "--at-spot", "balcony", "--csv", str(sheet))
    document = run_json(capsys, *run, "--from", "2025-01-12", "--to", "2025-01-13")
    rows = list(csv.DictReader(sheet.read_text("utf-8").splitlines()))
    assert len(rows) == len(document["hours"]) == 48
    assert [float(r["mid_c"]) for r in rows] == [h["mid_c"] for h in document["hours"]]
    assert main(["event", *run, "--words", "3"]) == 2
    assert "no hours" in capsys.readouterr().err


def test_page_of_an_event(capsys, home, tmp_path):
    page = tmp_path / "event.html"
    run = ("--home", str(home), "--at-spot", "ROOM", "--words", STORY)
    document = run_json(capsys, *run, "--html", str(page))
    text = page.read_text("utf-8")
    assert document["files"] == [str(page)]
    assert text.count('class="box"') == 3
    for plant in document["plants"]:
        assert plant["label"] in text
