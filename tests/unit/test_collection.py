"""A collection comes in from CSV and goes out as it was; names are asked back."""

from __future__ import annotations

import json
import os
import pty
import re
import select
import signal
import subprocess
import sys
import time

import pytest

from climrisk.cli.main import main
from climrisk.core.errors import InputError
from climrisk.home import parse_home, read_home
from climrisk.home.collection import collection_csv, read_collection
from climrisk.plants.registry import index

LIST = """name,spot,pot,diameter,medium,count,label
Phal.,balcony,clear-plastic,12,sphagnum,3,the white ones
"Cymbidium, standard hybrids",balcony,thin-plastic,20 cm,50 akadama + 50 grit,,
moth orchid,window-sill,,5 in,,2,"=not a formula"
Masdevalia,balcony,,"9,5",,,
"""
SPOT = ("--spot", "balcony=roofed-balcony")


def written(tmp_path, text, name="list.csv", encoding="utf-8"):
    path = tmp_path / name
    path.write_bytes(text.encode(encoding))
    return str(path)


def test_a_list_becomes_a_home(tmp_path, capsys):
    home = tmp_path / "home.toml"
    words = ["init", str(home), "--demo", *SPOT, "--plants", written(tmp_path, LIST)]
    assert main([*words, "--json"]) == 0
    result = json.loads(capsys.readouterr().out)
    assert [(p["typed"], p["name"], p["count"]) for p in result["plants"]] == [
        ("Phal.", "Phalaenopsis hybrids", 3),
        ("Cymbidium, standard hybrids", "Cymbidium, standard hybrids", 1),
        ("moth orchid", "Phalaenopsis hybrids", 2),
        ("Masdevalia", "Masdevallia", 1),
    ]
    plants = read_home(home).plant
    # An inch is 2.54 cm.
    assert [p.pot_diameter_cm for p in plants] == [12.0, 20.0, 12.7, 9.5]
    assert [p.spot for p in plants] == ["balcony", "balcony", "window-sill", "balcony"]
    assert plants[2].label == "=not a formula"
    assert read_home(home).spot_named("window-sill").kind == "window-sill"


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252"])
def test_spreadsheets_of_any_country_are_read(tmp_path, capsys, mark, encoding):
    text = mark.join(("Plant", "How many", "Called")) + "\r\n"
    text += mark.join(("Masdevallia", "4", "Señora")) + "\r\n\r\n"
    home = tmp_path / "home.toml"
    path = written(tmp_path, text, encoding=encoding)
    assert main(["init", str(home), "--demo", *SPOT, "--plants", path]) == 0
    said = capsys.readouterr()
    (plant,) = read_home(home).plant
    assert (plant.called, plant.count) == ("Señora", 4)
    assert "1 of 1 rows understood" in said.err


def test_eighty_come_and_go_at_once(tmp_path, capsys):
    names = [e.name for e in index()][:80]
    rows = [
        f'"{n}",{"balcony" if i % 2 else "walk"},terracotta,{8 + i % 20},grit,{i + 1},'
        f'"label, no. {i}"'
        for i, n in enumerate(names)
    ]
    text = "\n".join(["name,spot,pot,diameter,medium,count,label", *rows]) + "\n"
    home, again = tmp_path / "home.toml", tmp_path / "again.toml"
    spots = ("--spot", "balcony=roofed-balcony", "--spot", "walk=roofed-walkway")
    words = ["--demo", *spots, "--plants", written(tmp_path, text)]
    assert main(["init", str(home), *words]) == 0
    assert "80 of 80 rows understood" in capsys.readouterr().err
    out = tmp_path / "out.csv"
    assert main(["plants", "--home", str(home), "--csv", str(out)]) == 0
    words[-1] = str(out)
    assert main(["init", str(again), *words]) == 0
    assert read_home(again).plant == read_home(home).plant
    assert len(read_home(again).plant) == 80
    assert out.read_text("utf-8") == collection_csv(read_home(again))


def test_every_key_of_a_plant_goes_round():
    text = """[weather]
demo = true
[[spot]]
name = "rail"
kind = "open-rail"
[[room]]
name = "study"
kind = "heated-room"
[[plant]]
name = "Masdevallia"
label = "-5 was too cold"
spot = "rail"
room = "study"
pot = "net-pot"
pot_diameter_cm = 7.5
medium = "sphagnum"
wetness = "wet"
crocking = "1 lava-rock"
stands_on = "feet"
pot_color = "black"
plant_height_cm = 22
state = "in-spike"
risk = 0.05
count = 12
[[plant]]
name = "Clivia miniata"
spot = "rail"
"""
    home = parse_home(text, where="made")
    rows = read_collection(collection_csv(home), where="made")
    assert [r.problem for r in rows] == ["", ""]
    back = [
        {"name": r.name, "spot": r.spot, **{k: v for k, v in r.values.items() if v}}
        for r in rows
    ]
    first, second = (type(p)(**r) for p, r in zip(home.plant, back, strict=True))
    assert first == home.plant[0]
    # Another name becomes the label; what the plant is and is called stays.
    assert (second.name, second.called) == ("Clivia", "Clivia miniata")
    same = second.model_copy(update={"name": "Clivia miniata", "label": None})
    assert same == home.plant[1]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "empty"),
        ("name\n", "no plants"),
        ("spot,count\nbalcony,1\n", "no column of plant names"),
        ("name,colour\nMasdevallia,red\n", "unknown column (--plants list.csv): col"),
        ("name,plant\nMasdevallia,x\n", "twice"),
        ("name\nBlue Fountain\nMasdevallia\n", "1 of 2 rows is not understood"),
        ("name\nBlue Fountain\n", "line 2: No plant called"),
        ("name\nDendrobium\n", "covers 7 plants. Say which"),
        ("name,spot\nMasdevallia,attic\n", 'no spot called "attic"'),
        ("name,pot\nMasdevallia,bucket\n", "line 2: unknown pot"),
        ("name,diameter\nMasdevallia,wide\n", "no diameter: wide"),
        ("name,diameter\nMasdevallia,400\n", "line 2"),
        ("name,count\nMasdevallia,none\n", "line 2: count"),
        ('name\n"Masdevallia\n', "not"),
    ],
    ids=lambda v: v[:24],
)
def test_what_is_not_understood_is_said_with_its_line(tmp_path, capsys, text, message):
    home = tmp_path / "home.toml"
    path = written(tmp_path, text)
    assert main(["init", str(home), "--demo", *SPOT, "--plants", path, "--json"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert message in err
    assert err.count("\n") == 1
    assert not home.exists()


def test_a_preview_writes_nothing(tmp_path, capsys):
    home = tmp_path / "home.toml"
    path = written(tmp_path, LIST + "Blue Fountain,,,,,,\n")
    assert main(["init", str(home), "--plants", path, "--preview"]) == 0
    out, err = capsys.readouterr()
    assert out == ""
    assert "4 of 5 rows understood" in err
    assert re.search("Phal. +line 2 +Phalaenopsis", err)
    assert re.search("Masdevalia +line . +Masdevallia", err)
    assert re.search(r"Blue Fountain +line 6 +\? No plant called", err)
    assert max(map(len, err.splitlines())) <= 80
    assert not home.exists()


def test_a_collection_is_that_of_a_home(capsys, tmp_path):
    assert main(["plants", "--csv", str(tmp_path / "x.csv")]) == 2
    assert "--home" in capsys.readouterr().err
    with pytest.raises(InputError, match="the file is empty"):
        read_collection("\n\n", where="made")


class Terminal:
    """A program in a terminal of its own, as somebody types into it."""

    def __init__(self, folder, *words):
        self.main, other = pty.openpty()
        self.shown, self.at = "", 0
        self.process = subprocess.Popen(
            [sys.executable, "-m", "climrisk", *words],
            cwd=folder,
            stdin=other,
            stdout=other,
            stderr=other,
            env={**os.environ, "COLUMNS": "100", "TERM": "dumb"},
            start_new_session=True,
            # A test run started in the background passes on that Ctrl+C is ignored.
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
        )
        os.close(other)

    def shows(self, text, seconds):
        end = time.monotonic() + seconds
        while text not in self.shown[self.at :]:
            ready, _, _ = select.select([self.main], [], [], 0.2)
            if ready:
                try:
                    data = os.read(self.main, 65536)
                except OSError:
                    data = b""
                if not data:
                    break
                self.shown += data.decode("utf-8").replace("\r\n", "\n")
            elif time.monotonic() > end:
                break
        return text in self.shown[self.at :]

    def wait_for(self, text, seconds=60):
        assert self.shows(text, seconds), self.shown
        self.at = self.shown.index(text, self.at) + len(text)

    def interrupt(self, then):
        """Press Ctrl+C until it is heeded.

        Python misses one that comes after a prompt is shown and just before it is read.
        """
        for _ in range(10):
            os.killpg(self.process.pid, signal.SIGINT)
            if self.shows(then, 6):
                break
        self.wait_for(then)

    def type(self, text, then):
        os.write(self.main, text.encode() + b"\n")
        self.wait_for(then)

    def ends(self, status):
        assert self.process.wait(60) == status, self.shown
        os.close(self.main)


def test_wrong_answers_are_asked_again_and_nothing_is_lost(tmp_path):
    one = Terminal(tmp_path, "init")
    one.wait_for("Where are your plants")
    one.type("Nowhere at all", "Where are your plants")
    assert "unknown town" in one.shown
    one.type("95,3", "Where are your plants")
    one.type("Zadar, HR", "Spot 1")
    assert "HR: 44.1" in one.shown
    # Choices are shown at the question.
    assert "roofed-balcony:" in one.shown
    one.type("moon", "Spot 1")
    one.type("roofed balcony", "What do you call it")
    one.type("", "Spot 2")
    one.type("", "Room 1")
    assert "heated-room:" in one.shown
    one.type("heated-room", "What do you call it")
    one.type("roofed balcony", "What do you call it")
    one.type("study", "Room 2")
    one.type("", "Plant 1")
    one.type("Dendrobium", "Number, another name")
    one.type("Dendrobum nobile", "Spot")
    one.type("7", "Spot")
    one.type("1", "How many")
    one.type("many", "How many")
    one.type("4", "Plant 2")
    one.type("Blue Fountain", "Number, another name")
    one.type("", "Plant 2")
    one.type("Blue Fountain", "Number, another name")
    one.type("cool", "Spot")
    one.type("", "How many")
    one.type("", "Plant 3")
    one.type("", "Write home.toml?")
    one.type("", "Next:")
    one.ends(0)
    home = read_home(tmp_path / "home.toml")
    assert home.weather.town == "Zadar, HR"
    assert [(s.name, s.kind) for s in home.spot] == [
        ("roofed balcony", "roofed-balcony")
    ]
    assert [(r.name, r.kind) for r in home.room] == [("study", "heated-room")]
    first, second = home.plant
    assert (first.name, first.count) == ("Dendrobium nobile type", 4)
    assert first.spot == "roofed balcony"
    assert second.called == "Blue Fountain"
    assert "cool" in second.name.lower()


def test_a_list_is_asked_about_where_it_is_not_understood(tmp_path):
    text = "name,spot,count\nPhal.,shelf,2\nBlue Fountain,shelf,1\nMasdevallia,,1\n"
    written(tmp_path, text)
    one = Terminal(tmp_path, "init", "--demo", "--plants", "list.csv", *SPOT)
    one.wait_for("2 of 3 rows understood")
    one.wait_for("Room 1")
    one.type("", 'the spot "shelf"')
    one.type("shelf", 'the spot "shelf"')
    one.type("wall-shelf", "Number, another name")
    one.type("Clivia", "Write home.toml?")
    one.type("y", "Next:")
    one.ends(0)
    home = read_home(tmp_path / "home.toml")
    assert [(p.called, p.spot, p.count) for p in home.plant] == [
        ("Phal.", "shelf", 2),
        ("Blue Fountain", "shelf", 1),
        ("Masdevallia", "balcony", 1),
    ]


def test_an_answer_given_survives_a_stop(tmp_path):
    one = Terminal(tmp_path, "init", "--demo")
    one.wait_for("Spot 1")
    one.type("roofed-balcony", "What do you call it")
    one.type("over the yard", "Spot 2")
    one.type("", "Room 1")
    one.type("", "Plant 1")
    one.type("Masdevallia", "How many")
    one.type("", "Plant 2")
    one.interrupt("To go on from here")
    one.wait_for("Masdevallia@over the yard")
    one.ends(1)
    assert not (tmp_path / "home.toml").exists()
    (tmp_path / "home.toml").write_text("# mine\n")
    two = Terminal(tmp_path, "init", "--demo")
    two.wait_for("there already")
    two.ends(2)
