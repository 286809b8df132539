"""Starters to press twice: they find Python, or say how to get it."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
from pathlib import Path

import pytest

SCRIPTS = Path(__file__).parents[2] / "scripts"


def executable(path: Path, text: str) -> None:
    path.write_text(f"#!/bin/sh\n{text}\n", "utf-8")
    path.chmod(0o755)


@pytest.fixture
def copied(tmp_path):
    """Copy the starters beside a script that only says that it was called."""
    folder = tmp_path / "a folder" / "scripts"
    folder.mkdir(parents=True)
    for name in ("page.command", "climrisk.desktop", "page.bat"):
        shutil.copy(SCRIPTS / name, folder)
    executable(folder / "page", 'echo "opened $PYTHON $*"')
    return folder


@pytest.fixture
def commands(tmp_path):
    """Return a folder with the few programs that a starter may use."""
    folder = tmp_path / "commands"
    folder.mkdir()
    for name in ("sh", "dirname"):
        (folder / name).symlink_to(shutil.which(name))
    executable(folder / "open", 'echo "asked for $1"')
    return folder


def run(words, commands):
    return subprocess.run(
        words,
        env={"PATH": str(commands)},
        input="\n",
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def test_a_mac_with_python_opens_the_page(copied, commands):
    executable(commands / "python3.12", "exit 0")
    done = run([str(copied / "page.command"), "--port", "0"], commands)
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == f"opened {commands / 'python3.12'} --port 0"


def test_a_mac_without_python_is_told_how_to_get_it(copied, commands):
    # One that is too old counts as none.
    executable(commands / "python3", "exit 1")
    done = run([str(copied / "page.command")], commands)
    assert done.returncode == 2
    assert "needs Python 3.11 or newer" in done.stdout
    assert "asked for https://www.python.org/downloads/" in done.stdout
    assert "opened" not in done.stdout


def test_an_error_on_a_mac_stays_to_be_read(copied, commands):
    executable(commands / "python3.11", "exit 0")
    executable(copied / "page", "echo no room left; exit 3")
    done = run([str(copied / "page.command")], commands)
    assert done.returncode == 3
    assert "no room left" in done.stdout
    assert "Press Return to close" in done.stdout


def desktop_words(path: Path) -> list[str]:
    """Return the command of a desktop entry as the freedesktop specification reads it.

    In a value two backslashes are one; in quotes a backslash stands before a quote, a
    dollar sign or itself; ``%k`` is where the entry lies.
    """
    line = re.search(r"^Exec=(.*)$", path.read_text("utf-8"), re.M)[1]
    words = shlex.split(line.replace("\\\\", "\\"))
    return [str(path) if w == "%k" else w.replace("\\$", "$") for w in words]


def test_the_linux_entry_opens_the_page_beside_it(copied, commands):
    done = run(desktop_words(copied / "climrisk.desktop"), commands)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("opened")


def test_the_linux_entry_leaves_an_error_to_be_read(copied, commands):
    executable(copied / "page", "echo climrisk needs Python; exit 2")
    done = run(desktop_words(copied / "climrisk.desktop"), commands)
    assert "climrisk needs Python" in done.stdout
    assert "Press Return to close" in done.stdout


def test_the_windows_starter_has_its_labels_and_line_ends():
    """Nothing here can run it; what breaks such files most often is looked for."""
    data = (SCRIPTS / "page.bat").read_bytes()
    assert data.count(b"\n") == data.count(b"\r\n")
    text = data.decode("ascii")
    jumps = set(re.findall(r"goto (\w+)", text))
    labels = set(re.findall(r"^:(\w+)\r?$", text, re.M))
    assert jumps == labels
    assert "python.org/downloads" in text
    # Outside quotes brackets open and close blocks, and paths have backslashes.
    bare = re.sub(r'"[^"]*"', '""', text)
    code = "".join(
        line
        for line in bare.splitlines(keepends=True)
        if not re.match(r"\s*(echo|rem)\b", line)
    )
    assert code.count("(") == code.count(")") > 0
    assert not re.search(r"\w/\w", code)
    # What a block echoes would end it with a bracket; a redirection is quoted.
    echoed = re.findall(r"^\s*echo (.*)$", bare, re.M)
    assert not [words for words in echoed if re.search("[()<>|&%]", words)]
    # In a block of brackets a variable keeps the value from before the block.
    assert not re.search(r"\([^)]*%PYTHON%[^)]*set \"PYTHON", text)
