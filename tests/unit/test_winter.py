"""The winter exposure of a spot."""

from __future__ import annotations

import json
from datetime import date

import numpy as np
import pytest

from climrisk.cli.main import main
from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.commands.winter.compute import winter
from climrisk.commands.winter.text import winter_text
from climrisk.core.calendar import Seasons
from climrisk.core.errors import InputError
from climrisk.plants.registry import find
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.transfer import prepare, spot_air_c
from climrisk.weather.series import WeatherSeries
from climrisk.weather.synthetic import demo_weather
from tests.made_weather_series import climate


@pytest.fixture(scope="module")
def result():
    return winter(
        demo_weather(), NamedSpot("rail", spot_kind("as-measured")), below=(5.0, 0.0)
    )


def test_nights_are_those_of_the_record(result):
    # The record as it is: each night's lowest by a plain loop over noon-to-noon days.
    weather = demo_weather()
    seasons = Seasons.of(weather.time, zone=weather.place.zone, latitude_deg=44.0)
    air = weather.air_temp_c
    for row in result.nights[::17]:
        evening = date.fromisoformat(row.evening)
        number = (evening - date(1970, 1, 1)).days
        mine = air[seasons.night == number]
        assert len(mine) == 24
        assert row.lowest_c == pytest.approx(mine.min(), abs=0.051)
        assert row.hours_below["5"] == (mine < 5).sum()
        assert row.hours_below["0"] == (mine < 0).sum()


def test_a_winter_is_november_to_march(result):
    assert result.shown == "2024/25"
    assert result.nights[0].evening == "2024-11-01"
    assert result.nights[-1].evening == "2025-03-31"
    assert len(result.nights) == 151
    assert len(result.winters) == 30
    assert all(w.counts for w in result.winters)
    shown = next(w for w in result.winters if w.label == result.shown)
    assert shown.lowest_c == min(n.lowest_c for n in result.nights)
    assert shown.hours_below["5"] == sum(n.hours_below["5"] for n in result.nights)
    assert [n.lowest_c for n in result.worst] == sorted(
        n.lowest_c for n in result.nights
    )[:5]


def test_sums_are_those_of_the_winters(result):
    five = next(t for t in result.thresholds if t.threshold_c == 5)
    prepared = prepare(demo_weather(), ensemble(result.members))
    air = spot_air_c(prepared, spot_kind(result.spot_kind))
    evening = prepared.seasons.night.astype("datetime64[D]")
    month = evening.astype("datetime64[M]").astype(int) % 12 + 1
    winter = np.isin(month, (11, 12, 1, 2, 3))
    hours = [
        (air[winter & (prepared.seasons.growing_year == year)] < 5).sum(axis=0)
        for year in range(1995, 2025)
    ]
    band = five.hours_per_winter
    counted = np.percentile(np.array(hours), (10, 50, 90))
    assert (band.low, band.mid, band.high) == pytest.approx(counted, abs=0.051)
    assert five.longest_run_nights >= 1


def test_a_run_lies_within_its_winter():
    """Cold without a break from September to May: a run is as long as the winter.

    The record has leap years: at most 152 nights, and no fewer than the 151 of others.
    """
    made = climate(mean=4.0, season=0.0, day=1.0, years=3, start="2001-07-01T00:00")
    result = winter(
        made, NamedSpot.of(spot_kind("as-measured")), below=(10.0,), members=1
    )
    (ten,) = result.thresholds
    assert len(result.nights) <= 152
    assert ten.longest_run_nights in (151, 152)
    assert ten.longest_run_nights <= max(w.cold_nights["10"] for w in result.winters)


def test_longest_run_of_all_winters_by_a_plain_loop(result):
    air: dict[int, float] = {}
    weather = demo_weather()
    seasons = Seasons.of(weather.time, zone=weather.place.zone, latitude_deg=44.0)
    month = np.asarray(seasons.night_month(seasons.night))
    for night, m, t in zip(seasons.night, month, weather.air_temp_c[:, 0], strict=True):
        if m in (11, 12, 1, 2, 3):
            air[night] = min(air.get(night, 99.0), t)
    best = count = 0
    before = None
    for night in sorted(air):
        joined = before is not None and night == before + 1
        count = (count + 1 if joined else 1) if air[night] < 5 else 0
        best, before = max(best, count), night
    five = next(t for t in result.thresholds if t.threshold_c == 5)
    assert five.longest_run_nights == best


def test_a_plants_limits_are_counted_first():
    result = winter(
        demo_weather(),
        NamedSpot.of(spot_kind("open-rail")),
        plant=find("Phalaenopsis hybrids"),
        below=(3.0,),
        members=3,
    )
    assert [t.threshold_c for t in result.thresholds] == [15.5, 10, 3]
    assert result.thresholds[0].words == "preferred"
    assert "Phalaenopsis hybrids" in result.sentence
    assert "15.5 °C" in result.sentence


def test_another_winter_can_be_shown_and_a_wrong_one_is_refused():
    result = winter(
        demo_weather(),
        NamedSpot.of(spot_kind("open-rail")),
        shown="2001/02",
        below=(5,),
        members=1,
    )
    assert result.nights[0].evening == "2001-11-01"
    with pytest.raises(InputError, match="winter"):
        winter(
            demo_weather(),
            NamedSpot.of(spot_kind("open-rail")),
            shown="1901/02",
            members=1,
        )


def test_a_gap_is_shown_as_missing_and_never_as_warm():
    weather = climate(mean=12, season=8, years=3, start="2001-07-01T00:00")
    air = weather.air_temp_c.copy()
    seasons = Seasons.of(weather.time, zone=weather.place.zone, latitude_deg=45.0)
    number = (date(2003, 1, 10) - date(1970, 1, 1)).days
    lost = (seasons.night >= number) & (seasons.night < number + 3)
    assert lost.any()
    air[lost] = np.nan
    holed = WeatherSeries.build(
        weather.time,
        {**weather.values, "air_temp_c": air},
        place=weather.place,
        source=weather.source,
    )
    label = seasons.label(2002)
    result = winter(
        holed,
        NamedSpot.of(spot_kind("as-measured")),
        below=(5.0,),
        shown=label,
        members=1,
    )
    rows = {n.evening: n for n in result.nights}
    for day in ("2003-01-10", "2003-01-11", "2003-01-12"):
        assert rows[day].lowest_c is None
        assert rows[day].known == "missing"
        assert not rows[day].counts
        assert rows[day].hours_below["5"] == 0
    shown = next(w for w in result.winters if w.label == label)
    assert shown.unknown_nights == 3
    assert "2003-01-10" not in {n.evening for n in result.worst}
    assert label in winter_text(result)


def test_command_prints_and_writes(tmp_path, capsys):
    page = tmp_path / "w.html"
    run = ["winter", "--demo", "--spot", "balcony", "--below", "4", "--members", "2"]
    status = main([*run, "--html", str(page), "--json"])
    document = json.loads(capsys.readouterr().out)
    assert status == 0
    assert document["report"] == str(page)
    assert document["spot"] == "balcony"
    assert document["sentence"] in page.read_text("utf-8")
    main(run)
    short = " ".join(capsys.readouterr().out.split())
    shown = next(w for w in document["winters"] if w["label"] == document["shown"])
    assert f"{shown['cold_nights']['4']} of 151 nights below 4 °C" in short
    assert f"{shown['hours_below']['4']:,.0f} hours in all" in short
    assert f"reached {shown['lowest_c']:.1f} °C" in short
    main([*run, "--details"])
    assert document["sentence"] in " ".join(capsys.readouterr().out.split())
