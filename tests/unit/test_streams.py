"""Output to any encoding, to a reader that has gone, and to a full disk."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from climrisk.cli import streams
from tests.quick import but_quick

PROGRAM = [sys.executable, "-m", "climrisk"]
HOME = ["init", "home.toml", "--demo", "--name", "Dača 21 °C – über ☃"]
FULL = Path("/dev/full")
full_disk = pytest.mark.skipif(not FULL.exists(), reason="no /dev/full here")


@pytest.fixture(autouse=True)
def handlers(tmp_path, monkeypatch):
    streams.prepare(json=False)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path / "data"))
    monkeypatch.setenv("PYTHONPATH", str(Path(__file__).parents[2]))


def program(*arguments, encoding="utf-8", **options):
    environment = os.environ | {"PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"}
    options = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **options}
    return subprocess.run([*PROGRAM, *arguments], env=environment, **options)


@given(st.text(), st.sampled_from(["cp1252", "latin-1", "ascii", "cp437"]))
def test_json_in_any_encoding_is_the_same_json(text, encoding):
    document = json.dumps({"name": text}, ensure_ascii=False)
    written = document.encode(encoding, "climrisk-json").decode(encoding)
    assert json.loads(written) == {"name": text}


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("4.0 °C", "4.0  deg C"),
        ("−3 … 5 – café", "-3 ... 5 - cafe"),
        ("Đurđica", "Durdica"),
        ("☃ \ud800", "? ?"),
    ],
)
def test_what_an_encoding_lacks_is_written_as_near_as_it_can(text, wanted):
    assert text.encode("ascii", "climrisk-plain").decode("ascii") == wanted


@given(st.text())
def test_characters_that_an_encoding_has_stay(text):
    for encoding in ("utf-8", "cp1252"):
        plain = text.encode(encoding, "ignore")
        decoded = plain.decode(encoding)
        assert decoded.encode(encoding, "climrisk-plain") == plain


@pytest.mark.parametrize("encoding", but_quick(["cp1252", "cp437"], "cp1252"))
@pytest.mark.long
def test_a_redirected_output_of_another_encoding_is_whole(encoding):
    done = program(*HOME, "--json", encoding=encoding)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout.decode(encoding))["name"] == HOME[-1]
    process = program(*HOME, "--force", encoding=encoding)
    assert process.returncode == 0, process.stderr
    assert b"home.toml" in process.stdout
    wrong = program("plants", "☃ Dača", encoding=encoding)
    assert wrong.returncode == 2
    assert wrong.stderr.startswith(b"error: ")
    assert wrong.stderr.count(b"\n") == 1


def test_a_reader_that_stops_reading_is_no_error():
    end, start = os.pipe()
    os.close(end)
    try:
        done = program("schema", stdout=start)
    finally:
        os.close(start)
    assert done.returncode == 0
    assert done.stderr == b""


@pytest.mark.parametrize(("arguments", "status"), [(HOME, 0), (["nonsense"], 2)])
def test_closed_streams_do_not_change_the_status(arguments, status):
    line = " ".join(f"'{a}'" for a in [*PROGRAM, *arguments])
    for closed in (">&-", "2>&-", ">&- 2>&-"):
        Path("home.toml").unlink(missing_ok=True)
        done = subprocess.run(["sh", "-c", f"{line} {closed}"], capture_output=True)
        assert done.returncode == status, (closed, done.stderr)
        assert b"Traceback" not in done.stderr


@full_disk
@pytest.mark.parametrize("arguments", [["schema"], ["--help"], HOME])
@pytest.mark.long
def test_output_on_a_full_disk_is_one_line(arguments):
    with FULL.open("wb") as full:
        done = program(*arguments, stdout=full)
        assert done.returncode == 2
        assert done.stderr.startswith(b"error: cannot write the output")
        assert done.stderr.count(b"\n") == 1
        assert program("nonsense", stderr=full).returncode == 2
