"""The home file changed from the page: whole or not at all, and one step back."""

from __future__ import annotations

import tomllib

import pytest
from starlette.testclient import TestClient

from climrisk.web.app import make_app
from climrisk.web.settings import Settings, keep_log

BEGIN = {"do": "begin", "at": "44.1,15.2,18", "name": "Mine", "kind": "wall-shelf"}
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
        ({**PLANT, "pot_diameter_cm": "wide"}, "not a pot size"),
        ({**PLANT, "count": "0"}, "count"),
        ({"do": "remove-plant", "called": "Nobody"}, "no such plant"),
        ({"do": "add-spot", "name": "x", "kind": "moon"}, "open-rail"),
        ({"do": "add-plant", "name": "", "spot": "balcony"}, "missing"),
        ({"do": "burn"}, "nothing to do"),
        ({"do": "undo", "change": "1234"}, "no longer be undone"),
        ({"do": "remove-plant", "row": "123456789abc-1"}, "changed or removed"),
        ({"do": "carried", "way": "in"}, "no plant is ticked"),
    ],
    ids=lambda v: str(v)[:40],
)
def test_what_is_wrong_leaves_the_file_as_it_was(own, form, word):
    page, home = own
    page.post("/home", data=BEGIN)
    before = home.read_text("utf-8")
    answer = page.post("/home", data=form)
    assert answer.status_code == 422
    assert word in answer.text.lower() or word in answer.text
    assert home.read_text("utf-8") == before


def test_another_home_leaves_the_first_as_it_was(own):
    page, home = own
    page.post("/home", data=BEGIN)
    page.post("/home", data=PLANT)
    before = home.read_text("utf-8")
    assert page.post("/home", data={**BEGIN, "name": "Garden"}).status_code == 303
    assert home.read_text("utf-8") == before


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
        asked = {"log": log, "at": "44.1,15.1,18"}
        asked |= {"clock": "utc", "spot": "walkway"}
        taught = page.get("/learn.json", params=asked).json()
        assert taught["nights_used"] > 10
        assert "learned" not in str(read(home))
        kept = page.post("/home", data={**asked, "do": "learn"})
        assert kept.status_code == 303, kept.text
    spot = next(s for s in read(home)["spot"] if s["name"] == "walkway")
    assert spot["learned"]
