"""Errors refer to inputs; every interface calls these as it does elsewhere."""

from __future__ import annotations

import pickle
from dataclasses import replace

import pytest

from climrisk import Plant, Pot, Weather, assess, winter
from climrisk.cli.main import main
from climrisk.commands.shared.weather_info import weather_info
from climrisk.core.errors import InputError
from climrisk.core.quantities import difference, temperature
from climrisk.core.references import CLI, PYTHON, Interface, by, field, fields_in
from climrisk.core.typed_text import Text, Viewer, reading
from climrisk.home.read import parse_home

PAGE = Interface("page", {"pot_diameter": "inner diameter"})
WRONG = InputError(
    f"colder than {temperature(10)}",
    where=field("pot_diameter"),
    value=3,
    next_step="see " + by(cli="climrisk help pots", page="Pots", python="help(Pot)"),
)


@pytest.mark.parametrize(
    ("viewer", "line"),
    [
        (
            Viewer(interface=CLI),
            "colder than 10 °C (--pot-diameter): 3. See climrisk help pots",
        ),
        (
            Viewer("us", interface=CLI),
            "colder than 50 °F (--pot-diameter): 3. See climrisk help pots",
        ),
        (
            Viewer(interface=PAGE),
            "colder than 10 °C (inner diameter): 3. See Pots",
        ),
        (
            Viewer(interface=PYTHON),
            "colder than 10 °C (Pot.diameter_cm): 3. See help(Pot)",
        ),
    ],
)
def test_an_error_names_its_input_as_its_reader_does(viewer, line):
    with reading(viewer):
        assert WRONG.line() == str(WRONG) == line


def test_an_error_carries_its_input_to_another_process():
    again = pickle.loads(pickle.dumps(WRONG))
    assert (again.field, again.exit_status) == ("pot_diameter", 2)
    assert str(again) == str(WRONG)
    assert InputError("wrong", where="log.csv, line 3").field is None


def test_references_show_examples_where_they_can_be_typed():
    text = f"give {field('at', 'LAT,LON')} or {field('words', chr(39) + '4' + chr(39))}"
    assert fields_in(text) == ("at", "words")
    assert CLI.written(text) == "give --at LAT,LON or --words '4'"
    assert PAGE.written(text) == "give at or '4'"
    assert PYTHON.written(text) == "give at='LAT,LON' or words='4'"


def test_a_text_of_a_result_has_no_marks():
    text = Text(f"{field('clock', 'utc')} says it, at {temperature(3)}")
    assert text == "--clock utc says it, at 3 °C"
    assert "\ue000" in text.typed


@pytest.mark.parametrize(
    ("part", "name", "shown"),
    [
        (Pot("bucket"), "pot", "(pot)"),
        (Pot(diameter_cm=900), "pot_diameter", "(Pot.diameter_cm)"),
        (Plant("Masdevallia", state="asleep"), "state", "(Plant.state)"),
    ],
)
def test_python_names_the_argument(part, name, shown):
    given = {"pot": part} if isinstance(part, Pot) else {"plant": part}
    with pytest.raises(InputError) as caught:
        assess(Weather.demo(years=2), **{"plant": "Masdevallia", **given}, members=1)
    assert caught.value.field == name
    assert shown in str(caught.value)


def test_a_command_calls_its_options_by_their_own_names(capsys):
    assert main(["event", "--demo", "--at-spot", "moon"]) == 2
    assert "(--at-spot): moon" in capsys.readouterr().err
    assert main(["assess", "Masdevallia", "--demo", "--spot", "moon"]) == 2
    assert "(--spot): moon" in capsys.readouterr().err


def test_a_home_file_names_key_and_line():
    text = """[weather]
demo = true
[[spot]]
name = "balcony"
kind = "roofed-balcony"
[[plant]]
name = "Masdevallia"
spot = "balcony"
pot_diameter_cm = 900
"""
    with pytest.raises(InputError) as caught:
        parse_home(text, where="home.toml")
    line = str(caught.value)
    assert "plant 1.pot_diameter_cm" in line
    assert "home.toml, line 9" in line


def test_notes_of_a_record_show_no_marks_and_keep_their_units():
    hours = Weather.demo(years=2)
    note = f"up to {difference(5)} off; {field('clock')} changes it"
    made = replace(hours, notes=(*hours.notes, note))
    assert made.notes[-1] == "up to 5 °C off; --clock changes it"
    shown = weather_info(made).notes[-1]
    assert isinstance(shown, Text)
    assert Viewer("us", interface=CLI).text(shown.typed) == (
        "up to 9 °F off; --clock changes it"
    )


def test_a_figure_shows_no_marks():
    figure = winter(Weather.demo(years=2), members=1).figure()
    assert "\ue000" not in str(figure.to_plotly_json())
    assert "°C" in str(figure.layout)
