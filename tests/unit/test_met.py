"""Doses of whole winters in made climates, beside the reports they must reach."""

from __future__ import annotations

from tests import asking
from tests.made_weather_series import climate


def dose_of(name, **made):
    hours = climate(day=1.0, noise=0.05, years=5, season=0.0, **made)
    return asking.assess(name, hours, members=1).dose


def grades(dose):
    return {row.grade: row.winters for row in dose.winters}


def test_a_mild_winter_is_within():
    assert grades(dose_of("Phalaenopsis hybrids", mean=22.0)) == {"within": 5}


def test_four_cool_days_reach_the_report_of_dark_storage():
    """Wang: marks from four days at 15 °C; one cool night is no such dose."""
    long = dose_of("Phalaenopsis hybrids", mean=20.0, spells=[(170, 6, 7.0)])
    assert grades(long) == {"harm": 5}
    assert any(r.sources == ["WANG_SHIP"] and r.hours == 96 for r in long.reports)
    assert all(r.winters == 5 for r in long.reports)
    short = dose_of("Phalaenopsis hybrids", mean=20.0, spells=[(170, 1, 7.0)])
    assert "harm" not in grades(short)


def test_winters_add_up_and_nothing_is_promised():
    dose = dose_of("Cymbidium, standard hybrids", mean=12.0, spells=[(170, 1, 14.0)])
    assert grades(dose) == {"harm": 5}
    assert {r.sources[0] for r in dose.reports} >= {"OSCOV_FROST"}
    for word in ("safe", "survive", "die", "dead"):
        assert word not in dose.words


def test_a_winter_beyond_every_report_says_so():
    """Psychopsis without a report, a whole winter 2 °C below what it prefers."""
    dose = dose_of("Psychopsis", mean=12.0)
    assert grades(dose) == {"beyond": 5}
    assert dose.reports == []
    assert "expect damage" in dose.words
