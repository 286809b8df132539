"""Short answers fit a terminal and say what matters; the rest is under --details."""

from __future__ import annotations

import ast
import io
import json
import re
import shlex
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import climrisk
from climrisk.advice.cautions import short_caution
from climrisk.cli.main import main
from climrisk.home.read import demo_home_text
from climrisk.plants import registry
from climrisk.render.answer import (
    Answer,
    Rows,
    Words,
    in_full,
    month_spans,
    wrapped,
)
from climrisk.render.tables import table
from tests.made_files import logger_csv, truth
from tests.quick import but_quick
from tests.unit.test_options import commands, made_grid

FEW = ("--years", "8", "--members", "3")
FEWER = ("--years", "3", "--members", "2")
VERDICT = "SUITS|SUITS WITH MOVES|INDOORS IN WINTER|SUMMERS OUTDOORS|POOR MATCH|CANNOT"
DAY = r"\d{1,2} (January|February|March|April|May|June|July|August|September|October"
DAY += r"|November|December)"
TODAY = ("--as-of", "2026-11-26")
#: What each command begins with: its verdict or the next action.
RUNS = {
    "assess": (("Phalaenopsis hybrids", "--demo", *FEW), VERDICT),
    "assess-poor": (("Masdevallia", "--demo", *FEW), "POOR MATCH"),
    "assess-home": (
        ("lemon tree", "--home", "HOME", "--spot", "shelf", *FEW),
        VERDICT,
    ),
    "assess-several": (("Dendrobium", "--demo", *FEWER), "covers several plants"),
    "assess-unknown": (("Blue Fountain", "--demo", *FEWER), "No plant called"),
    "calendar": (("--home", "HOME", *TODAY), r"^Today, 26 November: .* inside"),
    "calendar-many": (("--home", "MANY", *TODAY), r"^Today, 26 November: .* inside"),
    "tonight": (("--home", "HOME", *TODAY), r"^CARRY IN \d+ · "),
    "tonight-many": (("--home", "MANY", "--words", "-6, calm, clear"), r"^CARRY IN"),
    "tonight-wind": (("--demo", "--words", "6, wind 60 km/h, cloudy"), r"^CARRY IN"),
    "winter": (("--home", "HOME"), r"^Winter 2024/25 .*(mild|cold|average)"),
    "spots": (("Phal", "--home", "HOME", *FEW), "^For Phalaenopsis the .* is best"),
    "pots": (("Phal", "--demo", "--years", "3", "--members", "2"), "by night|Warmest"),
    "arrive": (("Masdevallia", "--demo", *TODAY, *FEW), f"^Keep .* until {DAY}"),
    "arrive-now": (
        ("Phal", "--demo", "--as-of", "2026-06-01", *FEW),
        "^Put the .* now",
    ),
    "remedies": (
        ("Masdevallia", "--demo", "--years", "3", "--members", "2"),
        r"cold roots for about \d+ days a year",
    ),
    "event": (("--demo", "--members", "3"), "frost, down to -"),
    "event-words": (
        ("--demo", "--words", "3.1 at 06:00, 7 h below 8", "--at-spot", "balcony"),
        r"down to 3\.1 °C on the balcony",
    ),
    "review": (("--demo", "--members", "3"), r"^Winter 2024/25"),
    "learn": (("--demo",), r"°C warmer than the station"),
    "logger": (("LOG", "--at", "45.8,15.9"), "is usable"),
    "exposure": (("--demo", "--below", "5", "--wind-above", "8"), "^Lowest -"),
    "plants": ((), r"^\d+ plants are known"),
    "plants-one": (("Phal",), "^Phalaenopsis hybrids: a warm grower"),
    "stations": (("--archive",), "stored on this machine"),
    "demo": (("--out", "DEMO", *TODAY), "^Today, 26 November"),
    "region": (("GRID", "--plant", "Masdevallia", "--at", "36.05,-8"), "cell"),
}
#: Answers without more to say: name, words, and what each begins with.
WHOLE = {
    "init": (
        ("NEW", "--demo", "--spot", "shelf=wall-shelf", "--plant", "Phal@shelf"),
        "is written: 1 spot, no room and 1 plant",
    ),
    "init-many": (("NEW", "--demo", "--plants", "LIST"), "and 80 plants"),
    "carried": (
        ("in", "Phal", "--home", "HOME", "--to", "sill"),
        r"^3 Phalaenopsis: carried in to",
    ),
    "carried-many": (
        ("in", "--all", "--home", "MANY", "--to", "sill"),
        "plants: carried in to sill",
    ),
}

#: Runs of several seconds that print what others print.
MANY_AT_ONCE = {"demo", "calendar-many", "assess-home"}
EVERY = but_quick(RUNS, *sorted(set(RUNS) - MANY_AT_ONCE))
#: One of each way in which answers are put together.
FORMS = {
    *("assess", "event-words", "exposure", "learn", "logger", "plants-one", "tonight"),
    "winter",
}
CAREFUL = ("assess", "calendar", "tonight", "event")


def eighty_pots():
    """Eighty pots of twelve kinds over four spots, half of them with labels."""
    names = [e.name for e in registry.index()][::14][:12]
    spots = ("balcony", "shelf", "walkway", "sill")
    head = demo_home_text().split("[[plant]]")[0]
    rows = []
    for i in range(80):
        label = f'label = "Number {i}, from a swap"\n' if i % 2 else ""
        spot = spots[i % 4]
        rows.append(f'[[plant]]\nname = "{names[i % 12]}"\nspot = "{spot}"\n{label}')
    return head + "\n".join(rows)


#: What the commands printed, each run once.
_PRINTED: dict[tuple[str, ...], str] = {}


@pytest.fixture(scope="module")
def data(tmp_path_factory):
    """Return a data folder, in which what takes long is computed once."""
    return tmp_path_factory.mktemp("data")


@pytest.fixture
def answer(capsys, tmp_path, data, monkeypatch):
    monkeypatch.setenv("CLIMRISK_DATA", str(data))

    def run(name, *more):
        if (name, *more) not in _PRINTED:
            _PRINTED[name, *more] = printed(name, *more)
        return _PRINTED[name, *more]

    def printed(name, *more):
        words, _ = RUNS[name]
        made = {
            "HOME": lambda: _file(tmp_path / "home.toml", demo_home_text()),
            "MANY": lambda: _file(tmp_path / "many.toml", eighty_pots()),
            "LOG": lambda: str(
                logger_csv(tmp_path / "log.csv", truth("2024-10-01", 24 * 190))
            ),
            "DEMO": lambda: str(tmp_path / "demo"),
            "GRID": made_grid,
        }
        command = name.split("-")[0]
        arguments = [made[w]() if w in made else w for w in words]
        status = main([command, *arguments, *more])
        out, err = capsys.readouterr()
        assert status == 0, err
        return out

    return run


@pytest.mark.parametrize("name", WHOLE)
def test_an_answer_without_details_fits(capsys, tmp_path, name):
    words, begins = WHOLE[name]
    rows = [f"Phal,{('balcony', 'shelf', 'sill')[i % 3]},1,no {i}" for i in range(80)]
    kinds = ("--spot", "balcony=roofed-balcony", "--spot", "shelf=wall-shelf")
    made = {
        "NEW": str(tmp_path / "new.toml"),
        "HOME": _file(tmp_path / "home.toml", demo_home_text()),
        "MANY": _file(tmp_path / "many.toml", eighty_pots()),
        "LIST": _file(
            tmp_path / "list.csv", "\n".join(["name,spot,count,label", *rows])
        ),
    }
    more = (*kinds, "--room", "sill=window-sill") if name == "init-many" else ()
    status = main([name.split("-")[0], *(made.get(w, w) for w in words), *more])
    out, err = capsys.readouterr()
    assert status == 0, err
    lines = out.rstrip("\n").split("\n")
    assert len(lines) <= 16, out
    assert max(len(x) for x in lines if " " in x and str(tmp_path) not in x) <= 80
    assert re.search(begins, " ".join(out.split())), out
    assert "--details" not in out or name.endswith("many")
    assert not BANNED.search(out)


def _file(path, text):
    path.write_text(text, "utf-8")
    return str(path)


@pytest.mark.parametrize("name", EVERY)
def test_the_answer_fits_and_begins_with_what_to_do(answer, name):
    out = answer(name)
    lines = out.rstrip("\n").split("\n")
    assert len(lines) <= 16, out
    # A path of its own line cannot be wrapped.
    assert max(len(line) for line in lines if " " in line) <= 80, out
    first = " ".join(out.split("\n\n")[0].split())
    assert re.search(RUNS[name][1], first), first
    assert "More: --details" in out
    assert not BANNED.search(out), BANNED.search(out)


@pytest.mark.parametrize(
    "name", but_quick(["assess", "calendar", "tonight", "pots", "event"], *CAREFUL)
)
def test_cautions_are_one_line_and_in_full_with_details(answer, name):
    document = json.loads(answer(name, "--json"))
    short, full = answer(name), " ".join(answer(name, "--details").split())
    topics = [short_caution(c["topic"], c["text"])[1] for c in document["cautions"]]
    lines = [line for line in short.split("\n") if line.startswith("Careful: ")]
    assert len(lines) == bool(any(topics))
    if lines:
        gravest = min(
            short_caution(c["topic"], c["text"]) for c in document["cautions"]
        )
        assert gravest[1] in lines[0]
    assert "Follow frost warnings" in short
    for caution in document["cautions"]:
        assert caution["text"] in full


@pytest.mark.parametrize("name", but_quick(RUNS, *FORMS))
def test_the_whole_text_has_no_long_lines_and_no_broken_words(answer, name):
    out = answer(name, "--details")
    for line in out.split("\n"):
        if not line.startswith(("Written: ", "Report: ")) and " " in line.strip():
            assert len(line) <= 80, line


# --- units ---------------------------------------------------------------------------


def test_numbers_are_typed_and_shown_in_the_chosen_units(answer, capsys):
    base = ["exposure", "--demo", "--years", "3"]
    assert main([*base, "--below", "60", "--units", "us"]) == 0
    out = capsys.readouterr().out
    assert "below 60 °F" in out
    assert "°C" not in out
    assert main([*base, "--below", "60", "--units", "us", "--json"]) == 0
    us = json.loads(capsys.readouterr().out)["below"][0]
    assert us["threshold_c"] == pytest.approx((60 - 32) / 1.8, abs=1e-3)
    assert main([*base, "--below", str(us["threshold_c"]), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["below"][0]["hours"] == us["hours"]


def test_a_typed_forecast_is_read_in_the_chosen_units_and_repeated(capsys):
    words = ["tonight", "--demo", "--words", "20, wind 6 mph, clear", "--units", "us"]
    assert main(words) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "As typed: lowest 20 °F, clear and calm, wind 6 mph." in out
    assert main([*words, "--json"]) == 0
    night = json.loads(capsys.readouterr().out)["night"]
    assert night["lowest_c"] == round((20 - 32) / 1.8, 1)
    assert night["wind_m_s"] == pytest.approx(6 * 0.44704, abs=0.1)


def test_a_home_file_can_choose_the_units(capsys, tmp_path):
    text = demo_home_text().replace("risk = 0.1", 'risk = 0.1\nunits = "us"')
    path = _file(tmp_path / "home.toml", text)
    words = ["assess", "Phal", "--home", path, *FEW, "--pot-diameter", "5"]
    assert main([*words, "--preferred", "60", "--limit-source", "memory"]) == 0
    out = capsys.readouterr().out
    assert "Your limits: preferred 60 °F" in out
    assert "°C" not in out
    assert main([*words, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["pot"]["diameter_cm"] == 12.7
    assert main([*words, "--units", "metric", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["pot"]["diameter_cm"] == 5


#: A number with a metric unit, or such a unit alone as in a heading.
METRIC = re.compile(
    r"°C|\d K\b|, K\b|\bkm/h|\bm/s\b|\d kg\b|, kg\b|\d cm²?|\d km\b|\d m\b"
)
#: What repeats a file, or what was typed.
AS_GIVEN = re.compile(r"Read in °C|^Temperature \(°C\)|read as lowest|^# Write the ")
#: Commands that show no measured quantity, or a file as it is.
UNTYPED = {"plants", "demo", "calendar-many", "tonight-many"}


@pytest.mark.parametrize(
    "name",
    but_quick(
        [n for n in RUNS if n not in UNTYPED],
        *sorted(FORMS - UNTYPED),
    ),
)
def test_the_whole_text_in_us_units_has_no_metric_ones(answer, name):
    for more in ((), ("--details",)):
        out = answer(name, *more, "--units", "us")
        lines = [x for x in out.split("\n") if not AS_GIVEN.search(x)]
        left = [line for line in lines if METRIC.search(line)]
        assert left == []


@pytest.mark.parametrize("name", but_quick(RUNS, *FORMS))
def test_no_text_shows_what_quantities_are_kept_as(answer, name):
    for more in ((), ("--details",), ("--json",)):
        assert not re.search("[\ue000-\uf8ff]", answer(name, *more))


def test_errors_are_in_the_chosen_units(capsys):
    words = ["exposure", "--demo", "--below", "300"]
    assert main([*words, "--units", "us"]) == 2
    assert "300 °F. Allowed: -76 to 140 °F" in capsys.readouterr().err
    assert main(words) == 2
    assert "300 °C. Allowed: -60 to 60 °C" in capsys.readouterr().err


class Terminal(io.StringIO):
    """A standard error that somebody reads."""

    def isatty(self):
        return True


def test_an_error_is_wrapped_for_a_reader_and_one_line_for_a_program(
    capsys, monkeypatch
):
    assert main(["spots", "Cattleya", "--demo"]) == 2
    line = capsys.readouterr().err
    assert line.count("\n") == 1
    assert 80 < len(line) <= 500
    screen = Terminal()
    monkeypatch.setattr("sys.stderr", screen)
    assert main(["spots", "Cattleya", "--demo"]) == 2
    shown = screen.getvalue()
    assert max(map(len, shown.splitlines())) <= 80
    assert shown.split() == line.split()


@pytest.mark.parametrize(
    "command",
    ["assess", "arrive", "winter", "calendar", "pots", "spots", "remedies", "plants"],
)
def test_a_genus_is_asked_back_with_names_that_are_accepted(capsys, command):
    flag = ["--plant"] if command in ("winter", "pots") and _flagged(command) else []
    few = [] if command == "plants" else ["--demo", "--years", "3"]
    status = main([command, *flag, "Cattleya", *few])
    out, err = capsys.readouterr()
    if command == "assess":
        assert status == 0
        query = " ".join(out.split())
    else:
        assert (status, out) == (2, "")
        query = err
    for name in ("Cattleya, standard", "Cattleya, bifoliate", "Guarianthe"):
        assert name in query
        assert registry.find(name).short == name


def _flagged(command):
    return "--plant" in commands()[command]


def test_a_proposed_command_keeps_what_was_typed(capsys):
    words = ["Cattleya", "--spot", "wall-shelf", "--demo", "--years", "4"]
    assert main(["assess", *words, "--units", "us"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    again = re.search(r"climrisk (assess .*?) More:", out)[1]
    given = shlex.split(again)
    assert given[:2] == ["assess", "Cattleya, standard"]
    assert set(words[1:]) | {"--units", "us"} <= set(given)
    assert main(given) == 0
    assert "shelf" in capsys.readouterr().out


def test_the_program_alone_prints_its_commands_in_full(capsys):
    assert main([]) == 0
    out = capsys.readouterr().out
    assert "..." not in out.partition("Commands:")[2]
    assert max(map(len, out.splitlines())) <= 80
    for name in commands():
        assert re.search(rf"^  {name} +[A-Z]", out, re.M), name


# --- words ---------------------------------------------------------------------------

#: Terms that words on screen avoid; see the table of terms in the contributor guide.
BANNED = re.compile(
    r"\b(worlds?|middle world|if unsaid|unsaid|foretold|stand-in|knows no|be had"
    r"|keepers?|goes before|is worth|what it is worth|hangs on|at a risk of"
    r"|kinds of plants|clear and still|still nights?|windy or overcast|fully clear"
    r"|taken for granted|set apart by|told (in|from|by)|hung|stands twice)\b",
    re.IGNORECASE,
)
PACKAGE = Path(climrisk.__file__).parent


def texts():
    """Return every string of the package that people may read."""
    for path in sorted(PACKAGE.rglob("*.py")):
        tree = ast.parse(path.read_text("utf-8"))
        docs = {
            id(node.body[0].value)
            for node in ast.walk(tree)
            if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
            and node.body
            and isinstance(node.body[0], ast.Expr)
        }
        for node in ast.walk(tree):
            if (
                isinstance(node, ast.Constant)
                and isinstance(node.value, str)
                and id(node) not in docs
            ):
                yield path, node.lineno, node.value
    for path in sorted(PACKAGE.rglob("*.html")):
        text = re.sub(
            r"<script.*?</script>|<[^>]+>|\{[%{#].*?[%}#]\}",
            " ",
            path.read_text("utf-8"),
            flags=re.DOTALL,
        )
        yield path, 0, text
    for path in sorted(PACKAGE.rglob("topics/*.md")):
        for line, text in enumerate(path.read_text("utf-8").splitlines(), 1):
            yield path, line, text
    for path in sorted(PACKAGE.rglob("data/*.toml")):
        for text in strings(tomllib.loads(path.read_text("utf-8"))):
            yield path, 0, text


def strings(held):
    """Yield every text of a data file."""
    if isinstance(held, str):
        yield held
    elif isinstance(held, dict | list):
        for value in held.values() if isinstance(held, dict) else held:
            yield from strings(value)


def test_no_text_uses_a_banned_word():
    found = [
        f"{path.relative_to(PACKAGE)}:{line}: {BANNED.search(text)[0]}"
        for path, line, text in texts()
        if " " in text.strip() and BANNED.search(text)
    ]
    assert found == []


def test_the_page_shows_no_option_names():
    found = [
        f"{path.relative_to(PACKAGE)}:{line}: {text}"
        for path, line, text in texts()
        if {"web", "templates"} & set(path.parts)
        and re.search(r"(?<![\w-])--[a-z][a-z-]+", text)
        # Those of the server itself, and what turns options into words of the page.
        and path.name not in ("serve.py", "settings.py", "messages.py")
    ]
    assert found == []


def test_no_message_holds_a_path_of_this_machine_or_an_address():
    found = [
        f"{path.relative_to(PACKAGE)}:{line}: {text}"
        for path, line, text in texts()
        if " " in text.strip()
        and path.suffix == ".py"
        and re.search(r"https?://(?!127\.0\.0\.1)\w|/(home|tmp|usr|var)/\w", text)
    ]
    assert found == []


def test_defaults_in_the_help_have_one_form(capsys):
    assert main(["assess", "--help"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    for default in ("12", "thin-plastic", "pine-bark-fine", "0.1"):
        assert f"[default: {default}]" in out


# --- layout --------------------------------------------------------------------------

SENTENCES = st.text(st.characters(codec="ascii", categories=("L", "N", "Zs")))


@given(st.lists(st.tuples(SENTENCES, st.integers(0, 4)), max_size=12), SENTENCES)
def test_any_answer_keeps_its_headline_and_what_must_stay(parts, headline):
    must = "This must stay."
    rows = Rows([(f"row {k}", "text " * 12) for k in range(30)], rank=1)
    every = [Words(must), rows, *(Words(t[:300], r + 1) for t, r in parts)]
    lines = Answer(headline[:160], every, "the rest").lines()
    assert len(lines) <= 16
    assert all(len(line.text) <= 80 for line in lines if " " in line.text)
    assert must in [line.text for line in lines]
    assert "(--details)" in "".join(line.text for line in lines)


def test_a_shortened_list_says_how_many_are_left_out():
    rows = Rows([(f"spot {k}", "x") for k in range(40)], what="more spot")
    text = Answer("Headline", [rows], "all").text()
    shown = text.count("spot ")
    assert f"and {40 - shown} more spots (--details)" in text


WORDS = st.lists(
    st.text(st.characters(codec="ascii", categories=("Ll",)), min_size=1, max_size=9),
    min_size=1,
    max_size=8,
).map(" ".join)


@given(st.integers(2, 14), st.data())
def test_a_table_is_never_wide_and_never_breaks_a_word(columns, data):
    row = st.lists(WORDS, min_size=columns, max_size=columns)
    header, rows = data.draw(row), data.draw(st.lists(row, min_size=1, max_size=3))
    text = table(header, rows)
    assert all(len(line) <= 80 for line in text.split("\n"))
    printed = set(text.split())
    assert {w for r in [header, *rows] for c in r for w in c.split()} <= printed


def test_a_temperature_stays_with_its_unit():
    text = "x" * 75 + " 10 °C and more"
    assert wrapped(text)[1].startswith("10 °C")


def test_a_path_is_never_changed_or_wrapped():
    path = "Written: /a/" + "long/" * 30 + "2026-11-02.csv"
    assert in_full(path, str.upper) == [path]


@pytest.mark.parametrize(
    ("months", "words"),
    [
        ([11, 12, 1, 2, 3], "November to March"),
        ([1], "January"),
        ([7, 12, 1], "July and December to January"),
        (list(range(1, 13)), "all year"),
        ([], ""),
    ],
)
def test_months_are_told_as_spans(months, words):
    assert month_spans(months) == words


def test_every_profile_has_a_short_name_of_its_own():
    names = [registry.load_profile(p).short for p in PROFILES]
    assert len(PROFILES) > 150
    assert all(names)
    assert len(set(names)) == len(names)


PROFILES = [
    p for p in sorted(registry.profile_folder().glob("*.toml")) if p.stem.islower()
]


@pytest.mark.long
def test_an_answer_by_the_roots_says_that_its_months_are_by_air(capsys):
    pot = ("--pot", "net-pot", "--pot-diameter", "10", "--medium", "sphagnum")
    cold = ("Dendrobium kingianum", "--demo", "--spot", "wall-shelf", *pot)
    assert main(["assess", *cold, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["governed_by"] == "root_zone"
    assert main(["assess", *cold]) == 0
    out = capsys.readouterr().out
    assert "The roots decide" in out
    assert len(out.splitlines()) <= 16
    assert main(["assess", "Dendrobium kingianum", "--demo", *FEW]) == 0
    assert "The roots decide" not in capsys.readouterr().out


@pytest.mark.long
def test_usual_pots_that_are_watered_by_day_have_no_reservoir(capsys):
    dry = ("--demo", "--years", "1", "--members", "1", "--watered-every", "7")
    assert main(["pots", *dry, "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["pots"]
    assert {r["pot"] for r in rows} == {"thin-plastic", "terracotta"}
    assert main(["pots", *dry, "--pot", "self-watering"]) == 2
    assert "waters itself" in capsys.readouterr().err


def test_pots_say_what_their_columns_are(capsys):
    assert main(["pots", "--demo", "--years", "3", "--members", "2"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "9 usual pots" in out
    assert "Best first by usual winter nights." in out
    assert "(self-watering: reservoir empty)" in out
