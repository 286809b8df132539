"""Plants carried in and out are noted, and what they are asked about follows."""

from __future__ import annotations

import json
from datetime import date

import jsonschema
import pytest

from climrisk.cli.main import main
from climrisk.cli.schema import schemas
from climrisk.commands.calendar.next_moves import headline, plant_lines
from climrisk.commands.carried.compute import carried
from climrisk.core.errors import InputError
from climrisk.home import HomeEdit, edit_home, parse_home, read_home, undo_change
from climrisk.home.model import references
from climrisk.weather.selection import WeatherChoice
from tests.asking import calendar, event, review, tonight

HOME = """# Mine, written by hand.
version = 1
name = "Flat"
weather.demo = true

[[spot]]
name = "rail"   # over the yard
kind = "open-rail"

[[spot]]
name = "shelf"
kind = "wall-shelf"
room = "study"

# Where they spend the winter.
[[room]]
name = "study"
kind = "heated-room"

[[room]]
name = "store"
kind = "unheated-room"

[[plant]]
name = "Phalaenopsis hybrids"
label = "the white one"
spot = "shelf"   # by the door

# Bought in Veladrag.
[[plant]]
name = "Masdevallia"
spot = "rail"
count = 3
# watered on Sundays

[[plant]]
name = "Masdevallia"
spot = "rail"
count = 3

# What names mean.
[answers]
dendrobium = "Dendrobium nobile type"
"""
IN = date(2024, 10, 10)


@pytest.fixture
def home(tmp_path):
    path = tmp_path / "home.toml"
    path.write_text(HOME, "utf-8")
    return path


def places(path, day):
    return [p.place_on(day) for p in read_home(path).plant]


def test_a_note_is_a_line_beside_everything_else(home):
    result = carried(home, "in", ["the white one"], on=IN)
    assert [(p.label, p.at, p.to) for p in result.carried] == [
        ("the white one", "shelf", "study")
    ]
    assert [(p.label, p.count, p.spot) for p in result.outside] == [
        ("Masdevallia", 3, "rail"),
        ("Masdevallia", 3, "rail"),
    ]
    lines = home.read_text("utf-8").splitlines(keepends=True)
    added = ["moves = [\n", '    {on = 2024-10-10, to = "study"},\n', "]\n"]
    at = lines.index('spot = "shelf"   # by the door\n') + 1
    assert lines[at : at + 3] == added
    assert "".join(lines[:at] + lines[at + 3 :]) == HOME


def test_its_document_keeps_its_schema(home, capsys):
    words = ["in", "the white one", "--home", str(home), "--on", IN.isoformat()]
    assert main(["carried", *words, "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    jsonschema.Draft202012Validator(schemas()["carried"]).validate(document)
    assert main(["carried", *words]) == 0
    assert "There already: the white one" in capsys.readouterr().out


def test_the_last_move_up_to_a_day_holds(home):
    carried(home, "in", everything=True, to="store", on=IN)
    carried(home, "out", ["the white one"], on=date(2025, 5, 1))
    # Told later, of a day in between.
    carried(home, "in", ["the white one"], to="study", on=date(2025, 1, 1))
    assert places(home, date(2024, 10, 9)) == ["shelf", "rail", "rail"]
    assert places(home, IN) == ["store"] * 3
    assert places(home, date(2025, 4, 30)) == ["study", "store", "store"]
    assert places(home, date(2025, 5, 1)) == ["shelf", "store", "store"]
    again = carried(home, "in", ["masdevallia"], to="store", on=date(2025, 6, 1))
    assert again.carried == []
    assert again.already == ["Masdevallia", "Masdevallia"]


def test_plants_are_named_as_growers_write_them(home):
    done = carried(home, "in", ["moth orchid", "Masdevalia"], to="store", on=IN)
    assert {p.label for p in done.carried} == {"the white one", "Masdevallia"}


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("in", "tomato"), "the white one; Masdevallia"),
        (("in", "the whit one"), "Did you mean the white one"),
        (("in", "Masdevallia"), "study, store"),
        (("in", "Masdevallia", "--to", "rail"), "outdoors"),
        (("out", "Masdevallia", "--to", "study"), "indoors"),
        (("in", "Masdevallia", "--to", "attic"), "rail, shelf, study, store"),
        (("in", "Masdevallia", "--spot", "attic"), "rail, shelf, study, store"),
        (("in", "Masdevallia", "--spot", "shelf"), "on shelf"),
        (("in",), "--all"),
        (("in", "--all", "Masdevallia"), "--all"),
        (("up", "--all"), "'up'"),
        (("in", "--all", "--on", "yesterday"), "yesterday"),
    ],
    ids=str,
)
def test_what_is_wrong_is_said_and_nothing_is_noted(home, capsys, words, message):
    assert main(["carried", *words, "--home", str(home)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert message in err
    assert home.read_text("utf-8") == HOME


@pytest.mark.parametrize(
    ("note", "line", "message"),
    [
        ('{ on = 2024-10-10, to = "attic" }', 24, "is no spot here"),
        ('{ on = "in May", to = "study" }', 24, "date"),
        ('{ to = "study" }', 24, "missing"),
    ],
)
def test_a_wrong_note_is_named_by_its_line(note, line, message):
    spot = 'spot = "shelf"   # by the door\n'
    text = HOME.replace(spot, f"{spot}moves = [{note}]\n")
    line = text.splitlines().index(f"moves = [{note}]") + 1
    with pytest.raises(InputError, match=f"line {line}") as error:
        parse_home(text, where="home.toml")
    assert message in error.value.line()


def test_tonight_leaves_out_what_is_inside(home):
    weather = WeatherChoice(as_of=date(2024, 12, 1))
    before = tonight(weather, words="-6C, clear", home=home)
    assert [r.count for r in before.carry] == [1, 3, 3] or len(before.carry) == 3
    assert before.inside == []
    assert before.needed
    carried(home, "in", ["the white one"], on=date(2024, 12, 1))
    after = tonight(weather, words="-6C, clear", home=home)
    assert {r.label for r in after.carry} == {"Masdevallia"}
    assert [(r.label, r.spot) for r in after.inside] == [("the white one", "study")]
    assert "1 inside by your notes" in after.sentence
    # On the evening before it was still out.
    eve = WeatherChoice(as_of=date(2024, 11, 30))
    assert tonight(eve, words="-6C, clear", home=home).inside == []


def test_a_room_that_is_too_cold_is_no_shelter(home):
    carried(home, "in", ["the white one"], to="store", on=IN)
    weather = WeatherChoice(as_of=date(2024, 12, 1))
    cold = tonight(weather, words="-15C, clear", home=home)
    row = next(r for r in cold.carry if r.label == "the white one")
    assert (row.spot, row.to) == ("store", "study")


def test_only_if_needed_prints_nothing_on_a_mild_night(home, capsys):
    words = ["tonight", "--home", str(home), "--only-if-needed", "--as-of"]
    assert main([*words, "2024-12-01", "--words", "17C, cloudy, calm"]) == 0
    assert capsys.readouterr().out == ""
    assert main([*words, "2024-12-01", "--words", "2C, cloudy, calm"]) == 0
    assert "CARRY IN 7" in capsys.readouterr().out
    # What is noted as inside needs nothing any more.
    carried(home, "in", everything=True, to="study", on=date(2024, 12, 1))
    assert main([*words, "2024-12-01", "--words", "2C, cloudy, calm"]) == 0
    assert capsys.readouterr().out == ""


def test_tonights_list_is_noted_at_once(home, capsys):
    words = ["tonight", "--home", str(home), "--words", "-6C, clear", "--as-of"]
    assert main([*words, "2024-12-01", "--done", "--json"]) == 0
    result = json.loads(capsys.readouterr().out)
    goals = [r["to"] for r in result["carry"]]
    assert len(goals) == 3
    assert sorted(places(home, date(2024, 12, 1))) == sorted(goals)
    assert main([*words, "2024-12-02", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["carry"] == []
    assert main(["tonight", "--demo", "--words", "2", "--done"]) == 2
    assert "home file" in capsys.readouterr().err


def test_the_calendar_says_what_is_still_outside(home):
    def calendar_on(day):
        weather = WeatherChoice(as_of=day, years=6)
        return calendar(weather, home=home, members=1)

    day = date(2024, 12, 1)
    assert "still outside" not in calendar_on(day).sentence
    carried(home, "in", ["the white one"], on=IN)
    noted = calendar_on(day)
    inside = {r.label: r.inside for r in noted.months}
    assert inside == {"the white one": True, "Masdevallia": None}
    assert "still outside: 3 Masdevallia; 3 Masdevallia (rail)" in noted.sentence
    carried(home, "in", ["Masdevallia"], to="store", on=IN)
    everything = calendar_on(day)
    assert "By your notes all 7 plants" in everything.sentence
    lines = plant_lines(everything)
    assert {line.action for line in lines} == {"Carry out"}
    assert "should be inside" not in headline(lines)
    carried(home, "out", ["the white one"], on=date(2024, 11, 1))
    lines = plant_lines(calendar_on(day))
    line = next(x for x in lines if x.row.label == "the white one")
    assert (line.group, line.action) == ("late", "Carry in")
    assert line.when.startswith("since ")


def test_a_coming_trip_leaves_out_what_was_carried_already(home):
    early = date(2024, 8, 1)

    def moves():
        weather = WeatherChoice(as_of=early, years=6)
        entries = calendar(weather, home=home, members=1).entries
        return [
            (e.date[:4], e.action)
            for e in entries
            if e.date >= early.isoformat()
            and any("the white one" in p for p in e.plants)
            and e.action in ("move in", "move out", "pest check")
        ]

    every = moves()
    assert ("2024", "move in") in every
    carried(home, "in", ["the white one"], on=early)
    left = moves()
    assert ("2024", "move in") not in left
    assert ("2024", "pest check") not in left
    # The way out again, and the autumn after that, stay.
    assert [m for m in every if m[0] != "2024"] == left


def test_review_and_event_count_only_nights_outside(home):
    weather = WeatherChoice(demo=False)

    def looked_back():
        result = review(weather, winter="2024/25", members=1, spot="rail", home=home)
        return result.plants[0]

    before = looked_back()
    assert before.nights_elsewhere == 0
    assert before.nights_below_tolerated > 10
    carried(home, "in", ["Masdevallia"], to="study", on=IN)
    after = looked_back()
    assert after.nights_below_tolerated == 0
    assert after.nights_elsewhere > 140
    assert "by your notes" in after.sentence
    cold = event(
        WeatherChoice(first=date(2025, 1, 12), last=date(2025, 1, 14)),
        members=1,
        home=home,
    )
    assert {p.spot for p in cold.plants if p.label == "Masdevallia"} == {"study"}


def test_references_tell_equal_plants_apart_and_follow_no_other(home):
    rows = read_home(home).plant
    refs = references(rows)
    assert len(set(refs)) == 3
    assert read_home(home).plant_names == (
        "the white one",
        "Masdevallia (rail), no. 1",
        "Masdevallia (rail), no. 2",
    )
    edit = HomeEdit(HOME)
    edit.remove("plant", edit.plant_of(refs[1]))
    assert "# Bought in Veladrag." in edit.text() or "by the door" in edit.text()
    # One equal plant is left, and no earlier reference leads to it.
    left = references(parse_home(edit.text(), where="made").plant)
    assert left[0] == refs[0]
    assert len(left) == 2
    assert left[1] not in refs
    changed = HomeEdit(HOME)
    changed.plant_of(refs[0])["count"] = 2
    with pytest.raises(InputError, match="changed or removed"):
        changed.plant_of(refs[0])
    with pytest.raises(InputError, match="2 entries are called so"):
        changed.plant("Masdevallia")


def test_an_undo_takes_back_its_own_change_only(home):
    def after(change):
        with edit_home(home) as edit:
            change(edit)
        return edit.before, edit.text()

    first = after(lambda e: e.add("plant", name="Miltoniopsis", spot="rail"))
    second = after(lambda e: e.add("plant", name="Clivia miniata", spot="shelf"))
    third = after(lambda e: e.change(e.plant("the white one"), spot="rail"))
    undo_change(home, *first)
    assert [p.name for p in read_home(home).plant][3:] == ["Clivia miniata"]
    undo_change(home, *third)
    assert read_home(home).plant[0].spot == "shelf"
    undo_change(home, *second)
    assert home.read_text("utf-8") == HOME
    with pytest.raises(InputError, match="changed again"):
        undo_change(home, *second)
    assert home.read_text("utf-8") == HOME


def test_what_was_changed_again_is_not_undone(home):
    with edit_home(home) as one:
        one.change(one.plant("the white one"), spot="rail")
    with edit_home(home) as two:
        two.change(two.plant("the white one"), count=2)
    text = home.read_text("utf-8")
    with pytest.raises(InputError, match="changed again"):
        undo_change(home, one.before, one.text())
    assert home.read_text("utf-8") == text


def test_removed_rows_come_back_where_they_were(home):
    refs = references(read_home(home).plant)
    with edit_home(home) as gone:
        gone.remove("plant", gone.plant_of(refs[0]))
    with edit_home(home) as edit:
        edit.add("plant", name="Clivia miniata", spot="shelf")
        edit.set("risk", 0.2)
    undo_change(home, gone.before, gone.text())
    now = read_home(home)
    assert [p.called for p in now.plant] == [
        "the white one",
        "Masdevallia",
        "Masdevallia",
        "Clivia miniata",
    ]
    assert now.risk == 0.2
    text = home.read_text("utf-8")
    assert all(line in text for line in HOME.splitlines())
