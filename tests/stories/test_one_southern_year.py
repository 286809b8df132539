"""A coastal town at 33° S with fourteen months of data asks for "the date"."""

from __future__ import annotations

import numpy as np
import pytest

from climrisk.cli.main import main
from climrisk.core.calendar import season_months
from climrisk.spot.kinds import spot_kind
from climrisk.spot.sunlight import facing_deg
from tests.stories.nightly import ask


def record(path, latitude):
    """Fourteen months from January (south) or July (north), cold in midwinter."""
    start = "2023-01-01T00:00" if latitude < 0 else "2022-07-01T00:00"
    hours = np.arange(round(14 * 30.44 * 24))
    stamps = np.datetime64(start, "m") + hours * np.timedelta64(60, "m")
    day = hours / 24
    season = np.cos(2 * np.pi * (day - 20) / 365.25)
    air = 16 + 7 * season + 4 * np.cos(2 * np.pi * (day % 1 - 14.5 / 24))
    lines = [f"{t},{v:.1f}" for t, v in zip(stamps, air, strict=True)]
    path.write_text("time,temperature °C\n" + "\n".join(lines), "utf-8")
    return path


def result_at(capsys, tmp_path, latitude):
    path = record(tmp_path / f"{latitude}.csv", latitude)
    return ask(
        capsys,
        main,
        *("assess", "Phalaenopsis hybrids", "--file", str(path)),
        *("--at", f"{latitude},151.7", "--clock", "standard", "--members", "3"),
        *("--zone", "Etc/GMT-10", "--measured-at", "station"),
        *("--as-of", "2024-03-01"),
    )


def test_one_winter_gives_a_range_and_no_date(capsys, tmp_path):
    result = result_at(capsys, tmp_path, -33.0)
    assert result["winters"]["n"] == 1
    for side in ("move_in", "move_out"):
        move = result[side]
        assert move["month_day"] is None
        assert move["next_date"] is None
        assert move["status"] == "few"
        assert move["why"] == "1 winter on record, at least 3 needed"
        assert move["range"]["earliest"] is not None
    assert result["risk_curve"]["autumn"] == result["risk_curve"][
        "by_risk"
    ] == [] or all(r["move_in"] is None for r in result["risk_curve"]["by_risk"])
    assert result["verdict"]["word"] == "cannot say"
    assert "1 winter on record" in result["verdict"]["reasons"][0]
    assert any(w["what"] == "few winters" for w in result["weak"])


def test_the_winter_is_whole_around_july_and_months_have_their_names(capsys, tmp_path):
    result = result_at(capsys, tmp_path, -33.0)
    assert list(result["months"]) == [str(m) for m in season_months(north=False)]
    assert next(iter(result["months"])) == "1"
    coldest = result["winters"]["coldest"][0]["evening"]
    assert coldest[:4] == "2023"
    assert 6 <= int(coldest[5:7]) <= 8
    into = result["move_in"]["range"]["earliest"]
    out = result["move_out"]["range"]["latest"]
    assert 2 <= int(into[:2]) <= 6
    assert 8 <= int(out[:2]) <= 12


def test_the_other_half_of_the_earth_shifts_the_season_by_six_months(capsys, tmp_path):
    south = result_at(capsys, tmp_path, -33.0)
    north = result_at(capsys, tmp_path, 33.0)
    pairs = [
        (south[side]["range"][end], north[side]["range"][end])
        for side, end in (("move_in", "earliest"), ("move_out", "latest"))
    ]
    for a, b in pairs:
        apart = (int(b[:2]) - int(a[:2])) % 12
        assert apart in (5, 6, 7)
    # The year is the same wave: the same hours too cold, but for the months' lengths.
    one = south["air"]["preferred_per_growing_year"]["typical"]
    two = north["air"]["preferred_per_growing_year"]["typical"]
    assert one == pytest.approx(two, rel=0.05)


def test_the_sun_facing_wall_is_north():
    shelf = spot_kind("wall-shelf")
    assert facing_deg(shelf, north=False) % 360 == 0
    assert facing_deg(shelf, north=True) == 180
