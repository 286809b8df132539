"""A compiled formula gives what its own text gives with numpy."""

from __future__ import annotations

import numpy as np
import pytest

from climrisk.core.chunked import single_threaded
from climrisk.spot.sunlight import SEEN
from tests.kernels import POINTWISE

HOURS, CASES, NIGHTS = 2400, 20, 100
#: Temperatures, as most inputs are; what is a share or a speed stays as plausible.
LOW, HIGH = 0.05, 30.0


def drawn(formula, rng):
    """Return arrays of the shapes a formula is compiled for, some hours unknown."""
    shapes = {
        "f": (HOURS, CASES),
        "h": (HOURS, 1),
        "c": (1, CASES),
        "n": (NIGHTS, CASES),
    }
    made = [rng.uniform(LOW, HIGH, shapes[kind]) for kind in formula.inputs]
    for x, kind in zip(made, formula.inputs, strict=True):
        if kind in "fh":
            x[rng.integers(0, HOURS, 10)] = np.nan
            x[:3] = np.nan  # in all of them
    return [x.astype(np.float32) for x in made]


@pytest.mark.parametrize("formula", POINTWISE, ids=lambda f: f.formula.__name__)
def test_compiled_as_with_numpy(formula):
    rng = np.random.default_rng(1)
    night = np.arange(HOURS) // 24
    given = drawn(formula, rng)
    by_hour = [
        x[night] if kind == "n" else x
        for x, kind in zip(given, formula.inputs, strict=True)
    ]
    want = formula.formula(*(x.astype(float) for x in by_hour))
    want = want if formula.results > 1 else (want,)
    got = formula.of(*given, night=night)
    for a, b in zip(got, want, strict=True):
        assert a.shape == (HOURS, CASES)
        # Single precision, of steps that may take much away from much.
        scale = np.nanmax(np.abs(b))
        np.testing.assert_allclose(a, b, rtol=2e-5, atol=2e-6 * scale)
        assert np.isnan(b).any() or formula is SEEN  # which only compares
    with single_threaded():
        for a, b in zip(formula.of(*given, night=night), got, strict=True):
            np.testing.assert_array_equal(a, b)
    # Hours that differ by case, as those of many places do, go by the text itself.
    wide = [
        np.tile(x, (1, CASES)) if kind == "h" else x
        for x, kind in zip(given, formula.inputs, strict=True)
    ]
    for a, b in zip(formula.of(*wide, night=night), want, strict=True):
        np.testing.assert_allclose(a, b, rtol=2e-5, atol=2e-6 * np.nanmax(np.abs(b)))


@pytest.mark.parametrize("formula", POINTWISE, ids=lambda f: f.formula.__name__)
def test_its_machine_code_needs_nothing_of_the_compiler(formula):
    formula.compile(formula.form)
    assert formula.load(formula.form)


def test_one_case_and_numbers():
    dew = next(f for f in POINTWISE if f.formula.__name__ == "held_dew_point_c")
    (got,) = dew.of(np.array([[1.0], [np.nan], [9.0]]), 2.0, np.full((3, 1), 8.0))
    np.testing.assert_array_equal(got[:, 0], [3.0, np.nan, 8.0])
