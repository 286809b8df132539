"""Bands and medians are those of numpy, to the last bit."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from climrisk.commands.shared.exposure_info import middle_member
from climrisk.core.ranges import PERCENTILES, Band

NUMBERS = st.floats(-1e6, 1e6, allow_subnormal=False)


@given(st.lists(NUMBERS, min_size=1, max_size=60))
def test_a_band_holds_numpys_percentiles(values):
    band = Band.of(values)
    want = np.percentile(np.array(values, float), PERCENTILES)
    assert [band.low, band.mid, band.high] == want.tolist()


def test_a_band_leaves_out_what_is_unknown():
    assert Band.of([np.nan, 3.0, np.inf]) == Band(3.0, 3.0, 3.0)
    assert Band.of([np.nan]) == Band(None, None, None)


@given(
    arrays.arrays(
        np.float32,
        st.tuples(st.integers(1, 8), st.integers(1, 21)),
        elements=st.one_of(st.just(np.nan), st.floats(-50, 50, width=32)),
    )
)
def test_the_middle_member_is_numpys_median(values):
    got, want = middle_member(values), np.median(values, axis=1)
    np.testing.assert_array_equal(got, want)
    assert got.dtype == want.dtype
