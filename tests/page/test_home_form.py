"""The home file changed from the page: whole or not at all, and one step back."""

from __future__ import annotations

import io
import re
import tomllib
import zipfile

import pytest
from starlette.testclient import TestClient

from climrisk.web.app import make_app
from climrisk.web.settings import Settings, keep_log

BEGIN = {"do": "begin", "at": "44.1,15.2,18", "name": "Mine", "kind": "wall-shelf"}
OTHER = {"do": "begin", "town": "Zadar", "name": "Other", "kind": "open-rail"}
PLANT = {"do": "add-plant", "name": "Masdevallia", "spot": "balcony", "count": "2"}


@pytest.fixture
def own(tmp_path):
    home = tmp_path / "data" / "home.toml"
    settings = Settings(home=home, logs=tmp_path / "logs", workers=0)
    with TestClient(make_app(settings), base_url="http://127.0.0.1") as one:
        one.follow_redirects = False
        yield one, home


def changed(answer):
    """Return the name of a change, by which it is undone."""
    return answer.headers["location"].split("changed=")[1]


def read(home):
    return tomllib.loads(home.read_text("utf-8"))


def test_a_home_is_begun_added_to_and_taken_back(own):
    page, home = own
    assert page.post("/home", data=BEGIN).status_code == 303
    assert read(home)["weather"]["at"] == "44.1,15.2,18"
    assert read(home)["spot"] == [{"name": "balcony", "kind": "wall-shelf"}]
    # Nobody asked for a room.
    assert "room" not in read(home)
    home.write_text("# my own words\n" + home.read_text("utf-8"), "utf-8")
    assert page.post("/home", data=PLANT).status_code == 303
    assert read(home)["plant"] == [
        {"name": "Masdevallia", "spot": "balcony", "count": 2}
    ]
    assert "# my own words" in home.read_text("utf-8")
    with_plant = home.read_text("utf-8")
    gone = {"do": "remove-plant", "called": "Masdevallia"}
    removed = page.post("/home", data=gone)
    assert removed.status_code == 303
    assert "plant" not in read(home)
    undo = {"do": "undo", "change": changed(removed)}
    assert page.post("/home", data=undo).status_code == 303
    assert home.read_text("utf-8") == with_plant


@pytest.mark.parametrize(
    ("form", "word"),
    [
        ({**PLANT, "name": "blu vanda"}, "Did you mean blue vanda"),
        ({**PLANT, "spot": "cellar"}, "no spot here"),
        ({**PLANT, "pot": "bucket"}, "thin-plastic"),
        ({**PLANT, "pot_diameter_cm": "wide"}, "Not a pot size"),
        ({**PLANT, "count": "0"}, "count"),
        ({"do": "remove-plant", "called": "Nobody"}, "No such plant"),
        ({"do": "add-spot", "name": "x", "kind": "moon"}, "open-rail"),
        ({"do": "add-plant", "name": "", "spot": "balcony"}, "missing"),
        ({"do": "burn"}, "Nothing to do"),
        ({"do": "undo", "change": "1234"}, "no longer be undone"),
        ({"do": "remove-plant", "row": "123456789abc-1"}, "changed or removed"),
        ({"do": "carried", "way": "in"}, "No plant is ticked"),
    ],
    ids=lambda v: str(v)[:40],
)
def test_what_is_wrong_leaves_the_file_as_it_was(own, form, word):
    page, home = own
    page.post("/home", data=BEGIN)
    before = home.read_text("utf-8")
    answer = page.post("/home", data=form)
    assert answer.status_code == 422
    assert word in answer.text
    assert home.read_text("utf-8") == before


def test_a_second_home_leaves_the_first_as_it_was(own):
    page, home = own
    page.post("/home", data=BEGIN)
    before = home.read_text("utf-8")
    other = {**OTHER, "name": "By the sea", "spot_name": "terrace"}
    assert page.post("/home", data=other).status_code == 303
    assert home.read_text("utf-8") == before
    second = home.parent / "climrisk-homes" / "by-the-sea.toml"
    assert read(second)["name"] == "By the sea"
    # The new one is shown, and plants go into it; then the first one again.
    assert page.post("/home", data={**PLANT, "spot": "terrace"}).status_code == 303
    assert len(read(second)["plant"]) == 1
    listed = page.get("/homes").text
    assert "By the sea" in listed
    shown = page.post("/homes", data={"do": "show", "key": "first"})
    assert shown.headers["location"] == "/plants"
    assert page.post("/home", data=PLANT).status_code == 303
    assert [p["spot"] for p in read(home)["plant"]] == ["balcony"]
    assert len(read(second)["plant"]) == 1


def test_a_home_is_deleted_only_when_that_is_confirmed(own):
    page, home = own
    page.post("/home", data=BEGIN)
    page.post("/home", data=OTHER)
    query = {"do": "remove", "key": "other"}
    second = home.parent / "climrisk-homes" / "other.toml"
    refused = page.post("/homes", data=query)
    assert refused.status_code == 422
    assert "Nothing was deleted" in refused.text
    assert second.is_file()
    assert page.post("/homes", data={**query, "sure": "yes"}).status_code == 303
    assert not second.exists()
    assert home.is_file()
    # A key is no path.
    for key in ("../home", "first/../first", "", "x" * 90):
        answer = page.post("/homes", data={"do": "remove", "key": key, "sure": "yes"})
        assert answer.status_code == 422
    assert home.is_file()


def test_the_source_of_weather_is_changed_and_the_change_undone(own):
    page, home = own
    page.post("/home", data=BEGIN)
    home.write_text("# mine\n" + home.read_text("utf-8"), "utf-8")
    before = home.read_text("utf-8")
    done = page.post("/homes", data={"do": "source", "town": "Valencia, Spain"})
    assert done.status_code == 303
    assert read(home)["weather"] == {"town": "Valencia, Spain"}
    assert home.read_text("utf-8").startswith("# mine\n")
    undo = {"do": "undo", "change": changed(done)}
    assert page.post("/home", data=undo).status_code == 303
    assert home.read_text("utf-8") == before
    # What cannot be found changes nothing, and what was typed stays in its field.
    refused = page.post("/homes", data={"do": "source", "town": "Zadarr"})
    assert refused.status_code == 422
    assert "Zadar,HR" in refused.text
    assert 'value="Zadarr"' in refused.text
    assert home.read_text("utf-8") == before


def test_everything_is_exported_and_then_deleted(own, tmp_path, monkeypatch):
    page, home = own
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path / "kept"))
    archive = tmp_path / "kept" / "archive" / "99001"
    archive.mkdir(parents=True)
    page.post("/home", data=BEGIN)
    page.post("/home", data=OTHER)
    text = "time,temperature\n2021-01-01 00:00,4.5\n"
    sent = page.post("/logs", files={"file": ("shelf.csv", text)}, data={"town": ""})
    key = re.search(r"log=([0-9a-f]{16})", sent.headers["location"])[1]
    assert "shelf.csv" in page.get("/homes").text
    mine = home.parent / "notes.txt"
    mine.write_text("not of this program", "utf-8")
    packed = page.get("/homes/export.zip")
    with zipfile.ZipFile(io.BytesIO(packed.content)) as held:
        names = held.namelist()
        assert names[:2] == ["homes/first.toml", "homes/other.toml"]
        assert held.read("homes/first.toml").decode() == home.read_text("utf-8")
        assert held.read(f"files/{key[:6]}-shelf.csv").decode() == text
    assert page.post("/homes", data={"do": "everything"}).status_code == 422
    assert home.is_file()
    gone = page.post("/homes", data={"do": "everything", "sure": "yes"})
    assert gone.headers["location"] == "/start"
    assert not home.exists()
    assert not archive.exists()
    assert page.get("/").headers["location"] == "/start"
    assert "shelf.csv" not in page.get("/homes").text
    # Files that lie beside the home and are not of this program stay.
    assert mine.is_file()


def test_a_file_is_deleted_alone(own):
    page, _ = own
    for name, text in (
        ("a.csv", "t,c\n2021-01-01,1\n"),
        ("b.csv", "t,c\n2021-01-01,2\n"),
    ):
        page.post("/logs", files={"file": (name, text)}, data={})
    listed = page.get("/homes").text
    keys = re.findall(
        r'action="/files"><input type="hidden" name="key" value="(\w+)"', listed
    )
    assert len(keys) == 2
    assert page.post("/files", data={"key": keys[0]}).status_code == 303
    left = page.get("/homes").text
    assert keys[0] not in left
    assert keys[1] in left
    assert page.post("/files", data={"key": "../../x"}).status_code == 422


def test_a_room_is_added_where_it_is_asked_for(own):
    page, home = own
    form = {**BEGIN, "room_kind": "heated-room"}
    assert page.post("/home", data=form).status_code == 303
    assert read(home)["room"] == [{"name": "heated room", "kind": "heated-room"}]


def test_the_collection_is_handed_out_as_a_table(own):
    page, _ = own
    assert page.get("/collection.csv").status_code == 422
    page.post("/home", data=BEGIN)
    page.post("/home", data={**PLANT, "label": "=1+1"})
    table = page.get("/collection.csv")
    assert table.headers["content-type"].startswith("text/csv")
    assert table.text.splitlines() == [
        "name,spot,pot,diameter,medium,count,label",
        "Masdevallia,balcony,thin-plastic,12,pine-bark-fine,2,'=1+1",
    ]


def test_without_a_home_nothing_is_written(own, tmp_path):
    page, home = own
    assert page.post("/home", data=PLANT).status_code == 422
    assert not home.exists()
    wrong = {**BEGIN, "at": "95,3"}
    assert page.post("/home", data=wrong).status_code == 422
    assert not home.exists()


def test_words_with_quotes_stay_words(own):
    page, home = own
    evil = 'a"\nrisk = 0.9\n[weather]\ndemo = true #'
    page.post("/home", data={**BEGIN, "name": evil})
    assert "demo" not in read(home)["weather"]
    assert "risk" not in read(home)


def test_a_loggers_file_is_kept_beside_the_home(own, tmp_path):
    page, home = own
    key = keep_log(tmp_path / "logs", "balcony.csv", b"time,temp\n")
    form = {"do": "begin", "log": key, "at": "44.1,15.2,18"}
    assert page.post("/home", data=form).status_code == 303
    file = read(home)["weather"]["file"]
    assert file == f"log-{key}-balcony.csv"
    assert (home.parent / file).read_bytes() == b"time,temp\n"


def test_the_built_in_home_cannot_be_changed(tmp_path):
    app = make_app(Settings(demo=True, logs=tmp_path, workers=0))
    with TestClient(app, base_url="http://127.0.0.1") as one:
        assert one.post("/home", data=PLANT).status_code == 422


def test_what_a_logger_taught_is_kept_for_a_spot(tmp_path):
    from climrisk.home import demo_home_text
    from climrisk.weather.synthetic import demo_weather
    from climrisk.weather.synthetic_log import demo_log

    home = tmp_path / "home.toml"
    home.write_text(demo_home_text(), "utf-8")
    series = demo_log(demo_weather())
    rows = zip(series.time, series.air_temp_c[:, 0], strict=True)
    table = "time,temperature °C\n" + "".join(
        f"{str(t)[:16].replace('T', ' ')},{c:.2f}\n" for t, c in rows if c == c
    )
    settings = Settings(home=home, logs=tmp_path / "logs", workers=1)
    with TestClient(make_app(settings), base_url="http://127.0.0.1") as page:
        page.follow_redirects = False
        sent = page.post(
            "/logs",
            files={"file": ("walk.csv", table.encode())},
            data={"at": "44.1,15.1,18", "to": "learn"},
        )
        log = sent.headers["location"].split("log=")[1].split("&")[0]
        query = {"log": log, "at": "44.1,15.1,18"}
        query |= {"clock": "utc", "spot": "walkway"}
        taught = page.get("/learn.json", params=query).json()
        assert taught["nights_used"] > 10
        assert "learned" not in str(read(home))
        response = page.post("/home", data={**query, "do": "learn"})
        assert response.status_code == 303, response.text
    spot = next(s for s in read(home)["spot"] if s["name"] == "walkway")
    assert spot["learned"]
