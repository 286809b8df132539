"""Identical input gives identical bytes, in any process and at any moment."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys

import pytest

from examples.made_region import write
from tests.reliability.long_runs import LONG

FEW = ("--demo", "--years", "3", "--members", "2", "--as-of", "2026-10-01")
COMMANDS = (
    (*("assess", "Masdevallia", *FEW), *("--html", "a.html", "--csv", "a.csv")),
    ("assess", "Masdevallia", *FEW, "--nights", "nights.csv", "--json"),
    (*("calendar", *FEW), *("--html", "c.html", "--ics", "c.ics", "--csv", "c.csv")),
    ("calendar", *FEW, "--sheet", "sheet.html", "--json"),
    ("winter", "Masdevallia", *FEW, "--html", "w.html", "--csv", "w.csv"),
    ("pots", "Masdevallia", *FEW, "--pot", "glass", "--html", "p.html"),
    ("spots", "Masdevallia", *FEW, "--html", "s.html", "--json"),
    ("review", *FEW, "--html", "r.html"),
    ("event", "--demo", "--members", "2", "--html", "e.html", "--csv", "e.csv"),
    ("learn", "--demo", "--html", "l.html"),
    *(
        ("region", "../in.zarr", "--plant", "Masdevallia", "--out", f"maps.{kind}")
        for kind in ("nc", "zarr")
    ),
    ("region", "maps.nc", "--html", "m.html", "--csv", "m.csv"),
)
#: Every command in the long run.
QUICK = (COMMANDS[2],)
#: Kinds of files that are written.
KINDS = {".html", ".csv", ".ics", ".txt"} | ({".nc"} if LONG else set())
RUN = """
import json, sys
from contextlib import redirect_stdout
from pathlib import Path
from climrisk.cli.main import main
for number, words in enumerate(json.loads(sys.argv[1])):
    with Path(f"{number}.txt").open("w") as out, redirect_stdout(out):
        assert main(words) == 0, words
"""
#: Where the time of writing or the seconds that it took are stated.
STATED = (
    rb"DTSTAMP:\d{8}T\d{6}Z",
    rb"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ climrisk region",
    rb"\d{1,2} [A-Z][a-z]{2} \d{4} \d\d:\d\d climrisk region",
    rb"in [\d.]+ s\b",
)


@pytest.fixture(scope="module")
def folders(tmp_path_factory):
    """Return two folders that two processes have filled, which order sets otherwise."""
    top = tmp_path_factory.mktemp("twice")
    if LONG:
        write(top / "in.zarr", rows=4, columns=6, hours=24 * 20, chunk=(480, 2, 3))
    running = []
    for seed in ("1", "2"):
        folder = top / seed
        folder.mkdir()
        running.append(
            subprocess.Popen(
                [sys.executable, "-c", RUN, json.dumps(COMMANDS if LONG else QUICK)],
                cwd=folder,
                env=os.environ | {"PYTHONHASHSEED": seed},
                stderr=subprocess.PIPE,
                text=True,
            )
        )
    for one in running:
        _, error = one.communicate()
        assert one.returncode == 0, error
    return top / "1", top / "2"


def unhurried(data):
    for pattern in STATED:
        data = re.sub(pattern, b"", data)
    return data


def test_reports_calendars_tables_and_maps(folders, counted):
    one, other = folders
    files = sorted(p.relative_to(one) for p in one.rglob("*") if p.is_file())
    assert files == sorted(
        p.relative_to(other) for p in other.rglob("*") if p.is_file()
    )
    assert {p.suffix for p in files} >= KINDS
    differing = [
        str(p)
        for p in files
        if unhurried((one / p).read_bytes()) != unhurried((other / p).read_bytes())
    ]
    assert differing == []
    counted(f"{len(files)} files written twice")


def test_only_calendars_and_maps_state_the_time_of_writing(folders):
    one, _ = folders
    said = {
        p.suffix or p.name
        for p in one.rglob("*")
        if p.is_file() and any(re.search(time, p.read_bytes()) for time in STATED[:3])
    }
    # The page of finished maps repeats what the maps say.
    assert said == ({".ics", ".nc", ".zattrs", ".html"} if LONG else {".ics"})
