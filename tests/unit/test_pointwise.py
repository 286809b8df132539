"""A compiled formula gives what its own text gives with numpy."""

from __future__ import annotations

import numpy as np
import pytest

from climrisk.core import compiled, notes
from climrisk.core.chunked import single_threaded
from climrisk.physics.pointwise import Loop
from climrisk.spot.formulas import FORMULAS
from climrisk.spot.sunlight import SEEN
from climrisk.spot.transfer import DEW
from tests.kernels import formula_loops

HOURS, CASES, NIGHTS = 2400, 20, 100
NIGHT = np.arange(HOURS) // 24


def drawn(inputs, rng):
    """Return arrays of the shapes that a loop takes, some hours unknown."""
    shapes = {
        "f": (HOURS, CASES),
        "h": (HOURS, 1),
        "c": (1, CASES),
        "n": (NIGHTS, CASES),
    }
    made = [rng.uniform(0.05, 30.0, shapes[kind]) for kind in inputs]
    for x, kind in zip(made, inputs, strict=True):
        if kind in "fh":
            x[rng.integers(0, HOURS, 10)] = np.nan
            x[:3] = np.nan  # in all of them
    return [x.astype(np.float32) for x in made]


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda f: f.of_members.name)
@pytest.mark.parametrize("places", [False, True], ids=["members", "places"])
def test_compiled_as_with_numpy(formula, places):
    loop = formula.of_places if places else formula.of_members
    given = drawn(loop.inputs, np.random.default_rng(1))
    by_hour = [
        x[NIGHT] if kind == "n" else x
        for x, kind in zip(given, loop.inputs, strict=True)
    ]
    want = loop.formula(*(x.astype(float) for x in by_hour))
    want = want if loop.results > 1 else (want,)
    got = formula.of(*given, night=NIGHT)
    for a, b in zip(got, want, strict=True):
        assert a.shape == (HOURS, CASES)
        # Single precision, of steps that may take much away from much.
        scale = np.nanmax(np.abs(b))
        np.testing.assert_allclose(a, b, rtol=2e-5, atol=2e-6 * scale)
        assert np.isnan(b).any() or formula is SEEN  # which only compares
    with single_threaded():
        for a, b in zip(formula.of(*given, night=NIGHT), got, strict=True):
            np.testing.assert_array_equal(a, b)


@pytest.mark.parametrize("loop", formula_loops(), ids=lambda loop: loop.name)
def test_its_machine_code_needs_nothing_of_the_compiler(loop):
    loop.compile(loop.form)
    assert loop.load(loop.form)


def test_one_case_and_numbers():
    (got,) = DEW.of(np.array([[1.0], [np.nan], [9.0]]), 2.0, np.full((3, 1), 8.0))
    np.testing.assert_array_equal(got[:, 0], [3.0, np.nan, 8.0])


def test_compiling_is_announced_once(monkeypatch):
    told: list[str] = []
    monkeypatch.setattr(notes, "_listeners", [told.append])
    compiled._say_that_it_takes_time.cache_clear()
    for loop in formula_loops()[:3]:
        fresh = Loop(loop.formula, loop.inputs, loop.results, ("climrisk.core.paths",))
        monkeypatch.setattr(fresh, "dispatcher", lambda *_: None)
        fresh(*drawn(loop.inputs, np.random.default_rng(2)))
    assert len(told) == 1
    assert "once" in told[0]
