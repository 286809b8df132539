"""JSON documents: those of the command line, number by number."""

from __future__ import annotations

import json
import re
from typing import Any, get_args

import jsonschema
import pytest

from climrisk.cli.main import main
from climrisk.web.screens import BY_PATH, SCREENS
from tests.made_files import logger_csv, truth
from tests.page.conftest import TODAY
from tests.quick import but_quick

FEW = {"demo": "true", "years": "6", "members": "3", "as_of": TODAY}
#: Options that a command does not have.
LEFT_OUT = {
    "weather": ("members",),
    "tonight": ("years", "members"),
    "learn": ("years", "members"),
}
COLD = "3.1 at 06:00, 7 h below 8"
SAME: dict[str, Any] = {
    "check": (
        {"plant": "Masdevallia", "spot": "wall-shelf", "pot": "terracotta"},
        ("assess", "Masdevallia", "--spot", "wall-shelf", "--pot", "terracotta"),
    ),
    "year": (
        {"plants": ["Masdevallia", "Phalaenopsis hybrids"], "risk": "0.2"},
        ("calendar", "Masdevallia", "Phalaenopsis hybrids", "--risk", "0.2"),
    ),
    "plants": ({"home": ""}, ("calendar",)),
    "print": ({"risk": "0.25"}, ("calendar", "--risk", "0.25")),
    "tonight": (
        {"plants": "Masdevallia", "words": "4, wind 6 km/h, clear"},
        ("tonight", "Masdevallia", "--words", "4, wind 6 km/h, clear"),
    ),
    "arrival": (
        {"plant": "Masdevallia", "spot": "wall-shelf", "weeks": "5"},
        ("arrive", "Masdevallia", "--spot", "wall-shelf", "--weeks", "5"),
    ),
    "cold": (
        {
            "plants": "Masdevallia",
            "words": "3.1 at 06:00, 7 h below 8",
            "spot": "glasshouse",
        },
        (
            *("event", "Masdevallia", "--words", "3.1 at 06:00, 7 h below 8"),
            *("--at-spot", "glasshouse"),
        ),
    ),
    "spots": (
        {"plant": "Masdevallia", "spot": ["open-rail", "window-sill"]},
        ("spots", "Masdevallia", "--spot", "open-rail", "--spot", "window-sill"),
    ),
    "learn": (
        {"spot": "roofed-walkway", "read": "evening"},
        ("learn", "--spot", "roofed-walkway", "--read", "evening"),
    ),
    "help": (
        {"plant": "Masdevallia", "spot": "wall-shelf"},
        ("remedies", "Masdevallia", "--spot", "wall-shelf"),
    ),
    "review": (
        {"plants": "Masdevallia", "spot": "roofed-balcony"},
        ("review", "Masdevallia", "--spot", "roofed-balcony"),
    ),
    "pots": (
        {"pot": ["glass", "terracotta"], "medium": "sphagnum", "below": "8"},
        (
            *("pots", "--pot", "glass", "--pot", "terracotta"),
            *("--medium", "sphagnum", "--below", "8"),
        ),
    ),
    "winter": (
        {"shown": "2022/23", "spot": "open-rail"},
        ("winter", "--winter", "2022/23", "--spot", "open-rail"),
    ),
    "weather": (
        {"below": ["10", "3"], "above": "30"},
        ("exposure", "--below", "10", "--below", "3", "--above", "30"),
    ),
}


def printed(capsys):
    """Return the document that a command printed, as the page gives it.

    The page names neither files nor arguments: its address is the question.
    """
    document = json.loads(capsys.readouterr().out)
    document["provenance"] |= {"arguments": None, "files": []}
    return document


@pytest.mark.parametrize(
    "path", but_quick(sorted(SAME), *sorted({*SAME} - {"arrival", "help", "pots"}))
)
def test_a_document_is_what_the_command_prints(client, capsys, path):
    query, command = SAME[path]
    left_out = LEFT_OUT.get(path, ())
    parameters = {k: v for k, v in (FEW | query).items() if k not in left_out}
    plain = ["--demo", "--as-of", TODAY, "--json"]
    for name in ("years", "members"):
        plain += [] if name in left_out else [f"--{name}", FEW[name]]
    answer = client.get(f"/{path}.json", params=parameters)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "application/json"
    assert main([*command, *plain]) == 0
    assert answer.json() == printed(capsys)


def test_the_document_of_a_handed_over_file_is_what_the_command_prints(
    client, capsys, tmp_path
):
    path = logger_csv(tmp_path / "balcony.csv", truth("2021-01-01", 24 * 40))
    with path.open("rb") as file:
        sent = client.post(
            "/logs", files={"file": (path.name, file)}, data={"at": "45.2,14.6,18"}
        )
    assert sent.status_code == 303
    to = sent.headers["location"].replace("/logger?", "/logger.json?")
    assumed = client.get(f"{to}&as_of={TODAY}")
    assert assumed.status_code == 200
    assert "standard time" in " ".join(assumed.json()["weather"]["notes"])
    answer = client.get(f"{to}&as_of={TODAY}&clock=utc")
    assert answer.status_code == 200, answer.text
    command = ("logger", str(path), "--at", "45.2,14.6,18", "--as-of", TODAY)
    assert main([*command, "--clock", "utc", "--json"]) == 0
    assert answer.json() == printed(capsys)


@pytest.mark.long
def test_an_open_name_gets_one_question_and_all_answers(client, capsys):
    query = {**FEW, "plant": "Dendrobium"}
    answer = client.get("/check.json", params=query)
    flags = ("--years", "6", "--members", "3", "--as-of", TODAY, "--json")
    assert main(["assess", "Dendrobium", "--demo", *flags]) == 0
    assert answer.json() == printed(capsys)
    page = client.get("/check", params=query, follow_redirects=True)
    while 'class="card progress working"' in page.text:
        page = client.get("/check", params=query)
    assert answer.json()["question"] in page.text.replace("&#39;", "'")


def test_openapi_names_every_document_with_its_schema(client):
    described = client.get("/openapi.json").json()
    assert set(described["paths"]) == {
        "/healthz",
        *(f"/{s.path}.json" for s in SCREENS),
    }
    parts = described["components"]["schemas"]
    for screen in SCREENS:
        place = described["paths"][f"/{screen.path}.json"]["get"]
        named = place["responses"]["200"]["content"]["application/json"]["schema"]
        found = {ref.rpartition("/")[2] for ref in re.findall(r"#[/\w]+", str(named))}
        wanted = get_args(screen.result) or (screen.result,)
        assert found == {one.__name__ for one in wanted}
        assert found <= set(parts)


def test_an_answer_keeps_the_described_schema(client):
    described = client.get("/openapi.json").json()
    query, _ = SAME["winter"]
    document = client.get("/winter.json", params={**FEW, **query}).json()
    schema = {
        "$ref": "#/components/schemas/WinterResult",
        "components": described["components"],
    }
    jsonschema.Draft202012Validator(schema).validate(document)


WRONG = [
    ("check", {"demo": "true"}, "plant"),
    ("check", {"plant": "Masdevallia"}, "no weather"),
    ("check", {"plant": "Masdevallia", "demo": "true", "risk": "7"}, "0.01 to 0.9"),
    ("check", {"plant": "Masdevallia", "demo": "true", "color": "red"}, "color"),
    ("arrival", {"plant": "blu vanda", "demo": "true"}, "Did you mean blue vanda"),
    ("winter", {"demo": "true", "years": "many"}, "years"),
    ("winter", {"demo": "true", "members": "9999"}, "1 to 100"),
    ("logger", {"log": "../../etc/passwd"}, "log"),
    ("logger", {"log": "0" * 16}, "not stored here"),
    ("learn", {"demo": "true", "against": "/etc/passwd"}, "against"),
    ("learn", {"demo": "true", "save": "true"}, "save"),
    ("weather", {"town": "Nowhere-at-all"}, "Nowhere"),
]


@pytest.mark.parametrize(("path", "query", "word"), WRONG, ids=lambda v: str(v)[:30])
def test_a_wrong_question_gets_one_line(client, path, query, word):
    answer = client.get(f"/{path}.json", params=query)
    assert answer.status_code == 422
    said = answer.json()
    assert said["exit_status"] == 2
    assert word in said["error"]
    assert "\n" not in said["error"]


def test_a_home_file_is_one_store_for_page_and_command_line(capsys, tmp_path):
    from starlette.testclient import TestClient

    from climrisk.home import demo_home_text
    from climrisk.web.app import make_app
    from climrisk.web.settings import Settings

    home = tmp_path / "home.toml"
    home.write_text(demo_home_text(), "utf-8")
    settings = Settings(home=home, logs=tmp_path / "logs", workers=1)
    query = {"members": "2", "years": "5", "as_of": TODAY}
    with TestClient(make_app(settings), base_url="http://127.0.0.1") as own:
        before = own.get("/year.json", params=query).json()
        home.write_text(demo_home_text().replace("risk = 0.1", "risk = 0.3"), "utf-8")
        after = own.get("/year.json", params=query).json()
    assert (before["risk"], after["risk"]) == (0.1, 0.3)
    flags = ("--members", "2", "--years", "5", "--as-of", TODAY, "--json")
    assert main(["calendar", "--home", str(home), *flags]) == 0
    assert after == printed(capsys)


def test_every_option_of_a_call_can_be_asked_for():
    # The models are made from the calls: a kind of option that no query can say raises.
    assert {"plant", "spot", "pot_diameter", "risk", "members"} <= set(
        BY_PATH["check"].ask.model_fields
    )
    for screen in SCREENS:
        assert {"demo", "town", "at", "station", "log"} <= set(screen.ask.model_fields)
