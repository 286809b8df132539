"""What a plant would lack, how far nights fall, and which evidence is weak."""

from __future__ import annotations

from dataclasses import replace

import pytest

from climrisk.weather.series import Away
from climrisk.weather.synthetic import demo_weather
from tests import asking
from tests.made_weather_series import climate


def result_for(name, made, **options):
    return asking.assess(name, made, members=1, **options)


def lacking(result):
    return {row.need: row for row in result.lacks}


def test_moth_orchids_need_no_night_drop_and_growers_say_otherwise():
    """Blanchard & Runkle 2006: 14 to 23 °C, no day of 28, no fall needed."""
    flat = climate(mean=20.0, season=2.0, day=0.5, years=5)
    result = result_for("Phalaenopsis hybrids", flat)
    assert result.night_drop.needed is False
    assert "night drop" not in lacking(result)
    assert result.wanted.counted == "day"
    assert (result.wanted.low_c, result.wanted.high_c) == (14, 23)
    assert "experiments found no need" in result.wanted.belief


def test_a_wanted_drop_that_is_absent_costs_flowers_and_not_the_word():
    """A society asks 8.5 K or more for cattleyas; nights here fall by one."""
    flat = climate(mean=20.0, season=2.0, day=0.5, years=4)
    deep = climate(mean=20.0, season=2.0, day=7.0, years=4)
    poor, good = (result_for("Laeliocattleya", w) for w in (flat, deep))
    assert poor.night_drop.wanted_k >= 8.5 > poor.night_drop.mean_k
    assert (poor.night_drop.met, good.night_drop.met) == (False, True)
    assert poor.night_drop.share_below_wanted == 1
    assert poor.flowering.word == "unlikely"
    assert "its sources ask for" in poor.flowering.reason
    assert good.flowering.word != "unlikely"
    assert poor.verdict.word == "suits"


def test_sudden_and_large_falls_are_counted_by_the_year():
    """One spell 12 K colder begins with one sudden night a year; days of 20 K fall."""
    made = climate(
        mean=22.0, season=0.0, day=1.0, years=5, noise=0.05, spells=[(100, 5, 12.0)]
    )
    drop = result_for("Masdevallia", made).night_drop
    # The seven nights before hold the spell's first only from the third night on.
    assert 1 <= drop.sudden_nights_per_growing_year.typical <= 3
    assert drop.large_nights_per_growing_year.typical <= 1
    wide = climate(mean=22.0, season=0.0, day=9.0, years=5, noise=0.05)
    large = result_for("Masdevallia", wide).night_drop.large_nights_per_growing_year
    assert large.typical > 360


def test_a_short_cool_spell_is_a_lack_and_a_long_one_is_none():
    """Lopez & Runkle: pansy orchids want eight weeks at 11 to 14 °C."""
    warm = climate(mean=19.0, season=2.0, day=1.0, years=5)
    row = lacking(result_for("Miltoniopsis", warm))["cool spell"]
    assert (row.had, row.wanted) == (0, 56)
    cool = climate(mean=14.0, season=1.0, day=1.0, years=5)
    result = result_for("Miltoniopsis", cool)
    assert result.wanted.whole_season.mid > 56
    assert "cool spell" not in lacking(result)


def test_cold_summers_lack_warm_nights_and_warm_nights_rule_out_cool_growers():
    cold = climate(mean=14.0, season=2.0, day=2.0, years=5)
    assert lacking(result_for("Phalaenopsis hybrids", cold))["warm nights"].had > 0.9
    # Nights near 24 °C all year: 60 are too many for a published warm-night limit.
    hot = result_for("Miltoniopsis", climate(mean=26.0, season=2.0, day=2.0, years=5))
    (row,) = [x for x in hot.heat.limits if x.kind == "warm_night"]
    assert row.typical > 300 > row.rules_out_beyond
    assert hot.heat.met is False
    assert hot.verdict.word == "poor match"


def test_a_far_station_widens_the_band_and_is_told():
    near = demo_weather().between(0, 24 * 365 * 4)
    far = replace(near, away=Away(63.0, 480.0, ("Harbor: 90 km away",)))
    results = [asking.assess("Masdevallia", w, members=9) for w in (near, far)]
    wide = [r.air.lowest_c.high - r.air.lowest_c.low for r in results]
    assert wide[1] > wide[0] + 2
    # 0.025 K/km beyond 10 km and 1.5 K/km of height (our estimates).
    station = results[1].weather.station
    assert station.spread_k == pytest.approx(0.025 * 53 + 1.5 * 0.48, abs=0.01)
    assert station.rough
    assert [r.verdict.basis for r in results] == ["winters", "far station"]
    assert "far station" in results[1].verdict.sentence
    assert any(row.what == "far station" for row in results[1].weak)
    assert Away(11.0, 56.0).spread_k < 0.15
    assert not Away(11.0, 56.0).rough


def test_memory_and_few_winters_are_weak():
    few = demo_weather().between(0, 24 * 365 * 5)
    weak = {row.what for row in result_for("Epidendrum, reed-stem", few).weak}
    assert {"limit from memory", "few winters", "spot prior"} <= weak
    spot = climate(mean=14.0, season=6.0, years=12)
    weak = {row.what for row in result_for("Phalaenopsis hybrids", spot).weak}
    assert "spot prior" not in weak
    assert "few winters" not in weak


def test_other_limits_are_those_of_a_plant_that_has_them():
    hours = demo_weather().between(0, 24 * 365 * 5)
    options = {"limit_source": "memory", "members": 3}
    first = asking.assess("a made one", hours, preferred=10, **options)
    for other in first.would_change.other_limits:
        there = asking.assess(
            "a made one", hours, preferred=other.preferred_c, **options
        )
        assert there.verdict.word == other.word or there.governed_by != "air"
        free = sum(state == "out" for state in there.months.values())
        assert free == other.months_out
