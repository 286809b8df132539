"""A cache of compiled functions that fails costs time and nothing else."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from tests.reliability.fresh_process import ROOT, printed

pytestmark = pytest.mark.long

MODULE = """
from climrisk.core.compiler_cache import cached_njit

@cached_njit(nogil=True)
def twice(x):
    return 2 * x
"""
CALL = """
import resource, sys
limit = int(sys.argv[1])
resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
from made import twice
print(twice(21), dict(twice.stats.cache_hits) != {})
"""


@pytest.fixture
def call(tmp_path):
    (tmp_path / "made.py").write_text(MODULE)

    def run(cache, limit=10**9, **more):
        return printed(tmp_path, CALL, cache, limit, **more).split()

    return run


def test_a_second_process_reads_the_cache(call, tmp_path):
    assert call(tmp_path / "cache") == ["42", "False"]
    assert call(tmp_path / "cache") == ["42", "True"]


def test_a_disk_that_takes_nothing(call, tmp_path):
    assert call(tmp_path / "cache", limit=10) == ["42", "False"]


@pytest.mark.parametrize(
    ("kind", "damage"),
    [("nbi", None), ("nbi", b"x" * 4000), ("nbc", None), ("nbc", b"x" * 4000)],
)
def test_a_damaged_cache_is_made_anew(call, tmp_path, kind, damage):
    call(tmp_path / "cache")
    (file,) = (tmp_path / "cache").rglob(f"*.{kind}")
    file.write_bytes(file.read_bytes()[:-40] if damage is None else damage)
    assert call(tmp_path / "cache") == ["42", "False"]
    assert call(tmp_path / "cache") == ["42", "True"]


def test_no_folder_for_it(call, tmp_path):
    (tmp_path / "file").write_text("")
    assert call(tmp_path / "file" / "cache")[0] == "42"
    # A home and a program that are both read-only leave no folder.
    nowhere = {"HOME": "/dev/null", "XDG_CACHE_HOME": "/dev/null/x"}
    assert call("", **nowhere)[0] == "42"


def test_compiling_can_be_switched_off(call, tmp_path):
    code = "from made import twice; print(twice(21))"
    env = {**os.environ, "PYTHONPATH": f"{tmp_path}{os.pathsep}{ROOT}"}
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**env, "NUMBA_DISABLE_JIT": "1"},
        capture_output=True,
        text=True,
    )
    assert done.stdout == "42\n", done.stderr


LIGHT = """
from numba.core import ir
from made import twice
twice(21)
print(any("__deepcopy__" in vars(kind) for kind in (ir.Scope, ir.Loc)))
"""


def test_numba_is_left_as_it_was(tmp_path):
    (tmp_path / "made.py").write_text(MODULE)
    assert printed(tmp_path, LIGHT, tmp_path / "cache") == "False\n"
