"""The real client against a server on loopback: every fault, and what survives it."""

from __future__ import annotations

import json
import logging
import multiprocessing
import os
import sqlite3
import subprocess
import sys
import time
from dataclasses import replace
from datetime import UTC, date, datetime

import numpy as np
import pandas as pd
import pytest
from loopback_weather import FAULTS, LoopbackWeather, Station
from made_weather import synthetic

from climrisk.core.errors import InputError, WeatherUnavailableError
from climrisk.core.quantities import in_units
from climrisk.weather.selection import WeatherChoice, load_weather
from climrisk.weather.series import MarkCount, Origin
from climrisk.weather.stations.archive import Archive
from climrisk.weather.stations.client import Client
from climrisk.weather.stations.info import is_model
from climrisk.weather.stations.series import winter_nights_known
from climrisk.weather.stations.station import Stations
from tests.quick import but_quick

NOW = datetime(2024, 6, 1, tzinfo=UTC)
#: So late that every archived year is asked for again.
LATER = datetime(2099, 6, 1, tzinfo=UTC)
YEARS = range(2021, 2023)
#: Every fault but a slow answer, which is no failure, and 404, which is an absence.
BREAKING = [f for f in FAULTS if f not in ("slow", "404")]
#: No fault of the server's list: a proxy that says no, and a server that has enough.
REFUSALS = ["403", "429"]


@pytest.fixture(scope="module")
def made():
    sample = LoopbackWeather.sample(years=YEARS, count=2, gap=0.01)
    sample.httpd.server_close()
    return list(sample.stations.values()), {}


@pytest.fixture
def server(made):
    stations, files = made
    with LoopbackWeather(stations) as running:
        running._files = files  # the bodies are the same for every test
        yield running


@pytest.fixture
def room(server, tmp_path, monkeypatch):
    at_home(monkeypatch, tmp_path)
    with server.client(tmp_path / "client"):
        yield fresh_room()


def at_home(monkeypatch, folder):
    monkeypatch.setenv("CLIMRISK_DATA", str(folder / "data"))
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")


def fresh_room(now=NOW, **client):
    options = {"tries": 2, "timeout_s": 10, "sleep": lambda seconds: None} | client
    return Stations(client=Client(**options), now=now)


def break_with(server, path, kind):
    if kind in REFUSALS:
        server._faults.append({"path": path, "kind": kind, "left": None, "delay": 0})
    else:
        server.fail(path, kind)


def bytes_stored(room):
    return {p: p.read_bytes() for p in room.archive.folder.glob("*/*.climrisk")}


def series(room, station="99001", first=2021, last=2022):
    return room.load(room.named(station), first, last)


def same(one, other):
    return np.array_equal(one.air_temp_c, other.air_temp_c, equal_nan=True)


def test_hours_equal_the_servers_over_year_ends(room, server):
    weather = series(room)
    frame = server.stations["99001"].frame
    assert weather.time[0] <= np.datetime64("2021-01-02")
    assert weather.time[-1] >= np.datetime64("2022-12-31")
    want = frame.reindex(pd.DatetimeIndex(weather.time))
    got = weather.values
    assert np.array_equal(got["air_temp_c"][:, 0], want["temp"], equal_nan=True)
    assert np.array_equal(got["rel_humidity_pct"][:, 0], want["rhum"], equal_nan=True)
    # km/h to m/s: 3600 s an hour.
    wind = got["wind_speed_m_s"][:, 0]
    assert np.allclose(wind, want["wspd"] * 1000 / 3600, equal_nan=True)
    # Oktas are eighths of the sky.
    cloud = got["cloud_cover_frac"][:, 0]
    assert np.array_equal(cloud, want["cldc"] / 8, equal_nan=True)
    assert np.isnan(weather.air_temp_c).sum() > 100  # the gaps stay gaps
    assert (weather.origin[~np.isnan(weather.air_temp_c)] == Origin.MEASURED).all()
    assert weather.source.credit.startswith("Data: Meteostat")
    assert weather.source.credit.endswith("CC BY 4.0, changed by us")
    assert weather.source.measured_at == "station"


def test_small_integers_of_the_client_do_not_wrap(room):
    one = room.client.station_year("99001", 2021)
    humidity = one.columns["rhum"]
    assert humidity.dtype == np.float64
    # As the client delivers them, 200 + 100 would be 44.
    assert np.nanmax(humidity + 200.0) > 255
    assert {name: set(flags) for name, flags in one.flags.items()} == {
        name: {-1, 0} for name in one.columns
    }
    assert one.sources == ("isd_lite",)


def test_second_load_asks_nothing_and_works_without_network(room, server):
    first = series(room)
    requests_before = len(server.log)
    assert same(series(fresh_room()), first)
    assert len(server.log) == requests_before
    server.fail("/", "drop")
    old = series(fresh_room(LATER))
    assert same(old, first)
    (note,) = [n for n in old.notes if "could not be downloaded again" in n]
    assert note.startswith("2021 to 2022: ")
    assert note.endswith("2024-06-01")


def test_an_outage_costs_one_long_wait(room, server):
    series(room)
    waits: list[float] = []
    server.fail("/hourly/", "503")
    requests_before = server.hits("/hourly/")
    late = fresh_room(LATER, tries=3, sleep=waits.append)
    info = replace(late.named("99001"), last="2030-01-01")
    room.archive.write_answer("99001", 2023, "no file", NOW.isoformat())
    late.load(info, 2021, 2023)
    assert waits == [1.0, 2.0]
    assert (
        server.hits("/hourly/") - requests_before == 3 + 1
    )  # the third year is not asked


@pytest.mark.parametrize("kind", but_quick([*BREAKING, *REFUSALS], "drop", "429"))
def test_an_outage_is_no_absence_and_heals(room, server, kind):
    break_with(server, "/hourly/2022/", kind)
    with pytest.raises(WeatherUnavailableError) as caught:
        series(room)
    assert caught.value.exit_status == 3
    assert "2022" in caught.value.line()
    assert "Weather.demo" in caught.value.line()
    assert room.archive.read("99001", 2022) is None
    assert room.archive.last_answer("99001", 2022) is None
    assert room.archive.read("99001", 2021) is not None
    server.heal()
    assert np.isfinite(series(room).air_temp_c).sum() > 17_000


@pytest.mark.parametrize(
    "kind", but_quick([*BREAKING, *REFUSALS, "404"], "cut", "429", "404")
)
def test_a_failed_refresh_never_spoils_the_archive(room, server, kind):
    first = series(room)
    before = bytes_stored(room)
    assert len(before) == 2
    break_with(server, "/hourly/", kind)
    later = fresh_room(LATER)
    requests_before = server.hits("/hourly/")
    assert same(series(later), first)
    assert server.hits("/hourly/") > requests_before
    assert bytes_stored(room) == before
    server.heal()
    healed = series(fresh_room(LATER.replace(year=2100)))
    assert same(healed, first)
    assert not [n for n in healed.notes if "downloaded again" in n]
    assert bytes_stored(room) != before  # fetched anew, with a new stamp


def test_slow_is_only_slow_and_too_slow_is_an_outage(room, server):
    server.fail("/hourly/2022/", "slow", delay=0.3)
    assert len(series(room)) > 17_000
    server.fail("/hourly/2021/99002", "slow", delay=1.0)
    with pytest.raises(WeatherUnavailableError, match="99002, 2021"):
        series(fresh_room(timeout_s=0.2), "99002")


def test_one_bad_answer_is_tried_again(room, server):
    server.fail("/hourly/2022/", "503", times=1)
    assert len(series(room)) > 17_000
    assert server.hits("/hourly/2022/99001") == 2


def test_whatever_breaks_within_the_client_is_an_outage(room, server, monkeypatch):
    import meteostat

    def broken(*args, **kwargs):
        raise KeyError("temp")

    with monkeypatch.context() as patch:
        patch.setattr(meteostat, "hourly", broken)
        with pytest.raises(WeatherUnavailableError, match="KeyError"):
            room.client.station_year("99001", 2021)
    # Nothing and no word of a missing file: the client lost it on the way.
    from meteostat.core.data import DataService

    with monkeypatch.context() as patch:
        lost = staticmethod(lambda fragments, parameters: pd.DataFrame())
        patch.setattr(DataService, "concat_fragments", lost)
        with pytest.raises(WeatherUnavailableError, match="without a reason"):
            room.client.station_year("99001", 2021)
    assert room.client.station_year("99001", 2021).known_hours > 8000
    assert room.client.station_year("99001", 1999) is None


def test_the_clients_settings_and_log_are_put_back(room):
    import meteostat

    log = logging.getLogger("meteostat")
    before = (dict(vars(meteostat.config)), log.level, list(log.handlers))
    room.client.station_year("99001", 2021)
    assert (dict(vars(meteostat.config)), log.level, list(log.handlers)) == before


def test_an_absent_year_is_unknown_hours_with_a_note(room, server):
    info = replace(room.named("99001"), last="2023-12-31")
    server.fail("/hourly/2022/", "404")
    weather = room.load(info, 2021, 2023)
    year = weather.time.astype("datetime64[Y]").astype(int) + 1970
    assert set(year) == {2021}
    assert any(
        n.startswith("2022 to 2023: no temperatures, although") for n in weather.notes
    )
    assert room.archive.last_answer("99001", 2022).answer == "no file"
    # Known as absent: not asked again the same day, and no outage without a network.
    requests_before = len(server.log)
    room.load(info, 2021, 2023)
    assert len(server.log) == requests_before
    server.heal()
    server.fail("/", "drop")
    late = fresh_room(LATER).load(info, 2021, 2023)
    assert same(late, weather)
    # The next day the inventory's word is tried again.
    server.heal()
    next_day = fresh_room(NOW.replace(day=3)).load(info, 2021, 2023)
    assert np.isfinite(next_day.air_temp_c).sum() > 17_000


def test_no_hours_at_all_is_the_users_error(room, server):
    server.fail("/hourly/", "404")
    with pytest.raises(InputError, match="no hourly data in these years"):
        series(room)


@pytest.mark.parametrize(
    ("now", "year", "again"),
    [
        (datetime(2023, 6, 1, 13, tzinfo=UTC), 2022, False),  # half a day, last year
        (datetime(2023, 6, 2, 13, tzinfo=UTC), 2022, True),  # a day and a half
        (datetime(2023, 6, 30, tzinfo=UTC), 2021, False),  # 29 days, an older year
        (datetime(2023, 7, 2, tzinfo=UTC), 2021, True),  # 31 days
        (datetime(2023, 5, 20, tzinfo=UTC), 2021, True),  # a stamp of the future
    ],
)
def test_a_year_is_asked_again_by_its_age(room, server, now, year, again):
    info = fresh_room().named("99001")
    fresh_room(datetime(2023, 6, 1, tzinfo=UTC)).load(info, year, year)
    requests_before = len(server.log)
    fresh_room(now).load(info, year, year)
    assert (len(server.log) > requests_before) == again


@pytest.mark.parametrize(
    "kind", but_quick([*BREAKING, *REFUSALS, "404"], "garbage", "403", "404")
)
def test_station_list_outage(room, server, kind):
    break_with(server, "/stations.db", kind)
    with pytest.raises(WeatherUnavailableError, match="station list") as caught:
        room.near(48.2, 16.4, 200)
    assert caught.value.exit_status == 3
    path = Archive().folder.parent / "stations.db"
    assert not path.exists()
    server.heal()
    near = room.near(48.2, 16.4, 200)
    assert [s.id for s in near] == ["99001", "99002"]
    # A week later the list is asked for again; a broken one leaves the good one.
    good = path.read_bytes()
    old = time.time() - 8 * 86_400
    os.utime(path, (old, old))
    break_with(server, "/stations.db", kind)
    again = fresh_room()
    assert [s.id for s in again.near(48.2, 16.4, 200)] == ["99001", "99002"]
    assert "old" in again.client.notes[0]
    assert path.read_bytes() == good
    assert "the station list is old" in " ".join(series(again).notes)
    server.heal()
    assert fresh_room().near(48.2, 16.4, 200)
    assert time.time() - path.stat().st_mtime < 3600


def test_a_list_damaged_on_the_disk_is_fetched_anew(room):
    room.near(48.2, 16.4, 200)
    path = Archive().folder.parent / "stations.db"
    path.write_bytes(path.read_bytes()[:5000])
    assert len(fresh_room().near(48.2, 16.4, 200)) == 2
    path.unlink()
    with sqlite3.connect(path) as db:  # a database, but another one
        db.execute("CREATE TABLE stations (id TEXT)")
        db.execute("INSERT INTO stations VALUES ('1')")
    db.close()
    assert len(fresh_room().near(48.2, 16.4, 200)) == 2


def test_near_tells_why(room):
    first, second = room.near(48.2, 16.4, 300)
    assert tuple(in_units(reason, "metric") for reason in first.reasons) == (
        "station 8.9 km away",
        "station at 200 m, 100 m below the place",
        "2 years of hours (2021-01-01 to 2022-12-31)",
    )
    assert first.zone == "Europe/Vienna"
    # 120 m of height more make up for some 12 km: at 320 m the farther one is better
    # once it is less than 12 km farther than the other.
    assert second.distance_km - first.distance_km > 12
    assert [s.id for s in room.near(48.3, 16.47, 320)] == ["99002", "99001"]
    assert [s.id for s in room.near(48.3, 16.47, 200)] == ["99001", "99002"]


@pytest.mark.parametrize("text", ["00000", "%", "9900_", "", "a b", "../x"])
def test_an_unknown_station_is_the_users_error(room, text):
    with pytest.raises(InputError, match="no such station") as caught:
        room.named(text)
    assert caught.value.exit_status == 2


def own_server(stations, monkeypatch, tmp_path):
    at_home(monkeypatch, tmp_path)
    return LoopbackWeather(stations)


def test_a_station_without_hours_is_refused(tmp_path, monkeypatch):
    frame = synthetic([2020])[["prcp", "temp"]]
    rain = Station("77001", 48.0, 16.0, 100, frame=frame[["prcp"]])
    daily = Station("77002", 48.0, 16.0, 100, frame=frame[["temp"]], source="ghcnd")
    server = own_server([rain, daily], monkeypatch, tmp_path)
    with server, server.client(tmp_path / "c"):
        for key in ("77001", "77002"):
            with pytest.raises(InputError, match="no hourly temperatures") as caught:
                fresh_room().named(key)
            assert caught.value.exit_status == 2
        assert fresh_room().near(48.0, 16.0, None) == []


def test_the_lists_gaps_are_made_good(tmp_path, monkeypatch):
    bare = Station("LOWI0", 47.26, 11.36, None, frame=synthetic([2021]), timezone=None)
    server = own_server([bare], monkeypatch, tmp_path)
    with server, server.client(tmp_path / "c"):
        info = fresh_room().named("lowi0")  # as typed in small letters
        assert (info.id, info.zone, info.elevation_m) == (
            "LOWI0",
            "Europe/Vienna",
            None,
        )
        assert fresh_room().load(info, 2021, 2021).place.zone == "Europe/Vienna"


def test_modeled_hours_are_told_apart_by_hour(tmp_path, monkeypatch):
    frame = synthetic([2021])
    frame["temp"] = frame["temp"].round()
    frame.loc["2021-07-01":, "temp"] += 0.3
    mixed = Station("88001", 48.0, 16.0, 100, frame=frame)
    plain = mixed.csv_gz

    def csv_gz(year):
        import gzip
        import io

        table = pd.read_csv(io.BytesIO(gzip.decompress(plain(year))))
        table.loc[table["month"] == 3, "temp_source"] = "dwd_mosmix"
        table.loc[table["month"] == 4, "rhum_source"] = "dwd_mosmix"
        return gzip.compress(table.to_csv(index=False).encode())

    mixed.csv_gz = csv_gz
    forecast = Station("88002", 48.0, 16.0, 100, frame=frame, source="metno_forecast")
    server = own_server([mixed, forecast], monkeypatch, tmp_path)
    with server, server.client(tmp_path / "c"):
        weather = series(fresh_room(), "88001", 2021, 2021)
        march = weather.time.astype("datetime64[M]") == np.datetime64("2021-03")
        assert (weather.origin[march] == Origin.MODELED).all()
        assert (weather.origin[~march] == Origin.MEASURED).all()
        # 31 days of 365; the other variables keep their own providers.
        assert "8.5% of the known hours are model values, not readings" in weather.notes
        stored = fresh_room().archive.read("88001", 2021)
        april = slice(24 * 90, 24 * 120)
        assert stored.sources[stored.flags["rhum"][april.start]] == "dwd_mosmix"
        assert stored.sources[stored.flags["temp"][april.start]] == "isd_lite"
        # Half the year is in whole degrees, the other half never is.
        assert any(n.startswith("50% of the hours are whole") for n in weather.notes)
        # A station of model hours alone comes after one that measures.
        near = fresh_room().near(48.0, 16.0, 100)
        assert [(s.id, s.measured) for s in near] == [("88001", True), ("88002", False)]
        assert "model hours only" in near[1].reasons[-1]


def test_model_providers_are_those_the_client_grades_so():
    from meteostat.core.providers import provider_service
    from meteostat.enumerations import Grade, Granularity

    graded = {
        str(p.id): p.grade in (Grade.FORECAST, Grade.ANALYSIS)
        for p in provider_service.providers
        if p.granularity is Granularity.HOURLY and p.grade is not None
    }
    assert len(graded) >= 8
    assert {name: is_model(name) for name in graded} == graded


def test_impossible_values_are_unknown_and_counted(tmp_path, monkeypatch):
    frame = synthetic([2021])
    # The client itself refuses more than 65 °C; WMO's record is 56.7 °C.
    frame.loc["2021-02-01 01:00", "temp"] = 63.0
    frame.loc["2021-02-01 02:00", "cldc"] = 9.0  # the sky could not be seen
    station = Station("66001", 48.0, 16.0, 100, frame=frame)
    server = own_server([station], monkeypatch, tmp_path)
    with server, server.client(tmp_path / "c"):
        weather = series(fresh_room(), "66001", 2021, 2021)
    hour = 31 * 24
    for i, name in ((1, "air_temp_c"), (2, "cloud_cover_frac")):
        assert np.isnan(weather.values[name][hour + i, 0])
        assert np.isfinite(weather.values[name][hour + i + 1, 0])
    assert weather.origin[hour + 1, 0] == Origin.MISSING
    said = "1 reading of air temperature marked range: outside what weather can be"
    assert weather.notes == (said,)
    assert weather.marks == (MarkCount("air_temp_c", "range", 1),)


def test_hours_after_now_are_left_out(room):
    early = fresh_room(datetime(2022, 3, 1, 12, tzinfo=UTC))
    assert series(early).time[-1] == np.datetime64("2022-03-01T12:00")
    early.until = datetime(2022, 2, 1, tzinfo=UTC)
    assert series(early).time[-1] <= np.datetime64("2022-02-01T00:00")
    early.until = LATER  # a day to come is not known sooner for being named
    assert series(early).time[-1] == np.datetime64("2022-03-01T12:00")


def test_a_full_disk_loses_the_copy_and_not_the_answer(room, monkeypatch):
    info = room.named("99001")
    first = room.load(info, 2021, 2021)
    before = bytes_stored(room)

    def full(descriptor):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        weather = fresh_room(LATER).load(info, 2021, 2022)
    assert np.isfinite(weather.air_temp_c).sum() > 17_000
    assert "2021 to 2022: used, but could not be archived" in " ".join(weather.notes)
    assert bytes_stored(room) == before
    assert same(room.load(info, 2021, 2021), first)


def test_damage_is_seen_set_aside_said_and_fetched_again(room, server):
    first = series(room, last=2021)
    path = room.archive.path("99001", 2021)
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(bytes(data))
    again = series(fresh_room(), last=2021)
    assert same(again, first)
    assert any("damaged" in note and ".damaged" in note for note in again.notes)
    assert path.with_suffix(".damaged").read_bytes() == bytes(data)
    assert [r["state"] for r in room.archive.listing()] == ["good", "set aside"]
    # Without a network damage is an outage and not an absence.
    path.write_bytes(bytes(data))
    server.fail("/", "drop")
    with pytest.raises(WeatherUnavailableError):
        series(fresh_room(), last=2021)


def _load(folder, env, results):
    os.environ.update(env)
    os.environ["CLIMRISK_DATA"] = folder
    room = fresh_room()
    weather = room.load(room.named("99001"), 2021, 2022)
    results.put(float(np.nansum(weather.air_temp_c)))


def test_two_processes_load_the_same_station_at_once(server, tmp_path):
    spawn = multiprocessing.get_context("spawn")
    results = spawn.Queue()
    env = server.env(tmp_path / "client") | {"NO_PROXY": "127.0.0.1"}
    workers = [
        spawn.Process(target=_load, args=(str(tmp_path / "data"), env, results))
        for _ in range(2)
    ]
    for worker in workers:
        worker.start()
    sums = [results.get(timeout=60) for _ in workers]
    for worker in workers:
        worker.join()
        assert worker.exitcode == 0
    assert sums[0] == sums[1] > 0
    # The second found what the first had fetched.
    assert server.hits("/hourly/") == 2
    assert server.hits("/stations.db") == 1


def test_the_best_station_knows_its_winter_nights(tmp_path, monkeypatch):
    whole = synthetic(YEARS)
    by_day = whole[(whole.index.hour >= 7) & (whole.index.hour < 17)]
    near = Station("55001", 48.0, 16.0, 100, frame=by_day, name="Daylight")
    empty = Station("55002", 48.02, 16.0, 100, frame=whole, name="Empty")
    far = Station("55003", 48.2, 16.0, 100, frame=whole, name="Whole")
    server = own_server([near, empty, far], monkeypatch, tmp_path)
    choice = WeatherChoice(at=(48.0, 16.0, 100.0), as_of=date(2023, 1, 31))
    with server, server.client(tmp_path / "c"):
        server.fail("/hourly/2021/55002", "404")
        server.fail("/hourly/2022/55002", "404")
        weather = load_weather(choice)
        assert "55003" in weather.source.label
        notes = weather.notes
        assert "Daylight (55001) passed over: 0% of its winter nights are known" in (
            notes
        )
        assert "Empty (55002) passed over: no hours" in notes
        # From 2021 to January 2023 there are 90 + 151 + 91 winter nights, and the
        # files lack the 30 nights of January 2023: 302 of 332.
        assert "91% of the station's winter nights are known" in notes
        # The same answer without a network, from what is archived.
        server.heal()
        server.fail("/", "drop")
        assert same(load_weather(choice), weather)


def test_an_outage_does_not_choose_another_station(room, server):
    server.fail("/hourly/2022/99001", "503")
    near = room.near(48.2, 16.4, 200)
    with pytest.raises(WeatherUnavailableError):
        room.load_best(near, lambda info: (2021, 2022))


def test_winter_nights_are_counted_over_the_years_asked_for(room):
    weather = series(room, last=2021)
    known = winter_nights_known(weather, 2021, 2021, until=NOW)
    assert known > 0.95
    both = winter_nights_known(weather, 2021, 2022, until=NOW)
    assert both == pytest.approx(known / 2, abs=0.01)


def test_chosen_by_place_by_id_and_by_town(room):
    at = WeatherChoice(at=(48.2, 16.4, 200.0), as_of=date(2022, 7, 1))
    weather = load_weather(at)
    assert "99001" in weather.source.label
    # The day ends at 24:00 of the station's standard time, which is 23:00 UTC.
    assert weather.time[-1] <= np.datetime64("2022-07-01T22:00")
    assert weather.time[-1] >= np.datetime64("2022-07-01T12:00")
    by_id = load_weather(replace(at, at=None, station="99002", years=1))
    assert "99002" in by_id.source.label
    assert len(by_id) == 8760
    town = load_weather(replace(at, at=None, town="Wien"))
    assert town.notes[0] == "town taken: Vienna, AT (48.208,16.372)"
    assert same(town, weather)


def test_no_network_and_nothing_archived_is_status_three(room, server, capsys):
    from climrisk.cli.main import main

    server.fail("/", "drop")
    status = main(["exposure", "--station", "99001", "--below", "5"])
    out, err = capsys.readouterr()
    assert status == 3
    assert out == ""
    assert "--demo" in err
    assert err.count("\n") == 1


def test_stations_command(room, server, capsys):
    from climrisk.cli.main import main

    assert main(["stations", "--at", "48.2,16.4,200", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["stations"]
    assert [r["id"] for r in rows] == ["99001", "99002"]
    series(room)
    assert main(["stations", "--archive", "--json"]) == 0
    stored = json.loads(capsys.readouterr().out)["archive"]
    assert [(r["year"], r["state"]) for r in stored] == [(2021, "good"), (2022, "good")]
    assert main(["stations", "--remove", "99001"]) == 0
    assert "Removed 2 files" in capsys.readouterr().out
    assert main(["stations", "--remove", "99001"]) == 2


def test_the_rooms_start_without_heavy_imports():
    code = (
        "import sys, climrisk.weather.stations.station, climrisk.weather.towns\n"
        "print([m for m in ('pandas', 'meteostat', 'pvlib', 'tzfpy') "
        "if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"
