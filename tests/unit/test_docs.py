"""README and examples are true: commands, options, names and files exist."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from pathlib import Path

import climrisk
from climrisk.pot.model import walls
from climrisk.spot.kinds import KINDS
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


def test_names_that_the_readme_lists_are_all_there_is():
    spots = re.search(r"Spots: `([^`]+)`", README)
    pots = re.search(r"Pots: `([^`]+)`", README)
    assert spots is not None
    assert pots is not None
    assert set(spots[1].split()) == set(KINDS)
    assert set(pots[1].split()) == set(walls())


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


def test_example_runs_offline():
    script = ROOT / "examples" / "before_buying.py"
    done = subprocess.run([sys.executable, str(script)], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    lines = done.stdout.splitlines()
    assert len(lines) == 6
    words = {"suits", "suits with moves", "indoors in winter", "poor match"}
    assert all(line.split(": ")[1].split(";")[0] in words for line in lines)


def test_the_version_is_the_same_everywhere():
    for name in ("pyproject.toml", "CITATION.cff"):
        text = (ROOT / name).read_text("utf-8")
        found = re.search(r'^version\W+"?([\d.]+)', text, re.M)
        assert found is not None
        assert found[1] == climrisk.__version__
