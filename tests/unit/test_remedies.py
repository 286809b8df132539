"""Remedies: each alone, in paired hours, ranked; what cannot help saves nothing."""

from __future__ import annotations

import pytest

import climrisk
from climrisk.weather.demo import demo_weather
from tests.made_weather_series import climate

#: Of the record, as every yearly number counts them.
YEARS = 24 * 365 * 4 / 8766


@pytest.fixture(scope="module")
def hours():
    return demo_weather().between(0, 24 * 365 * 4)


@pytest.fixture(scope="module")
def told(hours):
    return climrisk.remedies(
        "Epidendrum, reed-stem",
        hours,
        medium="expanded-clay",
        wetness="wet",
        members=3,
        risk=0.3,
    )


def of(told, kind):
    return [r for r in told.remedies if r.kind == kind]


def test_every_kind_is_tried_and_the_best_comes_first(told):
    kinds = {r.kind for r in told.remedies}
    assert kinds == {
        *("spot", "pot", "medium", "drier", "fleece", "wind screen", "stand"),
        *("indoor months", "tie"),
    }
    saved = [r.saved_per_year.mid for r in told.remedies if r.saved_per_year]
    assert saved == sorted(saved, reverse=True)
    assert told.remedies[0].name in told.sentence


def test_hours_with_and_without_differ_by_what_is_saved(told):
    """By the world: middle of the differences lies within those of the ends."""
    base = told.root_hours_per_year
    for remedy in told.remedies:
        if remedy.saved_per_year is None:
            continue
        after = remedy.root_hours_per_year
        # Three worlds: percentiles of a difference lie within those of its parts.
        assert base.low - after.high - 1 <= remedy.saved_per_year.mid
        assert remedy.saved_per_year.mid <= base.high - after.low + 1


def test_a_spot_is_worth_what_an_assessment_there_says(told, hours):
    spot = of(told, "spot")[0]
    kind = "glazed-balcony" if "glass" in spot.name else "recessed-balcony"
    there = climrisk.assess(
        "Epidendrum, reed-stem",
        hours,
        spot=kind,
        medium="expanded-clay",
        wetness="wet",
        members=3,
    )
    assert there.air.hours_below_preferred.mid / YEARS == pytest.approx(
        spot.air_hours_per_year.mid, abs=0.2
    )
    assert there.root_zone.hours_below_preferred.mid / YEARS == pytest.approx(
        spot.root_hours_per_year.mid, abs=0.2
    )


def test_covers_help_the_more_the_heavier_and_never_harm(told):
    covers = {r.name: r for r in of(told, "fleece")}
    light, heavy = (
        covers["light fleece on cold nights"],
        covers["heavy fleece on cold nights"],
    )
    assert 0 < light.air_saved_per_year.mid < heavy.air_saved_per_year.mid
    assert light.saved_per_year.low >= 0


def test_a_cover_is_useless_in_wind():
    """Extension services and growers: cloth helps little in wind."""
    for wind, word in ((1.0, "helps"), (12.0, "no clear difference")):
        made = climate(mean=11.0, season=2.0, day=3.0, years=3, measured_at="station")
        values = {**made.values}
        values["wind_speed_m_s"] = values["wind_speed_m_s"] * 0 + wind
        values["cloud_cover_frac"] = values["cloud_cover_frac"] * 0
        windy = type(made).build(
            made.time, values, place=made.place, source=made.source
        )
        told = climrisk.remedies(
            "a made one", windy, members=2, preferred=9, limit_source="memory"
        )
        assert of(told, "fleece")[0].words == word, wind


def test_pots_leave_the_air_alone_and_a_tie_warms_nothing(told):
    for kind in ("pot", "medium", "drier", "stand", "wind screen"):
        for remedy in of(told, kind):
            assert remedy.air_saved_per_year.mid == 0
    (tie,) = of(told, "tie")
    assert tie.saved_per_year is None
    assert "falling" in tie.words


def test_indoor_months_leave_only_what_comes_outside_its_dates(told):
    (months,) = of(told, "indoor months")
    assert months.clear
    # At a risk of 30 % only stray cold nights are left outside.
    assert months.air_hours_per_year.mid < 0.1 * told.air_hours_per_year.mid


def test_what_is_not_known_of_a_pot_widens_its_band(told):
    for remedy in of(told, "pot"):
        band = remedy.saved_per_year
        assert band.high - band.low > 1
        assert (remedy.words == "no clear difference") == (band.low <= 0 <= band.high)


def test_a_record_of_the_spot_itself_has_no_other_spots(hours):
    made = climate(mean=11.0, season=2.0, day=3.0, years=3)
    told = climrisk.remedies(
        "a made one", made, members=1, preferred=9, limit_source="memory"
    )
    assert of(told, "spot") == []
