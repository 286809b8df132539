"""A spot learned from its logger: known truth found again, nothing counted twice."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace

import numpy as np
import pytest

from climrisk.cli.main import main
from climrisk.commands.learn.compute import learn
from climrisk.commands.shared.spot_and_pot import spot_info
from climrisk.core.errors import InputError
from climrisk.spot.calibration import (
    WEEKS_K,
    CommonNights,
    evidence,
    fit,
    held_out,
    with_more,
)
from climrisk.spot.calibration_hours import by_hour
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.transfer import prepare, spot_air_c
from climrisk.weather.selection import WeatherChoice, load_weather
from climrisk.weather.series import WeatherSeries
from climrisk.weather.synthetic_log import demo_log

PRIOR_STILL, PRIOR_WINDY, NOISE = (1.5, 1.5), (0.3, 0.5), (1.0, 0.6)
PRIOR = (PRIOR_STILL, PRIOR_WINDY, NOISE)
HOME = """
# mine
[weather]
demo = true

[[spot]]
name = "balcony"   # the big one
kind = "roofed-balcony"
"""


def made(seed, nights=None):
    """Nights of a spot whose truth is drawn from the prior; scatter that lingers.

    Each week departs by its own amount, and so does the time to come, whose offsets are
    what is to be found.
    """
    rng = np.random.default_rng(seed)
    n = nights or int(rng.integers(20, 60))
    weight = rng.beta(0.7, 0.7, n)
    still, windy = rng.normal(*PRIOR_STILL), rng.normal(*PRIOR_WINDY)
    scatter, stays = rng.uniform(0.6, 1.2), 0.4
    noise = rng.normal(0, scatter, n)
    for i in range(1, n):
        noise[i] = stays * noise[i - 1] + np.sqrt(1 - stays**2) * noise[i]
    true = np.clip(weight + rng.normal(0, 0.1, n), 0, 1)
    noise *= (NOISE[1] + true * (NOISE[0] - NOISE[1])) / np.mean(NOISE)
    noise += rng.normal(0, WEEKS_K, n // 7 + 1)[np.arange(n) // 7]
    minimum = true * still + (1 - true) * windy + noise + rng.normal(0, 0.3)
    stray = rng.random(n) < 0.04  # readings of another place, of a lamp, of a hand
    minimum[stray] += rng.normal(0, 5, stray.sum())
    nightly = CommonNights(np.arange(n) + 19000, minimum, weight, np.full(n, 0.1))
    return nightly, np.array([still, windy]) + rng.normal(0, WEEKS_K)


def test_known_offsets_lie_in_nine_of_ten_stated_intervals():
    hits = np.zeros(2)
    for seed in range(200):
        nights, truth = made(seed)
        found = fit(nights, *PRIOR)
        away = np.abs(found.mean - truth)
        hits += away < 1.645 * np.array(found.spread_k)
    assert (hits / 200 >= 0.85).all()
    assert (hits / 200 <= 0.95).all(), hits / 200


def test_more_nights_more_weight():
    nights, _ = made(3, nights=60)
    few = fit(nights.only(np.arange(60) < 8), *PRIOR)
    many = fit(nights, *PRIOR)
    none = fit(nights.only(np.zeros(60, bool)), *PRIOR)
    assert none.mean == pytest.approx([1.5, 0.3])
    # Of the prior, the sensor and the weeks to come.
    assert none.spread_k[0] == pytest.approx(np.sqrt(1.5**2 + 0.3**2 + WEEKS_K**2))
    assert many.spread_k[0] < few.spread_k[0] < none.spread_k[0]
    coming = with_more(few, nights.weight, nights.spread, NOISE, nights=28)
    assert many.spread_k[0] * 0.6 < coming[0] < few.spread_k[0]


def test_without_scatter_the_fit_is_generalized_least_squares():
    """Solved whole, with the covariance of all nights written out."""
    nights, _ = made(5, nights=40)
    found = fit(nights, *PRIOR)
    clean = replace(nights, minimum_k=2.0 * nights.weight - 0.5 * (1 - nights.weight))
    exact = fit(clean, *PRIOR)
    noise = NOISE[1] + nights.weight * (NOISE[0] - NOISE[1])
    own = (exact.noise_k * noise / np.mean(NOISE)) ** 2
    own = own + (0.1 * (exact.mean[0] - exact.mean[1])) ** 2
    week = np.arange(40) // 7
    covariance = np.diag(own * exact.inflation)
    covariance += WEEKS_K**2 * (week[:, None] == week[None, :])
    rows = np.stack([nights.weight, 1 - nights.weight], axis=1)
    prior = np.diag([1.5**-2, 0.5**-2])
    left = rows.T @ np.linalg.solve(covariance, rows) + prior
    right = rows.T @ np.linalg.solve(covariance, clean.minimum_k) + prior @ [1.5, 0.3]
    assert exact.mean == pytest.approx(np.linalg.solve(left, right), abs=0.01)
    assert exact.covariance == pytest.approx(np.linalg.inv(left), abs=0.005)
    assert found.noise_k > exact.noise_k


def test_earlier_nights_count_once():
    nights, _ = made(8, nights=40)
    early, late = nights.only(np.arange(40) < 20), nights.only(np.arange(40) >= 20)
    first = fit(early, *PRIOR)
    earlier = (evidence(early, first),)
    both = fit(late, *PRIOR, before=earlier)
    whole = fit(nights, *PRIOR)
    assert both.mean == pytest.approx(whole.mean, abs=0.25)
    assert both.spread_k == pytest.approx(whole.spread_k, abs=0.12)


def test_hours_of_the_night_get_their_own_departure():
    rng = np.random.default_rng(1)
    nights, hours = 60, np.array([18, 20, 22, 0, 2, 4, 6])
    weight = np.repeat([0.0, 1.0], nights // 2)
    night = np.repeat(np.arange(nights), len(hours))
    hour = np.tile(hours, nights)
    shape = np.where(hour == 20, 1.0, 0.0) * weight[night]
    found = fit(
        CommonNights(np.arange(nights), 2 * weight, weight, np.full(nights, 0.05)),
        *((2.0, 0.1), (0.0, 0.1), NOISE),
    )
    difference = 2 * weight[night] + shape + rng.normal(0, 0.2, len(night))
    still, windy = by_hour(difference, hour, night, weight, found)
    assert still[20] == pytest.approx(1.0, abs=0.15)
    assert windy[20] == pytest.approx(0.0, abs=0.15)
    assert still[2] == pytest.approx(0.0, abs=0.15)


@pytest.fixture(scope="module")
def demo():
    return load_weather(WeatherChoice(demo=True))


def test_the_invented_balcony_is_found_again_and_foretold_better(demo):
    kind = spot_kind("roofed-balcony")
    log = demo_log(demo)
    taught = learn(log, demo, kind).result
    assert taught.still.low < 2.4 < taught.still.high
    assert taught.windy.low < 0.2 < taught.windy.high
    assert taught.error_after_k < taught.error_before_k < taught.error_station_k


def test_what_was_learned_moves_the_spots_air_to_the_logger(demo):
    kind = spot_kind("roofed-balcony")
    log = demo_log(demo)
    learned = replace(kind, learned=learn(log, demo, kind).learned)
    weeks = np.isin(demo.time, log.time)
    part = demo.between(int(np.argmax(weeks)), int(np.argmax(weeks)) + len(log))
    prepared = prepare(part, ensemble(1))
    dark = prepared.dark
    before = (spot_air_c(prepared, kind) - log.air_temp_c)[dark]
    after = (spot_air_c(prepared, learned) - log.air_temp_c)[dark]
    assert np.sqrt((after**2).mean()) < 0.8 * np.sqrt((before**2).mean())
    assert abs(after.mean()) < 0.2
    # The spread of a learned spot is that of the lesson, not of the prior.
    wide = spot_air_c(prepare(part, ensemble(9)), kind)[dark].std(axis=1).mean()
    narrow = spot_air_c(prepare(part, ensemble(9)), learned)[dark].std(axis=1).mean()
    assert narrow < 0.7 * wide


def test_readings_of_a_sensor_in_the_sun_do_not_teach_nights(demo):
    log = demo_log(demo)
    hot = log.air_temp_c.copy()
    noon = (log.seasons().hour >= 11) & (log.seasons().hour <= 14)
    hot[noon] += 12
    sunny = replace(log, values={**log.values, "air_temp_c": hot})
    kind = spot_kind("roofed-balcony")
    clean, spoiled = (learn(x, demo, kind).result for x in (log, sunny))
    assert spoiled.offset_still_k == pytest.approx(clean.offset_still_k, abs=0.05)


def run_json(capsys, *arguments):
    status = main(["learn", *arguments, "--json"])
    out, err = capsys.readouterr()
    assert status == 0, err
    return json.loads(out)


def written(log: WeatherSeries, path):
    local = log.time + np.timedelta64(60, "m")
    lines = ["time,temperature °C"]
    for t, v in zip(local, log.air_temp_c[:, 0], strict=True):
        lines.append(f"{str(t).replace('T', ' ')},{v:.1f}")
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path


def test_saved_in_the_home_file_once_however_often(capsys, tmp_path, demo):
    home = tmp_path / "home.toml"
    home.write_text(HOME, "utf-8")
    log = written(demo_log(demo), tmp_path / "log.csv")
    ask = [
        *("--file", str(log), "--clock", "standard", "--home", str(home)),
        *("--spot", "balcony", "--as-of", "2025-02-01"),
    ]
    first = run_json(capsys, *ask, "--save")
    text = home.read_text("utf-8")
    assert first["saved"] == str(home)
    assert "# the big one" in text
    saved = tomllib.loads(text)["spot"][0]["learned"]
    assert saved["still_k"] == [first["offset_still_k"], first["spread_k"]]
    assert saved["on"] == "2025-02-01"
    again = run_json(capsys, *ask, "--save")
    assert again["offset_still_k"] == first["offset_still_k"]
    assert any("no night counts twice" in note for note in again["notes"])
    saved = tomllib.loads(home.read_text("utf-8"))["spot"][0]["learned"]
    assert len(saved["evidence"]) == 1
    main(
        [
            *("assess", "Phalaenopsis hybrids", "--home", str(home)),
            *("--spot", "balcony", "--members", "3", "--json"),
        ]
    )
    used = json.loads(capsys.readouterr().out)["spot"]
    assert used["learned"] is True
    assert "learned from a logger at this spot" in used["notes"]
    assert not any("learn them anew" in note for note in used["notes"])
    assert used["still_offset_k"] == [first["offset_still_k"], first["spread_k"]]


def test_offsets_from_another_station_are_flagged(demo):
    kind = spot_kind("roofed-balcony")
    learned = replace(kind, learned=learn(demo_log(demo), demo, kind).learned)
    elsewhere = replace(demo, source=replace(demo.source, label="another airfield"))
    notes = spot_info(learned, elsewhere, 3).notes
    assert any("learn them anew" in note for note in notes)


def test_a_min_max_thermometer_teaches_as_well(capsys, tmp_path, demo):
    log = demo_log(demo)
    seasons = log.seasons()
    rows = []
    for day in np.unique(seasons.day)[1:-1]:
        night = seasons.night == day - 1
        before = seasons.day == day - 1
        low = log.air_temp_c[night, 0].min()
        high = log.air_temp_c[before, 0].max()
        when = str(np.datetime64(int(day), "D"))
        rows.append(f"{when};{low:.1f};{high:.1f}".replace(".", ","))
    path = tmp_path / "thermometer.csv"
    path.write_text("Date;Minimum °C;Maximum °C\n" + "\n".join(rows), "utf-8")
    found = run_json(capsys, "--file", str(path), "--against", "demo")
    assert found["still"]["low"] < 2.4 < found["still"]["high"]
    assert found["nights_used"] > 60
    evening = run_json(
        capsys, "--file", str(path), "--against", "demo", "--read", "evening"
    )
    assert evening["day_k"] != found["day_k"]
    assert evening["offset_still_k"] == found["offset_still_k"]


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("2024-12-01,5,3", "a minimum above its maximum"),
        ("2024-12-01,1,3\n2024-12-01,2,4", "a date is there twice"),
        ("2024-12-01,61,75\n2024-12-02,60,71", "does not say its unit"),
        ("2024-12-01,1,8\n2024-12-02,2,9", "too few nights in common"),
    ],
)
def test_wrong_tables_are_told_in_one_line(capsys, tmp_path, rows, words):
    path = tmp_path / "t.csv"
    path.write_text(f"date,min,max\n{rows}\n", "utf-8")
    status = main(["learn", "--file", str(path), "--against", "demo"])
    err = capsys.readouterr().err
    assert status == 2
    assert words in err
    assert err.count("\n") == 1


def test_what_cannot_be_learned_is_refused(capsys, demo):
    with pytest.raises(InputError, match="no difference from a station to learn"):
        learn(demo_log(demo), demo, spot_kind("heated-room"))
    assert main(["learn", "--demo", "--save"]) == 2
    assert "nowhere to save" in capsys.readouterr().err
    assert main(["learn", "--at", "44.1,15.1"]) == 2
    summer = demo.between(0, 60 * 24)
    with pytest.raises(InputError, match="too few nights in common"):
        learn(demo_log(demo), summer, spot_kind("open-rail"))


def test_less_than_three_weeks_have_no_error_of_their_own():
    nights, _ = made(2, nights=12)
    assert held_out(nights, *PRIOR) is None
