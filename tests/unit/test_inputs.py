"""Inputs are declared once: all interfaces take names, types and defaults there."""

from __future__ import annotations

import tomllib
from dataclasses import fields
from importlib import import_module
from typing import get_args

import jsonschema
import pytest

from climrisk.cli.main import main
from climrisk.cli.schema import schemas
from climrisk.commands import COMMANDS
from climrisk.core.defaults import DEFAULT_DIAMETER_CM, DEFAULT_MEDIUM, DEFAULT_POT
from climrisk.core.errors import InputError
from climrisk.core.quantities import of_unit
from climrisk.home import demo_home_text
from climrisk.home.model import Home, HomePlant
from climrisk.inputs import pot, values
from climrisk.inputs.json_schema import schema_of
from climrisk.inputs.option import Inputs
from climrisk.pot.grid_shape import SETUPS
from climrisk.pot.media import WETNESSES
from climrisk.pot.model import STANDS, FilledPot, colors
from climrisk.web.screens import SCREENS
from examples.made_region import dataset


def inputs_of(name: str) -> type[Inputs]:
    kind: type[Inputs] = import_module(
        f"climrisk.commands.{name}.command"
    ).COMMAND.inputs
    return kind


EVERY = {name: list(inputs_of(name).declared()) for name in COMMANDS}


@pytest.mark.parametrize("name", COMMANDS)
def test_every_field_is_declared_with_help(name):
    assert {d.name for d in EVERY[name]} == {f.name for f in fields(inputs_of(name))}
    for declared in EVERY[name]:
        assert declared.option.help.endswith((".", "...")), declared.name
        kinds = get_args(declared.type)
        assert declared.default is not None or type(None) in kinds, declared.name


@pytest.mark.parametrize("name", COMMANDS)
def test_an_input_is_the_same_in_every_command(name):
    for declared in EVERY[name]:
        for other in EVERY.values():
            for there in other:
                if there.name == declared.name and there.several == declared.several:
                    assert there.option.unit == declared.option.unit, declared.name
                    assert there.option.name == declared.option.name or (
                        # The spot of an event is where it was cold.
                        {there.option.name, declared.option.name} == {None, "at-spot"}
                    )


def test_the_home_file_takes_what_commands_take():
    keys = {d.option.home: d for ds in EVERY.values() for d in ds if d.option.home}
    of_plant = HomePlant.model_fields
    assert set(keys) <= set(of_plant)
    # All else in a plant's entry says which plant it is, and where.
    rest = {"name", "spot", "label", "room", "count", "moves"}
    assert set(of_plant) - set(keys) == rest
    for key, declared in keys.items():
        usual = (
            Home.model_fields[key].default if key == "risk" else of_plant[key].default
        )
        said = declared.option.default
        if usual is None or key == "stands_on":
            assert said is None or not said.replace(".", "").isdigit(), key
        else:
            assert (
                said == f"{usual:g}" if isinstance(usual, float) else said == usual
            ), key


def test_the_reference_pot_is_the_default():
    said = {d.name: d.option.default for d in EVERY["assess"]}
    usual = (f"{DEFAULT_DIAMETER_CM:g}", DEFAULT_POT, DEFAULT_MEDIUM)
    assert (said["pot_diameter"], said["pot"], said["medium"]) == usual


def test_python_objects_take_what_commands_take():
    known = {d.name for d in EVERY["assess"]}
    made = (
        values.Plant("Masdevallia"),
        values.Spot("open-rail"),
        values.Pot(),
        values.Risk(),
    )
    for value in made:
        assert set(value.inputs()) <= known
    assert (
        values.Pot().inputs()["pot_diameter"]
        == HomePlant.model_fields["pot_diameter_cm"].default
    )


def test_the_page_takes_what_commands_take():
    for screen in SCREENS:
        kind = inputs_of(screen.call)
        offered = {d.name for d in kind.declared() if d.option.page}
        parameters = set(screen.ask.model_fields) - {
            "first",
            "last",
            "log",
            "from_",
            "to",
        }
        assert parameters - {"home"} <= offered | {
            *("demo", "town", "at", "station", "combine", "fill", "years", "zone"),
            *("as_of", "temperature_unit", "date_order", "clock", "column"),
            *("measured_at", "units"),
        }, screen.path
        for declared in kind.declared():
            if declared.option.writes:
                assert declared.name not in screen.ask.model_fields, screen.path


BOUNDED = {
    (command, d.name): d
    for command in COMMANDS
    for d in EVERY[command]
    if d.option.bounds is not None
}


@pytest.fixture(scope="module")
def grid(tmp_path_factory):
    path = tmp_path_factory.mktemp("grid") / "made.nc"
    dataset(1, 1, 400 * 24).to_netcdf(path, engine="h5netcdf")
    return str(path)


@pytest.mark.parametrize(("command", "name"), BOUNDED)
def test_a_number_is_refused_just_beyond_its_declared_bounds(
    command, name, grid, capsys
):
    declared = BOUNDED[command, name]
    bounds = declared.option.bounds
    assert bounds is not None
    low, high = bounds
    weather = () if name == "combine" or command == "region" else ("--demo",)
    first: dict[str, tuple[str, ...]] = {"region": (grid, "--plant", "Masdevallia")}
    for plant in ("assess", "arrive", "remedies", "spots"):
        first[plant] = ("Masdevallia",)
    needs = {"spring_risk": ("--risk", "0.1"), "combine": ("--town", "Zadar")}
    for value in (low - (1 if low >= 1 else 0.005), high + (1 if high >= 1 else 0.005)):
        text = f"{value:g}" if declared.item is not int else f"{value:.0f}"
        words = (*first.get(command, ()), *weather, *needs.get(name, ()))
        status = main([command, *words, f"--{declared.long_name}={text}"])
        said = capsys.readouterr().err
        assert status == 2, text
        assert f"(--{declared.long_name})" in said
        unit = {"watered_every": "days"}.get(name, declared.option.unit or "")
        unit = "cm²" if unit == "cm2" else unit
        allowed = " to ".join(of_unit(b, "") for b in (low, high))
        assert f"Allowed: {allowed}{' ' * bool(unit)}{unit}." in f"{said.strip()}."


def test_the_home_file_has_the_bounds_of_commands():
    held = Home.model_json_schema()["$defs"]["HomePlant"]["properties"]
    for key in ("plant_height_cm", "leaf_area_cm2", "risk"):
        number = next(p for p in held[key]["anyOf"] if p["type"] == "number")
        (option,) = {
            tuple(d.option.bounds)
            for ds in EVERY.values()
            for d in ds
            if d.option.home == key
        }
        assert (number["minimum"], number["maximum"]) == option


def test_words_are_those_of_the_models():
    assert set(pot.WETNESSES) == set(WETNESSES)
    assert set(pot.STANDS) == set(STANDS)
    assert set(pot.COLORS) == set(colors())
    assert pot.SETUPS == SETUPS


def test_schemas_of_inputs_and_home_take_what_is_right():
    every = schemas()
    checker = jsonschema.Draft202012Validator
    assert set(every["inputs"]) == set(COMMANDS)
    for command, rules in every["inputs"].items():
        checker.check_schema(rules)
        assert rules == schema_of(inputs_of(command))
    assess = checker(every["inputs"]["assess"])
    assess.validate({"plant": "Masdevallia", "pot-diameter": 12, "wetness": "dry"})
    for wrong in ({"pot-diameter": 51}, {"wetness": "moist"}, {"pot_diameter": 12}):
        assert not assess.is_valid({"plant": "Masdevallia", **wrong})
    assert not assess.is_valid({})
    home = checker(every["home file"])
    given = tomllib.loads(demo_home_text())
    home.validate(given)
    assert not home.is_valid({**given, "version": 99})
    assert not home.is_valid({**given, "plant": [{"name": "x", "spot": "y", "pt": 1}]})
    key = every["home file"]["$defs"]["HomePlant"]["properties"]["pot_diameter_cm"]
    assert (key["minimum"], key["maximum"], key["unit"]) == (4, 50, "cm")
    for size in (key["minimum"], key["maximum"]):
        assert FilledPot.named("terracotta", size, "grit").diameter_cm == size
    with pytest.raises(InputError):
        FilledPot.named("terracotta", key["maximum"] + 0.1, "grit")
