"""Machine code on the disk: found without the compiler, never stale, never fatal."""

from __future__ import annotations

import numpy as np
import pytest

from climrisk.core.compiled import _form_of, _form_of_type, _type_of, array_form
from tests.quick import but_quick
from tests.reliability.fresh_process import printed

MODULE = """
import numpy as np
from climrisk.core.compiler_cache import cached_njit

@cached_njit(nogil=True)
def scaled(x, factors, times, flag, nothing, kind):
    for i in range(x.shape[0]):
        for k in range(x.shape[1]):
            x[i, k] *= kind(factors[i] * times)
    return flag
"""
#: An array of its own needs the compiler's helpers.
WITH_ARRAY = MODULE.replace("    return", "    y = np.empty(x.shape[1])\n"
    "    y[:] = x[0]\n    x[0, 0] = y.max()\n    return")  # fmt: skip
CALL = """
import resource, sys
limit = int(sys.argv[1])
resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
import numpy as np
from climrisk.core.compiled import Compiled
from climrisk.core.notes import show_notes
said_before = []
show_notes(said_before.append)
call = Compiled("made", "scaled", ["made"])
x = np.arange(6, dtype=np.float32).reshape(2, 3)
said = call(x, (2, 3), 1.5, True, None, np.float32)
compiled = "numba" in sys.modules
assert compiled or not said_before
assert all("compiling" in note for note in said_before)
print(x.tolist(), bool(said), compiled, *(["said"] if said_before else []))
"""
RIGHT = "[[0.0, 3.0, 6.0], [13.5, 18.0, 22.5]] True"


@pytest.fixture
def call(tmp_path):
    source, cache = tmp_path / "made.py", tmp_path / "cache"
    source.write_text(MODULE)

    def run(limit=10**9, **more):
        return printed(tmp_path, CALL, cache, limit, **more).strip()

    return run


def test_a_second_process_needs_no_compiler(call, tmp_path):
    assert call() == f"{RIGHT} True said"
    assert call() == f"{RIGHT} False"
    # Another setting of the compiler is another function.
    assert call(NUMBA_OPT="1") == f"{RIGHT} True said"
    # So is another source, whose code takes the place of the old.
    files = set((tmp_path / "cache").rglob("*.obj"))
    assert len(files) == 2
    (tmp_path / "made.py").write_text(MODULE.replace("* times", "* (times + 0.0)"))
    assert call() == f"{RIGHT} True said"
    assert call() == f"{RIGHT} False"
    assert len(files - set((tmp_path / "cache").rglob("*.obj"))) == 1


@pytest.mark.long
def test_a_function_with_arrays_of_its_own_is_left_to_numba(call, tmp_path):
    (tmp_path / "made.py").write_text(WITH_ARRAY)
    right = RIGHT.replace("[[0.0", "[[6.0")
    assert call() == f"{right} True said"
    assert call() == f"{right} True"
    assert list((tmp_path / "cache").rglob("*.nbc"))
    assert not list((tmp_path / "cache").rglob("*.obj"))


def test_a_disk_that_takes_nothing(call):
    assert call(limit=10) == f"{RIGHT} True said"


@pytest.mark.parametrize("damage", but_quick([None, b"x" * 4000, b""], None))
@pytest.mark.long
def test_a_damaged_file_is_made_anew(call, tmp_path, damage):
    call()
    (file,) = (tmp_path / "cache").rglob("*.obj")
    file.write_bytes(file.read_bytes()[:-40] if damage is None else damage)
    assert call() == f"{RIGHT} True"
    assert call() == f"{RIGHT} False"


def test_compiling_can_be_switched_off(call, tmp_path):
    assert call(NUMBA_DISABLE_JIT="1") == f"{RIGHT} True said"
    assert not list((tmp_path / "cache").rglob("*.obj"))


@pytest.mark.parametrize(
    "value",
    [
        *(
            True,
            3,
            2.5,
            None,
            np.float32(1),
            np.float32,
            np.float64,
            (1, 2),
            (1.0, True),
        ),
        *(np.zeros((2, 3), np.float32), np.zeros(4), np.zeros((2, 3), bool)),
        *(np.zeros((2, 3)).T, np.zeros((4, 4))[::2, ::2], np.zeros(3, np.int16)),
        np.broadcast_to(np.zeros(3), (2, 3)),
        (np.zeros((2, 2)), np.zeros((2, 2))),
    ],
    ids=str,
)
def test_types_are_named_as_numba_tells_them_apart(value):
    from numba import typeof

    assert _form_of_type(typeof(value)) == _form_of(value)
    assert _type_of(_form_of(value)) == typeof(value)


def test_the_form_of_an_array():
    assert array_form("float32", 2) == _form_of(np.zeros((2, 2), np.float32))
