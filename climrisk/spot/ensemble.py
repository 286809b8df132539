"""Members of a spread: each is drawn once for all winters."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float

#: A number of all members alike, or one of each, shape (1, case).
Share = float | NDArray[np.floating]

#: Quantities that differ between members, each with its own stratified draw.
QUANTITIES = (
    "still",
    "windy",
    "day",
    "evening",
    "wind",
    "cloud",
    "dew",
    "room",
    "regime",
    "gust",
    "screen",
    "pane",
    "lapse",
    "fluctuation",
    "open",
    "facing",
    "eaves",
    "horizon",
    "walls",
)


#: Correlation of a spot's offset on windy nights with that on clear still ones: of six
#: pairs of airports (tests/published/coverage.py).
WINDY_WITH_STILL = 0.92


@dataclass(frozen=True)
class Ensemble:
    """Standard scores of every member for every uncertain quantity.

    Parameters
    ----------
    scores : dict of str to ndarray, shape (1, case)
        Standard normal scores, stratified: with m members they are the centers of m
        equally likely slices. ``still`` ascends with the member, so that member 0 is
        the coldest member on clear still nights; the others are shuffled, and ``windy``
        follows ``still`` by `WINDY_WITH_STILL`.
    seed : int
        Of the night-to-night noise.
    """

    scores: dict[str, Float]
    seed: int

    @property
    def count(self) -> int:
        """Number of members."""
        return int(self.scores["still"].shape[1])

    def value(self, name: str, pair: tuple[float, float]) -> Float:
        """Return mean + score * sd of a quantity for every member, shape (1, case)."""
        return pair[0] + self.scores[name] * pair[1]

    def noise(self, nights: int, *, of: int = 0) -> NDArray[np.float32]:
        """Return independent standard normal night noise, shape (night, case).

        The middle member alone has none. Another `of` gives another noise.
        """
        if self.count == 1:
            return np.zeros((nights, 1), np.float32)
        rng = np.random.default_rng(self.seed + of)
        return rng.standard_normal((nights, self.count), dtype=np.float32)


@lru_cache(maxsize=8)
def ensemble(count: int, seed: int = 20) -> Ensemble:
    """Return `count` members; one member is the middle member without noise."""
    normal = NormalDist()
    steps = np.array([normal.inv_cdf((i + 0.5) / count) for i in range(count)])
    rng = np.random.default_rng(seed)
    scores = {
        name: (steps if name == "still" else rng.permutation(steps)).reshape(1, -1)
        for name in QUANTITIES
    }
    own = np.sqrt(1 - WINDY_WITH_STILL**2)
    scores["windy"] = WINDY_WITH_STILL * scores["still"] + own * scores["windy"]
    return Ensemble(scores, seed)
