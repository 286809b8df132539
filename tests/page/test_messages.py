"""Errors on the page name no option, no command, no path and no address."""

from __future__ import annotations

import ast
import re
import time
from pathlib import Path

import pytest

import climrisk
from climrisk.core.errors import InputError
from climrisk.web.messages import page_message

PACKAGE = Path(climrisk.__file__).parent
#: What the page never shows.
LEAKS = re.compile(
    r"(?<![\w-])--[a-z]|\bclimrisk (?!process)[a-z-]+ |[a-z]+://|(?<![\w./])/[a-z]+(?:/|\.json|\b)"
)
ERRORS = {
    "InputError",
    "WeatherUnavailableError",
    "StoppedError",
    "BusyError",
    "_wrong",
    "_error",
}


def texts():
    """Yield every literal part of an error that is raised where the page works."""
    for path in sorted(PACKAGE.rglob("*.py")):
        if path.parts[-2] in ("cli", "regions"):
            continue
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            name = getattr(node.func, "id", getattr(node.func, "attr", ""))
            if name not in ERRORS:
                continue
            parts = {"what": node.args[0]} if node.args else {}
            parts |= {k.arg: k.value for k in node.keywords if k.arg}
            words = {k: _literal(v) for k, v in parts.items()}
            said = {k: words.get(k, "") for k in ("where", "allowed", "next_step")}
            line = InputError(words.get("what", ""), **said).line()
            yield f"{path.relative_to(PACKAGE)}:{node.lineno}", line


def _literal(node):
    """Return the words of a text in the code; what is put in is a word."""
    if isinstance(node, ast.Constant):
        return str(node.value)
    if isinstance(node, ast.JoinedStr):
        return "".join(
            v.value
            if isinstance(v, ast.Constant) and isinstance(v.value, str)
            else "thing"
            for v in node.values
        )
    if isinstance(node, ast.BinOp):
        return _literal(node.left) + _literal(node.right)
    return "thing"


def test_no_error_of_ours_leaks():
    every = list(texts())
    assert len(every) > 150
    assert sum("--" in line for _, line in every) > 60
    left = [(at, page_message(line), line) for at, line in every]
    assert [(at, shown) for at, shown, _ in left if LEAKS.search(shown)] == []
    # What is wrong is still said.
    assert [at for at, shown, line in left if len(shown) < min(8, len(line))] == []


@pytest.mark.parametrize(
    ("line", "shown"),
    [
        (
            "Celsius or Fahrenheit? (--words): 39. Allowed: 39C or 39F, or "
            "--temperature-unit. Write such as --words '4, wind 6 km/h, clear'",
            "Celsius or Fahrenheit? (words): 39. Allowed: 39C or 39F. Write such "
            "as '4, wind 6 km/h, clear'",
        ),
        (
            "no such home file (--home): /srv/data/me/home.toml. climrisk init "
            "writes one",
            "no such home file (your home): home.toml",
        ),
        (
            "cannot be downloaded: https://bulk.example.org/hourly/1.csv.gz timed out. "
            "Try again later, or use --file or --demo meanwhile",
            "cannot be downloaded: an address timed out. Try again later, or use "
            "a logger's file or the sample home meanwhile",
        ),
        (r"cannot be read: C:\Users\me\log.csv", "cannot be read: log.csv"),
        (
            "not a mix: 50/50 akadama. Allowed: 50 akadama + 50 grit",
            "not a mix: 50/50 akadama. Allowed: 50 akadama + 50 grit",
        ),
    ],
)
def test_what_is_left_reads_well(line, shown):
    assert page_message(line) == shown


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
