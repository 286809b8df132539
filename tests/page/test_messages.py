"""Errors on the page name no option, no command, no path and no address."""

from __future__ import annotations

import ast
import re
import time
from pathlib import Path

import pytest

import climrisk
from climrisk.commands import COMMANDS
from climrisk.web.messages import without_paths

PACKAGE = Path(climrisk.__file__).parent
#: What is written into files says how to go on at a terminal.
FOR_FILES = {"home/template.py", "regions/maps.py"}
#: What the page never shows.
LEAKS = re.compile(
    r"(?<![\w-])--[a-z]|\bclimrisk (?!process)[a-z-]+ |[a-z]+://|(?<![\w./])/[a-z]+(?:/|\.json|\b)"
)


def written_texts():
    """Yield every text in the code that is no docstring, where it stands."""
    for path in sorted(PACKAGE.rglob("*.py")):
        if path.parts[-2] == "cli":
            continue
        tree = ast.parse(path.read_text("utf-8"))
        kinds = ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef
        docs = {
            id(node.body[0].value)
            for node in ast.walk(tree)
            if isinstance(node, kinds)
            and node.body
            and isinstance(node.body[0], ast.Expr)
        }
        # Words of the terminal alone, which the page never has.
        own = {
            id(part)
            for node in ast.walk(tree)
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "by"
            for key in node.keywords
            if key.arg in ("cli", "python")
            for part in ast.walk(key.value)
        }
        for node in ast.walk(tree):
            if not isinstance(node, ast.Constant) or id(node) in docs:
                continue
            if isinstance(node.value, str):
                where = f"{path.relative_to(PACKAGE)}:{node.lineno}"
                yield where, node.value, id(node) in own


def test_inputs_are_referred_to_and_never_written_as_options():
    every = list(written_texts())
    assert len(every) > 5000
    option = re.compile(r"(?<![\w-])--[a-z]")
    found = {at.partition(":")[0] for at, text, _ in every if option.search(text)}
    assert found <= FOR_FILES


def test_commands_are_named_for_the_terminal_alone():
    command = re.compile(rf"\bclimrisk (?:{'|'.join([*COMMANDS, 'init'])})\b")
    found = [(at, own) for at, text, own in written_texts() if command.search(text)]
    assert len(found) > 5
    assert {at.partition(":")[0] for at, own in found if not own} <= FOR_FILES


@pytest.mark.parametrize(
    ("line", "shown"),
    [
        ("no such home file: /srv/data/me/home.toml", "no such home file: home.toml"),
        (
            "cannot be downloaded: https://bulk.example.org/hourly/1.csv.gz timed out",
            "cannot be downloaded: an address timed out",
        ),
        (r"cannot be read: C:\Users\me\log.csv", "cannot be read: log.csv"),
        (
            "not a mix: 50/50 akadama. Allowed: 50 akadama + 50 grit",
            "not a mix: 50/50 akadama. Allowed: 50 akadama + 50 grit",
        ),
    ],
)
def test_the_page_shows_no_paths_and_addresses(line, shown):
    assert without_paths(line) == shown


@pytest.mark.parametrize(
    "query",
    [
        "/tonight?home=demo&words=39,+clear",
        "/tonight?home=demo&words=soup",
        "/tonight?home=demo&words=4&as_of=2500-01-01",
        "/tonight?home=demo&words=4&spot=moon",
        "/check?home=demo&plant=Phalaenopsis&risk=7",
        "/check?home=demo&plant=Phalaenopsis&site=facing%3Dup",
        "/check?home=demo&plant=Phalaenopsis&pot_diameter=900",
        "/pots?home=demo&pot=bucket",
        "/winter?home=demo&winter=1801/02",
        "/year?home=demo&years=900",
        "/year?town=Nowhere+at+all",
        "/cold?home=demo&words=39&spot=balcony",
        "/learn?demo=true&spot=sill&site=x",
        "/review?home=demo&below=900",
        "/year?home=demo&nonsense=1",
        "/logger?log=0123456789abcdef",
    ],
)
def test_wrong_requests_are_answered_in_the_words_of_the_page(client, query):
    answer = client.get(query, follow_redirects=True)
    while 'class="card progress working"' in answer.text:
        time.sleep(0.2)
        answer = client.get(query, follow_redirects=True)
    fault = re.search(r'class="fault"[^>]*>([^<]+)<', answer.text)
    assert fault, answer.text[:500]
    assert not LEAKS.search(fault[1]), fault[1]
