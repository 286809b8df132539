"""A new plant in made climates whose cold weeks are known."""

from __future__ import annotations

from dataclasses import replace

import pytest

from climrisk.cli.main import main
from climrisk.core.errors import InputError
from climrisk.weather.synthetic import demo_weather
from tests import asking
from tests.made_weather_series import climate


@pytest.fixture(scope="module")
def made():
    """Nights of about 19 °C, and of about 4 °C from 28 November to 26 January."""
    return climrisk_weather()


def climrisk_weather():
    return climate(
        mean=20.0, season=0.0, day=1.0, years=8, noise=0.1, spells=[(150, 60, 15.0)]
    )


def result_for(made, today, **options):
    return asking.arrive(
        "a new one",
        made,
        as_of=today,
        members=1,
        preferred=12,
        limit_source="memory",
        **options,
    )


def test_out_at_once_where_the_coming_weeks_are_mild(made):
    answer = result_for(made, "2026-09-01")
    assert answer.put_out_now
    assert answer.hold_until is None
    assert answer.coming.share_with_harmful_night == 0
    assert answer.coming.cold_nights.mid == 0
    assert answer.coming.last == "2026-10-19"


def test_held_until_the_cold_is_over(made):
    """Seven weeks from 30 October reach into the cold, from 27 January on they do not;
    a leap year moves the made spell by a day."""
    answer = result_for(made, "2026-10-30")
    assert not answer.put_out_now
    assert answer.hold_until in ("2027-01-26", "2027-01-27", "2027-01-28")
    assert answer.coming.share_with_harmful_night == 1
    # 28 November to 17 December are twenty nights.
    assert answer.coming.cold_nights.mid == pytest.approx(20, abs=1)
    assert answer.after_holding.share_with_harmful_night <= answer.risk
    # The room is one in which an assessment finds these months mild enough.
    assert answer.hold_where_serves
    kind = {"a window sill": "window-sill", "a heated room": "heated-room"}
    # Asked of a station: a record of the spot itself would be taken as the room's air.
    outdoors = replace(made, source=replace(made.source, measured_at="station"))
    room = asking.assess(
        "a new one",
        outdoors,
        spot=kind[answer.hold_where],
        members=1,
        preferred=12,
        limit_source="memory",
    )
    for month in (10, 11, 12, 1):
        assert room.months[str(month)] in ("out", "watch")
    assert "until" in answer.sentence


def test_unrooted_plants_wait_six_weeks_in_any_weather(made):
    answer = result_for(made, "2026-05-01", state="unrooted")
    assert answer.hold_until == "2026-06-12"
    assert "42 days" in answer.why
    words = " ".join(c.words for c in answer.aftercare)
    assert "No feed" in words
    assert "cannot rock" in words
    new = result_for(made, "2026-05-01", state="new-import")
    assert new.hold_until == "2026-05-15"


def test_fewer_than_three_years_give_no_date():
    short = climate(mean=20.0, season=0.0, day=1.0, years=2, noise=0.1)
    answer = result_for(short, "2026-09-01")
    assert answer.coming.years < 3
    assert answer.hold_until is None
    assert not answer.put_out_now
    assert "3 are needed" in answer.why


def test_weeks_shown_are_those_asked_for(made):
    answer = result_for(made, "2026-09-01", weeks=8)
    assert [w.first for w in answer.by_week][:2] == ["2026-09-01", "2026-09-08"]
    assert len(answer.by_week) == 8
    for week in answer.by_week:
        assert week.low_c <= week.mid_c <= week.high_c
    with pytest.raises(InputError, match="weeks"):
        result_for(made, "2026-09-01", weeks=0)


def test_every_state_has_three_lines_of_aftercare_with_their_basis():
    for state in ("established", "in-spike", "unrooted", "new-import"):
        answer = asking.arrive(
            "Masdevallia",
            demo_weather().between(0, 24 * 365 * 4),
            state=state,
            members=1,
            as_of="2026-08-01",
        )
        assert len(answer.aftercare) == 3
        assert all(c.basis for c in answer.aftercare)


def test_the_command_writes_a_page(tmp_path, capsys):
    page = tmp_path / "new.html"
    command = ("arrive", "Masdevallia", "--demo", "--years", "5", "--members", "2")
    assert main([*command, "--html", str(page)]) == 0
    assert "new.html" in capsys.readouterr().out
    assert main([*command, "--html", str(page), "--details"]) == 0
    assert f"Written: {page}" in capsys.readouterr().out
    assert "hold indoors" in page.read_text("utf-8")
