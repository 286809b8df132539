"""Remedies: each alone, in paired hours, ranked; what cannot help saves nothing."""

from __future__ import annotations

import numpy as np
import pytest

from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import KINDS, spot_kind
from climrisk.spot.transfer import prepare, spot_air_c
from climrisk.weather.synthetic import demo_weather
from tests import asking
from tests.made_weather_series import climate
from tests.quick import but_quick

PLANT = "Cattleya, standard large-flowered hybrids"
#: Of the record, as every yearly number counts them.
YEARS = 24 * 365 * 4 / 8766


@pytest.fixture(scope="module")
def hours():
    return demo_weather().between(0, 24 * 365 * 4)


@pytest.fixture(scope="module")
def result(hours):
    return asking.remedies(
        PLANT,
        hours,
        medium="expanded-clay",
        wetness="wet",
        members=3,
        risk=0.3,
    )


def of(result, kind):
    return [r for r in result.remedies if r.kind == kind]


def test_every_kind_is_tried_and_the_best_comes_first(result):
    kinds = {r.kind for r in result.remedies}
    assert kinds == {
        *("spot", "pot", "medium", "drier", "fleece", "wind screen", "stand"),
        *("indoor months", "tie"),
    }
    costs = [r.cost for r in result.remedies]
    assert costs == sorted(costs, key=("free", "cheap", "move").index)
    for cost in ("free", "cheap", "move"):
        rows = [r for r in result.remedies if r.cost == cost and r.saved_per_year]
        saved = [r.saved_per_year.mid for r in rows]
        assert saved == sorted(saved, reverse=True)
        assert (rows[0].name in result.sentence) == (rows[0].words == "helps")


def test_a_wider_pot_is_never_offered(result):
    """Its medium holds more water than the roots take up: it stays wet and cold."""
    assert not [r for r in result.remedies if "wider" in r.name]


@pytest.mark.parametrize(
    "spot", but_quick(["roofed-balcony", "wall-shelf"], "roofed-balcony")
)
def test_pots_and_remedies_agree_on_every_pot(hours, spot):
    """A white foam pot was called the warmest by one and harmful by the other."""
    plant, size, medium = PLANT, 12, "pine-bark-fine"
    result = asking.remedies(plant, hours, spot=spot, medium=medium, members=3)
    kinds = ["thin-plastic", "thick-plastic", "glazed-ceramic", "polystyrene"]
    compared = asking.pots(
        hours, plant=plant, spot=spot, pot=kinds, medium=[medium], members=3
    )
    assert {row.diameter_cm for row in compared.pots} == {size}
    differs = {row.pot: row for row in compared.pots}
    for remedy in of(result, "pot"):
        row = differs[next(k for k in kinds if f"a {k} pot" == remedy.name)]
        night = remedy.warmer_by_night_k.mid
        assert night == pytest.approx(row.warmer_k.mid, abs=0.2)
        if row.differs == "warmer":
            assert remedy.words != "harms"
        if row.differs == "colder":
            assert remedy.words != "helps"
        # Where hours and nights rank it apart, both say why.
        if "sun" in remedy.words:
            assert f"{row.pot} with {medium}" in compared.nights_against_hours
    foam = next(r for r in of(result, "pot") if "polystyrene" in r.name)
    # Which way a balcony faces is not told, and by that its sun: not clearly warmer.
    assert differs["polystyrene"].differs != "colder"
    assert differs["polystyrene"].warmer_k.mid > 0.25
    if spot == "roofed-balcony":
        assert foam.words.startswith("warmer by night")


def test_a_sill_is_offered_what_costs_nothing(hours):
    """A sill before a pane: any resistance or distance between plant and pane helps."""
    result = asking.remedies(
        "Phalaenopsis hybrids", hours, spot="window-sill", members=3
    )
    assert {"curtain", "distance", "room"} <= {r.kind for r in result.remedies}
    for kind in ("curtain", "distance"):
        (row,) = of(result, kind)
        assert row.cost == "free"
        assert row.air_saved_per_year.mid >= 0
    assert result.remedies[0].cost == "free"
    assert not of(result, "fleece")
    assert not of(result, "spot")


def test_what_is_there_already_is_not_offered_again(hours):
    result = asking.remedies(
        "Phalaenopsis hybrids",
        hours,
        spot="window-sill",
        site=["curtain=glass-side", "from_glass=50"],
        members=2,
    )
    assert not of(result, "curtain")
    assert not of(result, "distance")


def test_drying_out_is_no_remedy_for_a_plant_without_a_store(hours):
    """Masdevallias take no dry rest and have no pseudobulbs."""
    result = asking.remedies("Masdevallia", hours, wetness="damp", members=2)
    assert of(result, "drier") == []
    result = asking.remedies("Masdevallia", hours, wetness="wet", members=2)
    assert "damp instead of wet" in of(result, "drier")[0].name


def test_hours_with_and_without_differ_by_what_is_saved(result):
    """By the world: middle of the differences lies within those of the ends."""
    base = result.root_hours_per_year
    for remedy in result.remedies:
        if remedy.saved_per_year is None:
            continue
        after = remedy.root_hours_per_year
        # Three members: percentiles of a difference lie within those of its parts.
        assert base.low - after.high - 1 <= remedy.saved_per_year.mid
        assert remedy.saved_per_year.mid <= base.high - after.low + 1


def test_a_spot_is_worth_what_an_assessment_there_says(result, hours):
    spot = of(result, "spot")[0]
    kind = next(k for k in KINDS if spot.name.endswith(spot_kind(k).words))
    there = asking.assess(
        PLANT,
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


def test_covers_help_the_more_the_heavier_and_never_harm(result):
    covers = {r.name: r for r in of(result, "fleece")}
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
        result = asking.remedies(
            "a made one", windy, members=2, preferred=9, limit_source="memory"
        )
        assert of(result, "fleece")[0].words == word, wind


def test_pots_leave_the_air_alone_and_a_tie_warms_nothing(result):
    for kind in ("pot", "medium", "drier", "stand", "wind screen"):
        for remedy in of(result, kind):
            assert remedy.air_saved_per_year.mid == 0
    (tie,) = of(result, "tie")
    assert tie.saved_per_year is None
    assert "falling" in tie.words


def test_indoor_months_leave_what_comes_outside_its_dates_and_in_the_room(
    result, hours
):
    """Recounted by plain numpy from the dates that an assessment gives."""
    (months,) = of(result, "indoor months")
    assert months.clear
    dates = asking.assess(PLANT, hours, members=3, risk=0.3)
    into, out = dates.move_in.month_day, dates.move_out.month_day
    kind = next(k for k in KINDS if k.replace("-", " ") in months.name)
    prepared = prepare(hours, ensemble(3))
    evening = prepared.seasons.night.astype("datetime64[D]").astype(str)
    inside = np.array([d[5:] >= into or d[5:] < out for d in evening])
    outdoors, room = (
        spot_air_c(prepared, spot_kind(k)) < 13 for k in ("roofed-balcony", kind)
    )
    left = np.where(inside[:, None], room, outdoors).sum(axis=0)
    assert months.air_hours_per_year.mid == pytest.approx(
        np.median(left) / YEARS, abs=0.06
    )
    assert months.air_hours_per_year.mid < 0.2 * result.air_hours_per_year.mid


def test_what_is_not_known_of_a_pot_widens_its_band(result):
    for remedy in of(result, "pot"):
        band = remedy.saved_per_year
        assert band.high - band.low > 1
        assert (remedy.words == "no clear difference") == (band.low <= 0 <= band.high)


def test_a_record_of_the_spot_itself_has_no_other_spots(hours):
    made = climate(mean=11.0, season=2.0, day=3.0, years=3)
    result = asking.remedies(
        "a made one", made, members=1, preferred=9, limit_source="memory"
    )
    assert of(result, "spot") == []
