"""The calendar that programs subscribe to: moves, tonight's warning, the token."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import icalendar
import pytest
from loopback_weather import LoopbackWeather
from starlette.testclient import TestClient

from climrisk.commands.calendar.exports import Notice, calendar_ics
from climrisk.commands.carried.compute import carried
from climrisk.home import demo_home_text
from climrisk.weather.selection import WeatherChoice
from climrisk.web.app import make_app
from climrisk.web.serve import place
from climrisk.web.settings import Settings
from climrisk.web.subscription import tonight_notices
from tests.asking import calendar, tonight

#: A night of the invented record on which tender plants come in.
COLD, MILD = "2026-01-15", "2026-07-15"
TOKEN = "a-token-of-this-test"


@pytest.fixture
def own(tmp_path):
    home = tmp_path / "home.toml"
    home.write_text(demo_home_text(), "utf-8")
    return home


def client(home, token=None):
    settings = Settings(home=home, logs=home.parent / "logs", workers=1, token=token)
    return TestClient(
        make_app(settings), base_url="http://127.0.0.1", follow_redirects=False
    )


def events(answer):
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"].startswith("text/calendar")
    plan = icalendar.Calendar.from_ical(answer.content)
    return plan, list(plan.walk("VEVENT"))


def test_it_carries_the_moves_and_tonights_warning(own):
    with client(own) as page:
        plan, cold = events(page.get(f"/calendar.ics?as_of={COLD}&years=4"))
        _, mild = events(page.get(f"/calendar.ics?as_of={MILD}&years=4"))
        noted = carried(own, "in", everything=True, to="sill", on=date(2026, 1, 15))
        assert noted.outside == []
        _, inside = events(page.get(f"/calendar.ics?as_of={COLD}&years=4"))
        shown = page.get(f"/plants?as_of={COLD}&years=4").text
        assert page.get("/calendar.ics?years=lots").status_code == 422
    assert plan["refresh-interval"].dt == timedelta(hours=1)
    warned = [e for e in cold if str(e["summary"]).startswith("Tonight: carry in ")]
    assert len(warned) == 1
    assert warned[0]["dtstart"].dt == date(2026, 1, 15)
    assert "Phalaenopsis hybrids (balcony to sill)" in warned[0]["description"]
    (alarm,) = warned[0].walk("VALARM")
    assert alarm["trigger"].dt == timedelta(hours=15)
    for without in (mild, inside):
        assert not [e for e in without if "onight" in str(e["summary"])]
    moves = [e for e in cold if e not in warned]
    assert len(moves) >= 8
    # RFC 5545: relative to the start of an all-day event, its midnight.
    for event in moves:
        (alarm,) = event.walk("VALARM")
        start = datetime.combine(event["dtstart"].dt, datetime.min.time())
        assert start + alarm["trigger"].dt == start - timedelta(hours=6)
    assert 'value="http://127.0.0.1/calendar.ics?years=4"' in shown


def test_beyond_the_loopback_every_request_needs_the_token(own):
    with client(own, TOKEN) as page:
        assert page.get("/calendar.ics").status_code == 401
        assert page.get("/calendar.ics?token=wrong").status_code == 401
        query = f"/calendar.ics?as_of={MILD}&years=3&token={TOKEN}"
        _, found = events(page.get(query))
        assert found
        # No cookie was given out, so that the next request needs the token too.
        assert page.get("/calendar.ics").status_code == 401
        page.cookies.set("climrisk_token", TOKEN)
        shown = page.get(f"/plants?as_of={MILD}&years=3").text
        assert f"calendar.ics?years=3&amp;token={TOKEN}" in shown


def test_the_terminal_says_the_address():
    where = place(listen="127.0.0.1", port=0)
    beyond = place(listen="127.0.0.2", port=0)
    anywhere = place(listen="0.0.0.0", port=0)
    for one in (where, beyond, anywhere):
        one.bound.close()
    assert where.subscription == f"http://127.0.0.1:{where.port}/calendar.ics"
    assert "token=" not in beyond.subscription
    assert anywhere.subscription.endswith(f"?token={anywhere.settings.token}")


def test_a_night_that_cannot_be_judged_is_no_silence():
    weather = WeatherChoice(demo=True, years=3, as_of=date.fromisoformat(MILD))
    result = calendar(weather, members=1)
    safe = tonight_notices(tonight(weather, words="18C, calm"))
    why = "the weather service cannot be reached"
    missing = Notice("no forecast", "Tonight is not judged", why, alarm=False)
    plain = icalendar.Calendar.from_ical(calendar_ics(result))
    feed = icalendar.Calendar.from_ical(calendar_ics(result, [missing]))
    quiet = icalendar.Calendar.from_ical(calendar_ics(result, safe))
    (more,) = [
        e for e in feed.walk("VEVENT") if e["summary"].startswith("Tonight is not")
    ]
    assert str(more["description"]) == why
    assert more.walk("VALARM") == []
    assert len(feed.walk("VEVENT")) == len(plain.walk("VEVENT")) + 1
    assert len(quiet.walk("VEVENT")) == len(plain.walk("VEVENT"))
    assert calendar_ics(result, safe) == calendar_ics(result, safe)


@pytest.mark.long
def test_without_a_forecast_the_moves_come_all_the_same(tmp_path, monkeypatch):
    with LoopbackWeather.sample(years=range(2019, 2024), count=1) as archive:
        for name, value in archive.env(tmp_path / "client").items():
            monkeypatch.setenv(name, value)
        monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path / "data"))
        archive.fail("/metno", "500")
        home = tmp_path / "home.toml"
        text = demo_home_text().replace("demo = true", 'at = "48.2,16.4,200"')
        home.write_text(text, "utf-8")
        with client(home) as page:
            query = "/calendar.ics?from=2019-07-01&to=2023-06-30"
            _, found = events(page.get(query))
    missing = [e for e in found if e["summary"] == "Tonight is not judged: no forecast"]
    assert len(missing) == 1
    assert "http" not in missing[0]["description"]
    assert "--" not in missing[0]["description"]
    assert len(found) > 4
