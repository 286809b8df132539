"""README and examples are true: commands, options, names and files exist."""

from __future__ import annotations

import ast
import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import climrisk
from climrisk.cli.main import main
from climrisk.commands.help.topics import NAMES, topic
from climrisk.pot.media import media
from climrisk.pot.model import walls
from climrisk.spot.kinds import KINDS
from tests.quick import but_quick
from tests.unit.test_options import commands

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text("utf-8")


def test_every_command_is_in_the_readme_and_every_option_named_exists():
    every = commands()
    for name in every:
        assert f"`{name}`" in README, name
    lines = README.replace("\\\n", " ").splitlines()
    shown = [line.strip() for line in lines if line.startswith("    climrisk ")]
    assert len(shown) >= 3
    for line in shown:
        _, command, *words = shlex.split(line)
        for word in words:
            if word.startswith("--"):
                assert word.lstrip("-") in every[command], line


def test_the_topics_on_spots_and_pots_list_all_there_is(capsys):
    for name, every in (("spots", KINDS), ("pots", walls()), ("pots", media())):
        assert main(["help", name]) == 0
        said = set(re.findall(r"[a-z-]+", capsys.readouterr().out))
        assert set(every) <= said


@pytest.mark.parametrize("name", NAMES)
def test_a_topic_fits_the_terminal_and_its_prose_names_no_option(name):
    found = topic(name)
    assert all(len(line) <= 80 for line in found.text().split("\n"))
    prose = [b for b in found.blocks if b.kind != "commands"]
    for line in (x for b in prose for x in (*b.lines, *(c for r in b.rows for c in r))):
        assert not re.search(r"(?<![\w-])--[a-z]", line), line


def test_an_unknown_topic_lists_those_there_are(capsys):
    assert main(["help", "orchids"]) == 2
    assert "numbers" in capsys.readouterr().err


def test_the_readme_is_short_and_its_commands_do_what_it_shows(
    capsys, tmp_path, monkeypatch
):
    assert README.count("\n") <= 120
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path / "data"))
    shutil.copy(ROOT / "examples" / "home.toml", tmp_path / "home.toml")
    shown = re.findall(r"```console\n\$ (.*)\n([^`]*)```", README)
    assert len(shown) == 3
    for command, printed in shown:
        assert main(shlex.split(command)[1:]) == 0
        assert capsys.readouterr().out == printed, command


@pytest.mark.long
def test_the_other_commands_of_the_readme_run(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path / "data"))
    shutil.copy(ROOT / "examples" / "home.toml", tmp_path / "home.toml")
    others = [x for x in README.splitlines() if x.startswith("    climrisk ")]
    assert len(others) >= 3
    for line in others:
        assert main(shlex.split(line)[1:]) == 0, line
        assert capsys.readouterr().out


def test_links_and_the_picture_exist():
    for target in re.findall(r"\]\(([^)#]+)\)", README):
        assert (ROOT / target).exists(), target
    png = (ROOT / "examples" / "year-strip.png").read_bytes()
    assert png.startswith(b"\x89PNG")


def test_rooms_of_the_guide_are_those_of_the_package():
    guide = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    for path in sorted((ROOT / "climrisk").iterdir()):
        if path.name.startswith("_") or path.name in {"data", "py.typed"}:
            continue
        name = path.name + ("/" if path.is_dir() else "")
        assert f"`{name}`" in guide, name


#: What each example prints, and how often.
EXAMPLES = {
    "before_buying": (r"(?m)^.*: (suits|indoors in winter|poor match|summers).*;", 6),
    "pot_and_medium": (r"(?m)^(thin-plastic|terracotta|self-watering) ", 3),
    "calibrate_a_spot": (r"Clear calm nights: \+\d\.\d K", 1),
    "review_a_winter": (r"20\d\d-\d\d-\d\d", 5),
    "map_of_a_grid": (r"576 cells", 1),
}


@pytest.mark.parametrize("name", but_quick(EXAMPLES, "review_a_winter"))
def test_an_example_runs_offline(name):
    script = ROOT / "examples" / f"{name}.py"
    assert (ROOT / "examples" / f"{name.replace('_', '-')}.png").exists()
    done = subprocess.run(
        [sys.executable, str(script)],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert done.returncode == 0, done.stderr
    pattern, count = EXAMPLES[name]
    assert len(re.findall(pattern, done.stdout)) >= count, done.stdout


def test_every_script_among_the_examples_is_run():
    names = {p.stem for p in (ROOT / "examples").glob("*.py")}
    assert names == {*EXAMPLES, "made_region"}


def test_the_version_is_the_same_everywhere():
    for name in ("pyproject.toml", "CITATION.cff"):
        text = (ROOT / name).read_text("utf-8")
        found = re.search(r'^version\W+"?([\d.]+)', text, re.M)
        assert found is not None
        assert found[1] == climrisk.__version__


def test_classes_have_names_of_their_own():
    """No two modules of the package define a class or a type of the same name."""
    where: dict[str, list[str]] = {}
    for path in sorted((ROOT / "climrisk").rglob("*.py")):
        for node in ast.parse(path.read_text("utf-8")).body:
            match node:
                case ast.ClassDef(name=name):
                    pass
                case ast.Assign(
                    targets=[ast.Name(id=name)],
                    value=ast.Subscript(value=ast.Name(id="Literal" | "Annotated")),
                ):
                    pass
                case _:
                    continue
            where.setdefault(name, []).append(str(path.relative_to(ROOT)))
    assert {name: paths for name, paths in where.items() if len(paths) > 1} == {}


def test_the_introduction_to_the_kernel_names_what_exists():
    """Its newcomer follows the names: each is a module, or stands in one."""
    import climrisk.pot.kernel as kernel

    folder = Path(kernel.__file__).parent
    sources = {path.stem: path.read_text("utf-8") for path in folder.glob("*.py")}
    text = sources.pop("__init__")
    names = {n for n in re.findall(r"(?<!`)`([a-z_.]+)`", text) if "climrisk" not in n}
    assert len(names) > 15
    parameters = {"w", "kind"}
    for name in names - parameters:
        module, _, member = name.rpartition(".")
        held = [sources[module]] if module else list(sources.values())
        defined = re.compile(rf"^(def )?{member}\b( =|\()", re.M)
        assert member in sources or any(defined.search(s) for s in held), name
    for name in set(re.findall(r"`([A-Z_]+)`", text)):
        assert any(
            re.search(rf"^[\w, ]*\b{name}\b.* =", s, re.M) for s in sources.values()
        )
