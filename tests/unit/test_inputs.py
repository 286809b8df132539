"""Inputs are declared once: all interfaces take names, types and defaults there."""

from __future__ import annotations

from dataclasses import fields
from importlib import import_module
from typing import get_args

import pytest

from climrisk.commands import COMMANDS
from climrisk.home.model import Home, HomePlant
from climrisk.inputs import values
from climrisk.inputs.option import Inputs
from climrisk.pot.model import REFERENCE_CM, REFERENCE_KIND, REFERENCE_MEDIUM
from climrisk.web.screens import SCREENS


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
    usual = (f"{REFERENCE_CM:g}", REFERENCE_KIND, REFERENCE_MEDIUM)
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
            "measured_at",
        }, screen.path
        for declared in kind.declared():
            if declared.option.writes:
                assert declared.name not in screen.ask.model_fields, screen.path
