"""Forms are made from the declared inputs, in their reader's units."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import climrisk
from climrisk.core.typed_text import Viewer
from climrisk.web.asks import WeatherAsk
from climrisk.web.form_fields import fields_of
from climrisk.web.screens import BY_PATH

TEMPLATES = Path(climrisk.__file__).parent / "web" / "templates"
US = {"accept-language": "en-US"}


def fields(html):
    """Return the attributes of each field, by its name."""
    out: dict[str, dict[str, str]] = {}
    for tag in re.findall(r"<(?:input|select)[^>]* name=[^>]*>", html):
        held = dict(re.findall(r'([a-z-]+)="([^"]*)"', tag))
        out.setdefault(held["name"], held)
    return out


@pytest.mark.parametrize("path", sorted(BY_PATH))
def test_a_form_asks_only_for_declared_inputs(client, path):
    screen = BY_PATH[path]
    answer = client.get(f"/{path}?held=1&home=demo")
    known = {d.name.rstrip("_") for d in screen.declared} | set(WeatherAsk.model_fields)
    form = answer.text.partition('<form class="ask"')[2].partition("</form>")[0]
    assert set(fields(form)) <= known
    for name in re.findall(r'<label for="f-([a-z_]+)"', form):
        if name not in ("facing", "floor", "file", "mix"):
            assert screen.ask.model_fields.keys() & {
                name,
                {"from": "first"}.get(name),
                {"to": "last"}.get(name),
            }, name


def test_forms_write_no_label_of_an_input_themselves():
    for template in sorted(TEMPLATES.glob("form_*.html")):
        text = template.read_text("utf-8")
        if template.name != "form_parts.html":
            assert "<label for=" not in text.replace('<label for="f-file">', "") or (
                # All spots of one's own, a choice that only the year has.
                template.name == "form_year.html"
            ), template.name
            assert not re.search(r'\b(min|max|step)="', text), template.name


def test_bounds_unit_and_default_are_those_declared(client):
    metric = fields(client.get("/check?held=1&home=demo").text)["pot_diameter"]
    given = {k: metric[k] for k in ("min", "max", "step", "placeholder")}
    assert given == {"min": "4", "max": "50", "step": "0.5", "placeholder": "12"}
    answer = client.get("/check?held=1&home=demo", headers=US).text
    us = fields(answer)["pot_diameter"]
    # An inch is 2.54 cm.
    assert float(us["min"]) * 2.54 == pytest.approx(4, abs=0.002)
    assert float(us["max"]) * 2.54 == pytest.approx(50, abs=0.002)
    assert us["placeholder"] == "4.7"
    assert "Inner diameter, in<" in answer
    assert fields(answer)["units"]["value"] == "us"


def test_a_number_keeps_its_meaning_in_the_other_units(client):
    typed = "/check?held=1&home=demo&pot_diameter=5&units=us"
    assert fields(client.get(typed).text)["pot_diameter"]["value"] == "12.7"
    again = fields(client.get(typed, headers=US).text)["pot_diameter"]
    assert again["value"] == "5"
    ask = BY_PATH["check"].ask.model_validate(
        {"plant": "x", "pot_diameter": 5, "elevation": 100, "risk": 0.2, "units": "us"}
    )
    given = ask.options()
    assert given["pot_diameter"] == pytest.approx(12.7)
    assert given["elevation"] == pytest.approx(30.48)
    assert given["risk"] == 0.2


def test_an_error_has_the_label_of_its_form():
    from climrisk.core.errors import InputError
    from climrisk.core.references import field
    from climrisk.core.typed_text import reading
    from climrisk.web.form_fields import page_of

    error = InputError("wrong", where=field("spot"))
    said = {}
    for path in ("arrival", "help", "cold"):
        with reading(Viewer(interface=page_of(BY_PATH[path]))):
            said[path] = error.line()
    assert said == {
        "arrival": "wrong (where it would stand)",
        "help": "wrong (where it stands)",
        "cold": "wrong (where it was cold)",
    }


def test_no_screen_no_fields():
    assert fields_of(None, {}, Viewer(), None) == {}
