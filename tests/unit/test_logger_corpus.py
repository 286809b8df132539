"""Logger files of many shapes: read right, or refused with the right question."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from climrisk.core.errors import InputError
from climrisk.weather.files import read_weather
from climrisk.weather.series import Place
from tests.logger_shapes import SHAPES, ZONE, truth

HERE = Place("here", 45.8, 15.9, 120.0, ZONE)
TRUTH = truth()


def test_the_corpus_is_large():
    assert len({s.name for s in SHAPES}) == len(SHAPES) >= 70
    assert sum(bool(s.asks) for s in SHAPES) >= 10


@pytest.mark.parametrize("shape", SHAPES, ids=lambda s: s.name)
def test_shape_is_read_right_or_asked_about(tmp_path, shape):
    path = tmp_path / "log.txt"
    want = shape.write(path, TRUTH.copy())
    before = path.read_bytes()
    if shape.asks:
        with pytest.raises(InputError) as caught:
            read_weather(path, place=HERE, **shape.options)
        assert shape.asks[2:].replace("-", "_") in caught.value.line()
    else:
        weather = read_weather(path, place=HERE, **shape.options)
        got = pd.Series(
            weather.air_temp_c[:, 0], index=pd.DatetimeIndex(weather.time, tz="UTC")
        )
        assert got.notna().sum() == want.notna().sum()
        # Two decimals of Fahrenheit are half a hundredth of a degree.
        assert np.allclose(got.reindex(want.index), want, atol=0.006, equal_nan=True)
    assert path.read_bytes() == before
