"""A typical year with one bad cell: the error names its line and column."""

from __future__ import annotations

import contextlib
from pathlib import Path

import numpy as np
import pvlib
import pytest

from climrisk.cli.main import main
from climrisk.core.errors import InputError
from climrisk.weather.files import read_weather
from tests.made_files import epw, truth
from tests.quick import but_quick
from tests.reliability.long_runs import repeats

DATA = Path(pvlib.__file__).parent / "data"
DIGITS, BRACKETS = "9" * 5000, "[" * 3000


@pytest.fixture(scope="module")
def epw_lines(tmp_path_factory):
    path = tmp_path_factory.mktemp("epw") / "a.epw"
    return epw(path, truth("2005-01-01", 8760).to_numpy()).read_text().split("\n")


def changed(lines, tmp_path, line, cell, text):
    row = lines[line - 1].split(",")
    row[cell] = text
    path = tmp_path / "b.epw"
    path.write_text("\n".join([*lines[: line - 1], ",".join(row), *lines[line:]]))
    return path


@pytest.mark.parametrize(
    "text", but_quick(["x", "\u00b2", "-", "1,", "12.3.4"], "x", "1,")
)
@pytest.mark.parametrize(
    ("cell", "column"),
    [(6, "dry bulb temperature"), (8, "relative humidity"), (21, "wind speed")],
)
def test_a_bad_cell_of_an_epw_is_named(epw_lines, tmp_path, capsys, cell, column, text):
    path = changed(epw_lines, tmp_path, 4711, cell, text)
    assert main(["exposure", "--file", str(path), "--below", "5"]) == 2
    out, error = capsys.readouterr()
    assert out == ""
    assert error.count("\n") == 1
    assert "line 4711, column" in error
    if "," not in text:
        assert f"column {column}): {text}. Allowed: a number" in error


@pytest.mark.parametrize(
    ("cell", "column", "bad"),
    [
        (1, "month", ["0", "13", "", "x", "nan", DIGITS]),
        (2, "day", ["0", "32", "", "1e999", "-1"]),
        (3, "hour", ["0", "25", "", "\u00b2", BRACKETS]),
    ],
)
def test_a_bad_date_of_an_epw_is_named(epw_lines, tmp_path, cell, column, bad):
    for text in bad:
        path = changed(epw_lines, tmp_path, 100, cell, text)
        with pytest.raises(InputError, match=f"line 100, column {column}"):
            read_weather(path)


def test_a_row_that_is_cut_or_too_long(epw_lines, tmp_path):
    path = tmp_path / "b.epw"
    row = epw_lines[99].split(",")
    path.write_text("\n".join([*epw_lines[:99], ",".join([*row, *"123456789"])]))
    with pytest.raises(InputError, match="line 100, column 36"):
        read_weather(path)
    path.write_text("\n".join([*epw_lines[:99], ",".join(row[:3]), *epw_lines[100:]]))
    with pytest.raises(InputError, match="line 100, column hour"):
        read_weather(path)


@pytest.mark.parametrize("text", ["x", "", "nan", "inf", DIGITS, BRACKETS, "1e999"])
@pytest.mark.parametrize("cell", [6, 7, 8])
def test_a_bad_header_of_an_epw(epw_lines, tmp_path, text, cell):
    with pytest.raises(InputError):
        read_weather(changed(epw_lines, tmp_path, 1, cell, text))


def test_an_epw_in_latin_1_is_read(epw_lines, tmp_path):
    path = tmp_path / "b.epw"
    text = "\n".join(epw_lines).replace("Madetown", "Mad\u00e9town")
    path.write_bytes(text.encode("latin-1"))
    weather = read_weather(path)
    assert weather.place.name == "Mad\u00e9town"
    assert np.isfinite(weather.air_temp_c).sum() == 8760


@pytest.mark.parametrize(
    ("name", "row", "old", "new", "words"),
    [
        ("723170TYA.CSV", 4000, "01:00", "25:00", "column Time"),
        ("723170TYA.CSV", 50, "01/02/", "13/02/", "column Date"),
        ("12839.tm2", 51, " 62010303", " 62130303", "column month"),
    ],
)
def test_a_bad_cell_of_a_tmy_is_named(tmp_path, name, row, old, new, words):
    lines = (DATA / name).read_text().split("\n")
    places = [i for i, line in enumerate(lines) if old in line and i >= row - 1]
    lines[places[0]] = lines[places[0]].replace(old, new, 1)
    path = tmp_path / name
    path.write_text("\n".join(lines))
    with pytest.raises(InputError, match=f"line {places[0] + 1}, {words}"):
        read_weather(path)


@pytest.mark.parametrize(
    "name", but_quick(["723170TYA.CSV", "12839.tm2", "epw"], "epw")
)
def test_any_change_is_read_or_refused(epw_lines, tmp_path, name):
    lines = epw_lines if name == "epw" else (DATA / name).read_text().split("\n")
    rng = np.random.default_rng(9)
    junk = ["x", "", "-", " ", ",", DIGITS, BRACKETS, "\u00b2", "\t", '"', "/", "\0"]
    path = tmp_path / "b.csv"
    for _ in range(repeats(12, 500)):
        i = int(rng.choice([0, 1, 2, 8, 9, 50, 4000]))
        j = int(rng.integers(0, max(1, len(lines[i]))))
        put = junk[int(rng.integers(len(junk)))]
        line = lines[i][:j] + put + lines[i][j + int(rng.integers(3)) :]
        path.write_text("\n".join([*lines[:i], line, *lines[i + 1 :]]), "utf-8")
        with contextlib.suppress(InputError):
            read_weather(path)
