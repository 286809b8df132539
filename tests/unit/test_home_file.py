"""The home file read with the line of each fault, and written back as it was."""

from __future__ import annotations

import json
import multiprocessing
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from climrisk.cli.main import main
from climrisk.commands.shared.plants import place_choice
from climrisk.core.errors import InputError
from climrisk.home import demo_home_text, edit_home, parse_home, read_home, undo_change
from climrisk.home.lines import line_of, lines_of
from climrisk.home.write import undo_path
from climrisk.weather.selection import WeatherChoice
from tests.made_files import logger_csv, truth

EXAMPLE = Path(__file__).parents[2] / "examples" / "home.toml"
HOME = """\
# My home. Keep this line.
version = 1
name = "flat"   # and this
[weather]
demo = true

[[spot]]
name = "rail"       # windy
kind = "open-rail"

[[room]]
name = "study"
kind = "heated-room"

[[plant]]
name = "Cymbidium, standard hybrids"
label = "big one"
spot = "rail"

# the small ones
[[plant]]
name = "Masdevallia"
spot = "rail"
medium = "sphagnum"
"""


@pytest.fixture
def home(tmp_path):
    path = tmp_path / "home.toml"
    path.write_text(HOME, "utf-8")
    return path


#: A wrong text, the number of its line and what the message names.
WRONG = [
    ('kind = "open-rail"', 'kind = "attic"', 9, "spot 1.kind"),
    ('medium = "sphagnum"', 'medium = "marble"', 24, "plant 2.medium"),
    ('medium = "sphagnum"', "pot_diameter_cm = 900", 24, "plant 2.pot_diameter_cm"),
    ('label = "big one"', "label = 7", 17, "plant 1.label"),
    ('label = "big one"', 'lable = "x"', 17, "Did you mean label?"),
    ('"Masdevallia"', '"blu vanda"', 22, 'line 22: no plant called "blu vanda". Did'),
    ('"Masdevallia"', '"tomato"', 22, 'line 22: no plant called "tomato".'),
    ('"Masdevallia"', '"Dendrobium"', 22, '"Dendrobium" ='),
    ('kind = "heated-room"', 'kind = "open-rail"', 13, "room 1.kind"),
    ('spot = "rail"\nmedium', 'spot = "roof"\nmedium', 23, "rail, study"),
    ('kind = "open-rail"', 'kind = "open-rail"\nfacing = "up"', 10, "spot 1.facing"),
    ("demo = true", "demo = maybe", 5, "demo = maybe"),
    ('name = "rail"       # windy\n', "", 7, "spot 1.name: is missing"),
]


@pytest.mark.parametrize(("old", "new", "line", "word"), WRONG, ids=lambda v: str(v))
def test_a_fault_names_line_and_key(old, new, line, word):
    assert HOME.count(old) == 1
    with pytest.raises(InputError) as caught:
        parse_home(HOME.replace(old, new), where="home.toml")
    assert f"home.toml, line {line}" in caught.value.line()
    assert word in caught.value.line()
    assert "\n" not in caught.value.line()


def _leaves(value, at=()):
    if isinstance(value, dict):
        for key, part in value.items():
            yield from _leaves(part, (*at, key))
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for i, part in enumerate(value):
            yield from _leaves(part, (*at, i))
    else:
        yield at


@pytest.mark.parametrize(
    "text", [HOME, demo_home_text(), EXAMPLE.read_text("utf-8")], ids=len
)
def test_every_key_that_the_parser_sees_has_the_line_it_stands_on(text):
    # Independent of the finder: a key is on a line if the text up to and with that
    # line holds it, and the text up to the line before does not.
    lines = text.splitlines(keepends=True)
    found = lines_of(text)
    for loc in _leaves(tomllib.loads(text)):
        number = found[loc]
        with_it = set(_leaves(tomllib.loads("".join(lines[:number]))))
        without = set(_leaves(tomllib.loads("".join(lines[: number - 1]))))
        assert loc in with_it - without, loc


def test_lines_of_texts_that_only_toml_allows():
    text = (
        'a = """\n[no.table]\nb = 1\n"""\n'
        "c = [ # [no]\n  1,\n  2,\n]\n"
        "'d.e'.\"f g\" = 3 # x\n"
        "[ t . u ]\nv = 'it''s'\n".replace("'it''s'", "'its # [x]'")
        + "[[r]]\n[r.s]\nk = {x = 1}\n[[r]]\nk = 2\n"
    )
    tomllib.loads(text)
    found = lines_of(text)
    assert found["a",] == 1
    assert found["c",] == 5
    assert found["d.e", "f g"] == 9
    assert found["t", "u", "v"] == 11
    assert found["r", 0, "s", "k"] == 14
    assert found["r", 1, "k"] == 16
    assert ("no", "table") not in found
    assert ("b",) not in found
    # What is not told apart has the line of the table around it.
    assert line_of(text, ("r", 0, "s", "k", "x")) == 14
    assert line_of(text, ("nowhere",)) is None


def test_a_change_keeps_every_other_line(home):
    with edit_home(home) as edit:
        edit.set("risk", 0.2)
        edit.spot("Rail")["kind"] = "roofed-balcony"
        edit.change(edit.plant("Masdevallia"), medium=None, count=3)
        edit.set("weather", "years", 15)
        edit.add("plant", name="Miltoniopsis", spot="rail", label=None)
        edit.answer("dendrobium", "Dendrobium nobile type")
    now = read_home(home)
    assert now.risk == 0.2
    assert now.weather.years == 15
    assert now.spot[0].kind == "roofed-balcony"
    assert [p.name for p in now.plant][2] == "Miltoniopsis"
    assert now.plant[1].medium == "pine-bark-fine"
    assert now.plant[1].count == 3
    assert now.profile("Dendrobium").name == "Dendrobium nobile type"
    text = home.read_text("utf-8")
    changed = {'kind = "open-rail"', 'medium = "sphagnum"'}
    for line in HOME.splitlines():
        assert line in text or line in changed, line
    assert edit.before == HOME
    undo_change(home, HOME, text)
    assert home.read_text("utf-8") == HOME
    assert undo_path(home).read_text("utf-8") == text
    undo_change(home, text, HOME)
    assert home.read_text("utf-8") == text


def test_rows_in_one_line_are_added_to_and_changed(home):
    text = 'weather.demo = true\nspot = [{name = "a", kind = "open-rail"}] # one\n'
    home.write_text(text + 'plant = [\n  {name = "Masdevallia", spot = "a"}, # x\n]\n')
    with edit_home(home) as edit:
        edit.add("spot", name="b", kind="wall-shelf")
        edit.add("plant", name="Miltoniopsis", spot="b")
        edit.change(edit.spot("a"), kind="roofed-balcony")
        edit.set("weather", "years", 12)
    now = read_home(home)
    assert [s.kind for s in now.spot] == ["roofed-balcony", "wall-shelf"]
    assert [p.spot for p in now.plant] == ["a", "b"]
    assert now.weather.years == 12
    assert "# one" in home.read_text("utf-8")
    with edit_home(home) as edit:
        edit.remove("plant", "Masdevallia")
    assert [p.name for p in read_home(home).plant] == ["Miltoniopsis"]


def test_removing_a_row_takes_that_row_only(home):
    with edit_home(home) as edit:
        edit.remove("plant", "big one")
    assert [p.name for p in read_home(home).plant] == ["Masdevallia"]
    with edit_home(home) as edit:
        edit.remove("plant", "Masdevallia")
    assert read_home(home).plant == ()
    with pytest.raises(InputError, match="no such spot"), edit_home(home) as edit:
        edit.remove("spot", "roof")


@pytest.mark.parametrize(
    "change",
    [
        lambda edit: edit.set("risk", 7),
        lambda edit: edit.spot("rail").update({"kind": "attic"}),
        lambda edit: edit.remove("spot", "rail"),
        lambda edit: edit.add("plant", name="Nosuchia", spot="rail"),
        lambda edit: edit.set("colour", "blue"),
    ],
)
def test_what_would_not_be_valid_is_not_written(home, change):
    with pytest.raises(InputError), edit_home(home) as edit:
        change(edit)
    assert home.read_text("utf-8") == HOME
    assert not undo_path(home).exists()


def test_a_stop_in_between_and_no_change_write_nothing(home):
    with pytest.raises(ZeroDivisionError), edit_home(home) as edit:
        edit.set("risk", 1 / 0)
    with edit_home(home):
        pass
    assert home.read_text("utf-8") == HOME
    assert not undo_path(home).exists()


def test_line_ends_marks_links_and_permissions_stay(home, tmp_path):
    home.write_bytes(b"\xef\xbb\xbf" + HOME.replace("\n", "\r\n").encode())
    home.chmod(0o600)
    link = tmp_path / "link.toml"
    link.symlink_to(home)
    with edit_home(link) as edit:
        edit.set("risk", 0.2)
    assert link.is_symlink()
    assert home.stat().st_mode & 0o777 == 0o600
    data = home.read_bytes()
    assert data.count(b"\n") == data.count(b"\r\n")
    assert read_home(link).risk == 0.2


def _add(path, name):
    for i in range(5):
        with edit_home(Path(path)) as edit:
            edit.add("plant", name="Masdevallia", label=f"{name}{i}", spot="rail")


def test_two_programs_lose_none_of_each_others_changes(home):
    context = multiprocessing.get_context("spawn")
    both = [context.Process(target=_add, args=(str(home), n)) for n in "ab"]
    for one in both:
        one.start()
    for one in both:
        one.join()
    labels = {p.label for p in read_home(home).plant}
    assert labels >= {f"{n}{i}" for n in "ab" for i in range(5)}


names = st.text(
    st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=30
).filter(lambda s: s.strip() == s)


@given(label=names, spot=names, risk=st.floats(0.01, 0.9))
def test_any_words_come_back_as_they_were(tmp_path_factory, label, spot, risk):
    path = tmp_path_factory.mktemp("h") / "home.toml"
    path.write_text(HOME, "utf-8")
    if spot.lower() in ("rail", "study"):
        return
    with edit_home(path) as edit:
        edit.add("spot", name=spot, kind="open-rail")
        edit.add("plant", name="Masdevallia", label=label, spot=spot, risk=risk)
    last = read_home(path).plant[-1]
    assert (last.label, last.spot, last.risk) == (label, spot, risk)
    assert HOME.splitlines()[0] in path.read_text("utf-8")


def test_rooms_places_and_risks_of_a_home(home):
    with edit_home(home) as edit:
        edit.spot("rail")["room"] = "study"
        edit.set("at", "45.2,14.6,18")
        edit.change(edit.plant("big one"), risk=0.5)
    now = read_home(home)
    assert [k.name for k in now.indoors] == ["heated-room"]
    assert now.spot_named("study").kind == "heated-room"
    assert [now.room_of(p) for p in now.plant] == ["study", "study"]
    assert [now.risk_of(p) for p in now.plant] == [0.5, 0.1]
    assert now.place == (45.2, 14.6, 18.0)
    assert now.height_m == 18.0


def test_a_plants_own_risk_moves_its_dates_and_an_option_moves_all(home, capsys):
    def months_with(*more):
        run = ("calendar", "--home", str(home), "--members", "3", "--json", *more)
        assert main(list(run)) == 0
        return json.loads(capsys.readouterr().out)["months"]

    before = months_with()
    with edit_home(home) as edit:
        edit.change(edit.plant("Masdevallia"), risk=0.5)
    after = months_with()
    assert [m["risk"] for m in after] == [0.1, 0.5]
    assert before[0] == after[0]
    assert before[1]["move_in"] != after[1]["move_in"]
    assert [m["risk"] for m in months_with("--risk", "0.2")] == [0.2, 0.2]


def test_every_command_about_a_home_takes_it(home, capsys, tmp_path):
    def run_json(*words):
        status = main([*words, "--home", str(home), "--json"])
        out, err = capsys.readouterr()
        assert status == 0, err
        return json.loads(out)

    listed = run_json("plants")["plants"]
    assert [p["name"] for p in listed] == [p.name for p in read_home(home).plant]
    assert run_json("plants", "big one")["profile"]["name"] == listed[0]["name"]
    with edit_home(home) as edit:
        edit.set("answers", "dendrobium", "Dendrobium nobile type")
    assert "nobile" in run_json("plants", "Dendrobium")["profile"]["name"]
    logger_csv(tmp_path / "log.csv", truth("2021-01-01", 24 * 40), clock="utc")
    with edit_home(home) as edit:
        edit.set("weather", "demo", None)
        edit.set("weather", "file", "log.csv")
        edit.set("weather", "clock", "utc")
        edit.set("at", "45.8,15.9,120")
    place = run_json("logger")["weather"]["place"]
    assert (place["latitude_deg"], place["elevation_m"]) == (45.8, 120)
    assert run_json("logger", str(tmp_path / "log.csv"))["weather"]["place"] == place


def test_stations_are_looked_for_near_the_home(home):
    with edit_home(home) as edit:
        edit.set("at", "45.8,15.9,120")
    near = place_choice(WeatherChoice(), home)
    assert near.at == (45.8, 15.9, 120.0)
    assert place_choice(WeatherChoice(station="1"), home).at is None
    assert place_choice(WeatherChoice(at=(1.0, 2.0)), home).at == (1.0, 2.0)
