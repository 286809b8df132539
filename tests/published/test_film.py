"""The polynomials of the films against the correlations they stand for."""

from __future__ import annotations

import numpy as np
import pytest

from climrisk.physics.convection import top_film_w_m2k, wall_film_w_m2k
from climrisk.pot.film import STRONGEST_WIND_M_S, film_terms


@pytest.mark.parametrize("diameter", [0.04, 0.08, 0.12, 0.25, 0.5])
@pytest.mark.parametrize("kind", [np.float64, np.float32])
def test_within_two_per_cent_of_the_correlations(diameter, kind):
    # The correlations themselves are good to 20 to 30 % (Cengel & Ghajar, ch. 7).
    height = 0.9 * diameter
    wind = np.linspace(0, STRONGEST_WIND_M_S, 500)
    root = np.sqrt(wind).astype(kind)
    exact = (wall_film_w_m2k(wind, diameter, height), top_film_w_m2k(wind, diameter))
    for terms, film in zip(film_terms(diameter, height), exact, strict=True):
        got = np.zeros_like(root)
        for term in terms[::-1].astype(kind):
            got = got * root + term
        assert np.abs(got / film - 1).max() < 0.02
        # More wind never cools less.
        assert (np.diff(got[::5]) > 0).all()
