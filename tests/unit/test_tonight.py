"""Tonight: words and forecasts, what each spot may fall to, carry, cover, leave."""

from __future__ import annotations

import json
import math
import re
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from climrisk.advice import tonight as advice
from climrisk.cli.main import main
from climrisk.commands.tonight import evening as evening_room
from climrisk.core.errors import InputError, WeatherUnavailableError
from climrisk.weather.selection import WeatherChoice
from climrisk.weather.series import Origin, Place, Source, WeatherSeries
from climrisk.weather.typed.forecast_text import TypedWeather, parse_words
from climrisk.weather.typed.night import typed_series
from tests import asking
from tests.unit.test_station_client import fresh_room, made, room, server

__all__ = ["made", "room", "server"]

JANUARY = WeatherChoice(as_of=date(2027, 1, 15))
CALM = "4, wind 6 km/h, clear"
WINDY = "4, wind 30, gusts 45 km/h"

#: Ten plants of the balcony by their night minimum, one more below it all.
MINIMA = [16, 14, 12, 10, 7, 5, 4, 3.9, 3.6, 3.2, 0]


@pytest.fixture
def balcony(tmp_path, monkeypatch):
    """Return a home of plants whose limits are ours, so that the lists are known."""
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path / "data"))
    folder = tmp_path / "data" / "plants"
    folder.mkdir(parents=True)
    rows = ['[weather]\ndemo = true\n[[spot]]\nname = "BAL"\nkind = "roofed-balcony"']
    rows.append('[[room]]\nname = "study"\nkind = "heated-room"')
    for i, low in enumerate(MINIMA):
        (folder / f"p{i}.toml").write_text(
            f'name = "Made plant {i}"\nlabel = "cool"\n[limits]\npreferred = '
            f'[{{ value = {low}, meaning = "advised_night_low", basis = "yours" }}]\n'
            f'tolerated = [{{ value = {low - 1}, meaning = "stated_minimum", '
            'basis = "yours" }]\n',
            "utf-8",
        )
        rows.append(
            f'[[plant]]\nname = "Made plant {i}"\nlabel = "no {i}"\nspot = "BAL"\n'
            f"pot_diameter_cm = {10 + 2 * i}"
        )
    path = tmp_path / "home.toml"
    path.write_text("\n".join(rows), "utf-8")
    return path


def run_json(capsys, *words):
    status = main(["tonight", *words, "--json"])
    out, err = capsys.readouterr()
    assert status == 0, err
    return json.loads(out)


def labels(rows):
    return {row["label"] for row in rows}


def test_story_of_a_bad_forecast_night(capsys, balcony, monkeypatch):
    # No network: a socket would raise here (pytest-socket), and no client is made.
    run = ("--home", str(balcony), "--as-of", "2027-01-15", "--words")
    calm = run_json(capsys, *run, CALM)
    spot = calm["spots"][0]
    assert (spot["expected_c"], spot["plan_for_c"]) == (5.5, 3.0)
    # The margin is shown, and is the joint one of forecast and spot.
    assert spot["margin_k"] == 2.5
    joint = math.hypot(spot["forecast_sd_k"], spot["spot_sd_k"])
    assert joint == pytest.approx(2.5, abs=0.05)  # half of the last digit shown
    # Carried below what they tolerate, one degree under what they prefer.
    carried = {f"no {i}" for i, low in enumerate(MINIMA) if low - 1 > 3.0}
    bridged = {f"no {i}" for i, low in enumerate(MINIMA) if low - 1 <= 3.0 < low}
    assert labels(calm["carry"]) == carried
    assert labels(calm["cover"]) == bridged == {"no 6", "no 7", "no 8", "no 9"}
    assert labels(calm["leave"]) == {"no 10"}
    assert not calm["wind_first"]
    weights = [row["weight_kg"] for row in calm["carry"]]
    assert weights == sorted(weights, reverse=True)
    assert {row["to"] for row in calm["carry"]} == {"study"}
    windy = run_json(capsys, *run, WINDY)
    spot = windy["spots"][0]
    assert spot["expected_c"] == 4.3
    assert windy["wind_first"]
    assert windy["first"][0].startswith("Wind first")
    assert windy["cover"] == []
    assert "useless" in windy["cover_words"]
    # No cover helps; what the night does not harm stays, and its row says so.
    plan = spot["plan_for_c"]
    assert labels(windy["carry"]) == {
        f"no {i}" for i, low in enumerate(MINIMA) if low - 1 > plan
    }
    between = {f"no {i}" for i, low in enumerate(MINIMA) if low - 1 <= plan < low}
    harmless = {
        r["label"] for r in windy["leave"] if "one such night does no harm" in r["why"]
    }
    assert harmless == between != set()
    assert any(c["topic"] == "falling pots" for c in windy["cautions"])


@pytest.mark.parametrize("night", [CALM, WINDY])
def test_no_answer_says_both_water_and_do_not_water(capsys, balcony, night):
    run = ("--home", str(balcony), "--as-of", "2027-01-15", "--words", night)
    document = run_json(capsys, *run)
    lines = " ".join(document["first"])
    assert "Do not water tonight" in lines
    assert "Empty the reservoir" in lines
    assert main(["tonight", *run]) == 0
    text = capsys.readouterr().out.lower()
    assert "water well" not in text
    # Nothing about water where nothing is too cold.
    mild = run_json(capsys, *run[:-1], "24, wind 30, gusts 45 km/h")
    assert not mild["carry"]
    assert not mild["cover"]
    assert "water" not in " ".join(mild["first"]).lower()


@pytest.mark.parametrize("command", [("assess", "Masdevallia"), ("calendar",)])
def test_answers_of_a_whole_year_never_say_to_water_before_wind(capsys, command):
    run = [*command, "--demo", "--years", "4", "--members", "2"]
    assert main(run) == 0
    assert "water well" not in capsys.readouterr().out.lower()


def test_lists_stand_in_the_first_lines_of_the_text(capsys, balcony):
    run = ["tonight", "--home", str(balcony), "--as-of", "2027-01-15", "--words", CALM]
    assert main(run) == 0
    text = capsys.readouterr().out
    assert text.startswith("CARRY IN 6 · COVER 4 · LEAVE 1\n")
    said = " ".join(text.split())
    assert "As typed: lowest 4 °C, clear and calm, wind 6 km/h." in said
    assert "Coldest spot: BAL, most likely 5.5 °C, plan for 3.0 °C." in said
    assert main([*run, "--details"]) == 0
    text += (full := capsys.readouterr().out)
    assert full.startswith(
        "Carry 6, cover 4, leave 1. Night of 15 January, clear and calm."
    )
    assert "margin, °C" in full
    # No number of the text is missing from the JSON.
    assert main([*run, "--json"]) == 0
    document = capsys.readouterr().out
    for number in re.findall(r"\d+\.\d", text):
        assert number in document, number


WORDS = [
    ("4, wind 6 km/h, clear", (4, None, 6 / 3.6, None, 0)),
    ("4°, wind 6 kmh; cloudless", (4, None, 6 / 3.6, None, 0)),
    ("4 with wind 30, gusts 45 km/h", (4, None, 30 / 3.6, 12.5, None)),
    ("39.2F, NE wind 20 gusts to 35 mph, 3/8", (4, None, 8.9408, 15.6464, 0.375)),
    ("-2.5 C; calm; cloud 30%", (-2.5, None, 0, None, 0.3)),
    ("min 4, max 12, wind 3 m/s, broken", (4, 12, 3, None, 0.75)),
    ("4,5 still", (4.5, None, 0, None, None)),
    ("minus 2, overcast", (-2, None, None, None, 1)),
    ("low 4 high 11 bft 4 clear", (4, 11, 0.836 * 8, None, 0)),
    ("4 C, 10 kn wind", (4, None, 5.1444, None, None)),
    ("lows around 4, clear skies, wind speed 3 m/s from NE", (4, None, 3, None, 0)),
    ("temp 4°C, 20% cloud, NW 10 km/h", (4, None, 10 / 3.6, None, 0.2)),
    ("−1 and starry", (-1, None, None, None, 0)),
]


@pytest.mark.parametrize(("text", "expected"), WORDS, ids=lambda v: str(v)[:30])
def test_words_are_read_tolerantly(text, expected):
    # Units by their definitions: 1 mph = 0.44704 m/s, 1 knot = 1852 m/h; Beaufort by
    # the formula of the World Meteorological Organization, 0.836 B^1.5.
    got = parse_words(text)
    mine = (got.lowest_c, got.highest_c, got.wind_m_s, got.gust_m_s, got.cloud_frac)
    for a, b in zip(mine, expected, strict=True):
        assert a == (None if b is None else pytest.approx(b, abs=0.01))


NONSENSE = [
    ("", "no night minimum"),
    ("clear", "no night minimum"),
    ("39", "39C or 39F"),
    ("34, wind 5 mph", "34C or 34F"),
    ("4, wind 6, clear", "no unit"),
    ("4, banana", "banana"),
    ("4, 5, clear", "two values"),
    ("4, wind 6 km/h, wind 7 km/h", "two values"),
    ("4, clear, overcast", "two words"),
    ("4, wind 900 km/h", "0 to 113"),
    ("4, wind 9 m/s, gusts 5 m/s", "weaker"),
    ("8, max 4", "below the minimum"),
    ("-90, clear", "-60"),
    ("12/8", "8/8"),
    ("4, bft 14", "0 to 12"),
    ("1e9", "1e9"),
    ("nan", "nan"),
]


@pytest.mark.parametrize(("text", "word"), NONSENSE, ids=lambda v: v or "nothing")
def test_nonsense_is_one_line_and_status_two(capsys, text, word):
    assert main(["tonight", "--words", text]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert word in err


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text):
    try:
        got = parse_words(text)
    except InputError:
        return
    assert -60 <= got.lowest_c <= 55


@given(
    low=st.floats(-15, 25),
    wind=st.floats(0, 25),
    cloud=st.floats(0, 1),
    month=st.integers(1, 12),
)
def test_the_typed_minimum_is_that_of_the_hours(low, wind, cloud, month):
    place = Place("x", 45.0, 15.0, None, "Etc/GMT-1")
    typed = TypedWeather(low, None, wind, None, cloud)
    hours = typed_series(typed, date(2026, month, 10), place, rise_k=6.0)
    air = hours.air_temp_c[:, 0]
    assert air.min() == pytest.approx(low)
    assert air.max() == pytest.approx(low + 6.0)
    night = hours.seasons().night == (date(2026, month, 10) - date(1970, 1, 1)).days
    assert air[night].min() == pytest.approx(low)


def _night(words, spot, month=1):
    choice = WeatherChoice(as_of=date(2027, month, 15))
    return asking.tonight(choice, words=words, spot=[spot])


@pytest.mark.parametrize(
    ("spot", "still", "windy"),
    [
        # The prior means of winter, from climrisk/spot/data/priors.toml.
        ("open-rail", 4.0, 4.3),
        ("yard-floor", 1.0, 4.3),
        ("roofed-walkway", 4.7, 4.3),
        ("recessed-balcony", 6.0, 4.3),
        ("glazed-balcony", 7.0, 6.0),
    ],
)
def test_spots_fall_to_their_priors(spot, still, windy):
    # Sunlight stored by glass may leave a tenth at dawn; nothing else does.
    calm = _night("4, calm, clear", spot).spots[0]
    assert calm.expected_c == pytest.approx(still, abs=0.11)
    storm = _night("4, gale, overcast", spot).spots[0]
    assert storm.expected_c == pytest.approx(windy, abs=0.11)
    assert storm.margin_k < calm.margin_k


def test_the_south_has_its_winter_in_july():
    choice = WeatherChoice(as_of=date(2027, 7, 15), at=(-33.0, 18.0))
    south = asking.tonight(choice, words=CALM, spot=["roofed-balcony"]).spots[0]
    assert south.expected_c == 5.5
    assert _night(CALM, "roofed-balcony", month=7).spots[0].expected_c == 6.0


def test_autumn_nights_lie_between_the_priors_of_winter_and_summer():
    # Of a roofed balcony 1.5 in mid January and 2.0 in mid July; 6 November lies 70 of
    # 365.25 days before mid January: 0.5 * (1 + cos(70 / 365.25 * 360°)) = 0.679.
    choice = WeatherChoice(as_of=date(2026, 11, 6))
    found = asking.tonight(choice, words=CALM, spot=["roofed-balcony"]).spots[0]
    assert found.expected_c == pytest.approx(4 + 0.679 * 1.5 + 0.321 * 2.0, abs=0.06)


@given(st.floats(-10, 20), st.floats(0, 30))
def test_a_colder_plan_never_frees_a_plant(plan, limit):
    order = {"leave": 0, "cover": 1, "carry": 2}
    for weight, wind in ((1.0, 0.5), (0.0, 12.0), (0.6, 3.0)):
        air = advice.NightAir(weight, wind, None)
        limits = limit, limit - 2.5
        here = advice.action(plan, limits, air, outdoors=True)
        colder = advice.action(plan - 1, limits, air, outdoors=True)
        assert order[colder] >= order[here]
        assert advice.action(plan, limits, air, outdoors=False) != "cover"
        if air.wind_first:
            assert here != "cover"


def test_a_cover_bridges_a_night_above_what_a_settled_plant_tolerates():
    still, windy = advice.NightAir(1.0, 1.0, None), advice.NightAir(0.0, 9.0, 13.0)

    def action(plan, air=still, **more):
        return advice.action(plan, (10.0, 4.0), air, outdoors=True, **more)

    assert action(10.0) == "leave"
    assert action(9.2) == action(6.0) == action(4.0) == "cover"
    assert action(3.9) == action(3.9, windy) == "carry"
    # Where no cover helps, a single night above what it tolerates does no harm.
    assert action(6.0, windy) == "leave"
    # Buds, cuttings and newcomers have no such leave.
    assert action(6.0, state="in-spike") == action(9.2, state="unrooted") == "carry"
    # A rest, or cold it needs, asks for nothing above what it tolerates.
    assert action(6.0, exempt=True) == "leave"
    assert action(3.9, exempt=True) == "carry"


def test_what_words_leave_open_is_said_and_widens_the_margin():
    full = _night(CALM, "roofed-balcony")
    bare = _night("4", "roofed-balcony")
    assert {a.variable for a in bare.assumed} >= {"sky", "wind"}
    assert {a.variable for a in full.assumed}.isdisjoint({"sky", "wind"})
    assert bare.night.wind_m_s is None
    assert bare.night.cloud_frac is None
    half = _night("4, wind 6 km/h", "roofed-balcony")
    assert half.night.regime_weight == pytest.approx(0.5**0.5, abs=0.01)


def made_forecast(place, now, client=None, *, hours=60):
    """Return a clear still night of 3 °C at 5 UTC, from now on."""
    time = np.datetime64(now.replace(tzinfo=None), "h").astype("datetime64[m]")
    time = time + np.arange(hours) * np.timedelta64(60, "m")
    hour = (time - time.astype("datetime64[D]")).astype(int) / 60
    air = 7.0 - 4.0 * np.cos((hour - 5) / 24 * 2 * np.pi)
    n = len(time)
    return WeatherSeries.build(
        time,
        {
            "air_temp_c": air,
            "wind_speed_m_s": np.full(n, 1.0),
            "wind_gust_m_s": np.full(n, 3.0),
            "cloud_cover_frac": np.zeros(n),
        },
        place=place,
        source=Source("forecast", f"forecast for {place.name}", "made", "station"),
        origin=np.full((n, 1), Origin.MODELED, np.uint8),
    )


NOW = datetime(2027, 1, 15, 15, 30, tzinfo=UTC)


def test_a_forecast_is_asked_for_the_home_and_its_age_is_shown(monkeypatch, balcony):
    from climrisk.home import edit_home

    calls = []

    def ask(place, now, client):
        calls.append((place, now))
        return made_forecast(place, now)

    monkeypatch.setattr("climrisk.weather.forecast.forecast_series", ask)
    with edit_home(balcony) as edit:
        edit.set("at", "45.2,14.6,18")
        edit.set("weather", "demo", None)
        edit.set("weather", "station", "10001")
    got = asking.tonight(home=balcony, now=NOW)
    place, now = calls[0]
    assert (place.latitude_deg, place.elevation_m, now) == (45.2, 18.0, NOW)
    assert got.night.evening == "2027-01-15"
    assert got.night.lowest_c == 3.0
    assert got.night.lowest_at == "06:00"  # 5 UTC in central European standard time
    assert got.spots[0].expected_c == pytest.approx(4.5, abs=0.1)
    assert got.forecast.kind == "forecast"
    assert got.forecast.fetched == "2027-01-15T15:30+00:00"
    assert got.forecast.age_min is not None
    tomorrow = asking.tonight(
        WeatherChoice(as_of=date(2027, 1, 16)), home=balcony, now=NOW
    )
    assert tomorrow.night.evening == "2027-01-16"
    with pytest.raises(InputError, match="does not reach"):
        asking.tonight(WeatherChoice(as_of=date(2027, 2, 1)), home=balcony, now=NOW)
    # The sixty hours end in the evening of the 17th: no dawn, no minimum.
    with pytest.raises(InputError, match="does not reach"):
        asking.tonight(WeatherChoice(as_of=date(2027, 1, 17)), home=balcony, now=NOW)
    # Soon after midnight the night that runs is meant.
    late = NOW.replace(hour=1)
    assert asking.tonight(home=balcony, now=late).night.evening == "2027-01-14"


def test_an_outage_is_an_outage_and_never_an_old_forecast(monkeypatch, balcony, capsys):
    def down(place, now, client):
        raise WeatherUnavailableError("the weather archive could not be read")

    monkeypatch.setattr("climrisk.weather.forecast.forecast_series", down)
    assert main(["tonight", "--at", "45,15", "--spot", "open-rail"]) == 3
    assert capsys.readouterr().out == ""
    # Typed words need nobody.
    assert main(["tonight", "--at", "45,15", "--words", CALM]) == 0


def test_no_place_is_a_question(capsys):
    assert main(["tonight", "--spot", "open-rail"]) == 2
    assert "--words" in capsys.readouterr().err


def test_the_evening_is_the_local_one():
    tokyo = "Asia/Tokyo"
    moment = datetime(2027, 1, 15, 20, 0, tzinfo=UTC)  # five in the morning there
    assert evening_room._evening_of(moment, tokyo) == date(2027, 1, 15)
    assert evening_room._evening_of(moment + timedelta(hours=2), tokyo).day == 16
    for zone, day in ((None, "2027-01-15"), (tokyo, "2027-01-16")):
        choice = WeatherChoice(at=(45.0, 15.0), zone=zone)
        late = moment + timedelta(hours=2)
        assert asking.tonight(choice, words="4", now=late).night.evening == day


def test_named_plants_and_spots_without_a_home(capsys):
    run = ("Cattleya, standard large-flowered hybrids", "--as-of", "2027-01-15")
    bare = run_json(capsys, *run, "--words", CALM, "--spot", "wall-shelf")
    assert [r["spot"] for r in bare["carry"]] == ["wall-shelf"]
    assert bare["carry"][0]["weight_kg"] is None
    assert bare["carry"][0]["to"] is None
    every = run_json(capsys, *run, "--words", CALM)
    assert {s["name"] for s in every["spots"]} >= {"open-rail", "heated-room"}
    assert every["carry"][0]["spot"] == "roofed-balcony"


def test_a_warmer_forecast_never_adds_to_what_is_carried(balcony):
    for rest in ("calm, clear", "wind 20 km/h, cloudy", "gale, overcast"):
        carried = []
        for low in range(-8, 20, 3):
            got = asking.tonight(JANUARY, words=f"{low}, {rest}", home=balcony)
            carried.append({r.label for r in got.carry})
            every = [*got.carry, *got.cover, *got.leave]
            assert len(every) == len(MINIMA)
            assert len({r.label for r in every}) == len(MINIMA)
        assert all(warm <= cold for cold, warm in pairwise(carried))
        assert carried[0] > carried[-1]


def test_a_learned_spot_is_planned_for_by_what_was_learned(balcony):
    text = balcony.read_text("utf-8")
    learned = (
        '[spot.learned]\non = "2026-03-01"\nstill_k = [3.0, 0.3]\n'
        "windy_k = [0.1, 0.2]\nday_k = [1.0, 0.5]\nnoise_k = 0.4\nin_winter = 1.0\n"
    )
    balcony.write_text(text.replace("[[room]]", learned + "[[room]]"), "utf-8")
    calm = asking.tonight(JANUARY, words=CALM, home=balcony).spots[0]
    assert calm.expected_c == pytest.approx(7.0, abs=0.05)
    assert calm.spot_sd_k == pytest.approx(0.3, abs=0.1)
    # The forecast's 2 K stays; knowing the spot takes the rest of the margin away.
    assert calm.margin_k == pytest.approx(2.0, abs=0.1)
    windy = asking.tonight(JANUARY, words=WINDY, home=balcony).spots[0]
    assert windy.expected_c == pytest.approx(4.1, abs=0.05)


def test_an_unknown_spot_is_told_what_the_home_has(capsys, balcony):
    assert main(["tonight", "--home", str(balcony), "--words", "4", "--spot", "x"]) == 2
    assert "BAL, study" in capsys.readouterr().err


def test_pots_that_the_gusts_may_throw_are_tied_or_taken_first(capsys, balcony):
    run = ("--home", str(balcony), "--as-of", "2027-01-15", "--words")
    storm = run_json(capsys, *run, "18, wind 60, gusts 100 km/h")
    # Warm enough for all: nothing to carry for the cold.
    assert storm["carry"] == storm["cover"] == []
    thrown = [r["label"] for r in storm["leave"] if r["may_fall"]]
    assert thrown
    assert storm["secure"] == thrown
    assert any("; ".join(thrown) in line for line in storm["first"])
    for row in storm["leave"]:
        low = row["falls_at_m_s"]["low"]
        assert row["may_fall"] == (row["gust_m_s"] >= low)
        # A gust at the plant is weaker than in the open.
        assert row["gust_m_s"] < 100 / 3.6
    calm = run_json(capsys, *run, CALM)
    assert calm["secure"] == []
    assert not any(r["may_fall"] for r in calm["carry"])
    # In wind those that may fall go before the heavier ones.
    both = run_json(capsys, *run, "1, wind 60, gusts 100 km/h")["carry"]
    falls = [r["may_fall"] for r in both]
    assert falls == sorted(falls, reverse=True)
    silent = run_json(capsys, *run, "4, clear")
    assert {r["gust_m_s"] for r in silent["carry"]} == {None}
    assert {r["falls_at_m_s"]["mid"] for r in silent["carry"]} == {None}


def test_a_taller_plant_falls_sooner(capsys, balcony):
    from climrisk.home import edit_home

    run = ("--home", str(balcony), "--as-of", "2027-01-15", "--words", WINDY)
    before = {
        r["label"]: r["falls_at_m_s"]["mid"] for r in run_json(capsys, *run)["carry"]
    }
    with edit_home(balcony) as edit:
        edit.change(edit.plant("no 3"), plant_height_cm=150, leaf_area_cm2=6000)
    after = {
        r["label"]: r["falls_at_m_s"]["mid"] for r in run_json(capsys, *run)["carry"]
    }
    assert after.pop("no 3") < before.pop("no 3")
    assert after == before


def test_the_real_forecast_is_fetched_anew_and_fails_loud(room, server, monkeypatch):
    class Here:
        client = room.client

    monkeypatch.setattr("climrisk.weather.stations.station.Stations", Here)
    choice = WeatherChoice(at=(48.0, 16.0, 200.0))
    got = asking.tonight(choice, spot=["open-rail"])
    assert got.forecast.kind == "forecast"
    assert "CC BY 4.0" in got.forecast.credit
    assert got.forecast.age_min == 0
    server.fail("/metno", "500")
    with pytest.raises(WeatherUnavailableError):
        asking.tonight(choice, spot=["open-rail"])
    server.heal()
    Here.client = fresh_room().client
    again = asking.tonight(choice, spot=["open-rail"])
    assert again.night.lowest_c == got.night.lowest_c


def test_page_of_tonight(capsys, balcony, tmp_path):
    page = tmp_path / "tonight.html"
    run = ("--home", str(balcony), "--as-of", "2027-01-15", "--words", CALM)
    document = run_json(capsys, *run, "--html", str(page))
    assert document["files"] == [str(page)]
    text = page.read_text("utf-8")
    assert document["sentence"] in text
    assert text.count('class="box"') == 11
    assert "<script" not in text


def test_words_of_a_keeper_are_escaped_on_the_page(balcony, tmp_path, capsys):
    from climrisk.home import edit_home

    with edit_home(balcony) as edit:
        edit.set("name", "<script>alert(1)</script>")
        edit.change(edit.plant("no 1"), label="<b>mine</b> & yours")
    page = tmp_path / "tonight.html"
    run_json(capsys, "--home", str(balcony), "--words", CALM, "--html", str(page))
    text = page.read_text("utf-8")
    assert "<script" not in text
    assert "<b>mine" not in text
    assert "&lt;b&gt;mine&lt;/b&gt; &amp; yours" in text


ROOMS = """
[weather]
demo = true
[[spot]]
name = "balcony"
kind = "roofed-balcony"
[[room]]
name = "store"
kind = "unheated-room"
[[room]]
name = "sill"
kind = "window-sill"
[[plant]]
name = "Phalaenopsis hybrids"
spot = "balcony"
"""


def test_another_room_than_the_calendar_names_is_explained(capsys, tmp_path):
    """A mild night lets the unheated room do, a winter does not."""
    path = tmp_path / "home.toml"
    path.write_text(ROOMS, "utf-8")
    assert main(["calendar", "--home", str(path), "--json"]) == 0
    [planned] = json.loads(capsys.readouterr().out)["months"]
    night = ["--home", str(path), "--words", "10, wind 6 km/h, clear"]
    command = [*night, "--as-of", "2026-11-10"]
    found = run_json(capsys, *command)
    assert (planned["room"], found["carry"][0]["to"]) == ("sill", "store")
    assert found["rooms_words"] == (
        "The rooms are chosen for this night alone; the calendar names the one for the "
        "whole winter, which may be another."
    )
    page = ["--html", str(tmp_path / "t.html")]
    assert main(["tonight", *command, "--details", *page]) == 0
    assert found["rooms_words"] in " ".join(capsys.readouterr().out.split())
    assert found["rooms_words"] in (tmp_path / "t.html").read_text("utf-8")

    # A room that the grower names is kept by both; nothing needs explaining.
    named = ROOMS + 'room = "sill"\n'
    path.write_text(named, "utf-8")
    found = run_json(capsys, *command)
    assert (found["carry"][0]["to"], found["rooms_words"]) == ("sill", "")


def test_one_room_is_no_choice(capsys, balcony):
    found = run_json(capsys, "--home", str(balcony), "--words", CALM)
    assert found["carry"]
    assert found["rooms_words"] == ""
