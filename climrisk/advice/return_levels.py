"""The coldest night once in N winters, by L-moments.

The coldest nights of winters, with their sign turned, are block maxima. Their
distribution is fitted by L-moments (Hosking 1990, J. R. Stat. Soc. B 52:105), which few
winters unsettle less than likelihood: a Gumbel distribution, or the generalized extreme
value distribution where its shape differs from zero by the test of Hosking, Wallis &
Wood 1985 (Technometrics 27:251).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import gamma, log, sqrt
from typing import Literal

import numpy as np

from climrisk.advice.cold_nights import ColdNights
from climrisk.core.arrays import Float
from climrisk.core.ranges import Band
from climrisk.exposure.nights import Nights

#: From so many winters on a tail is fitted (our choice; fewer give it no shape).
LEAST_WINTERS = 15
#: No longer than this many times the record (common practice, no source).
MOST_RECORDS = 2
RETURNS = (5, 10, 20, 30, 50, 100)
EULER = 0.5772156649015329
_DRAWS, _SEED = 400, 1990
#: Two-sided 5 % point of the standard normal distribution.
_Z = 1.959964


@dataclass(frozen=True)
class FittedExtremes:
    """A fitted distribution of maxima, for one or many samples at once.

    Parameters
    ----------
    location, scale, shape : ndarray
        The shape is Hosking's k: positive has an upper end, zero is Gumbel.
    """

    location: Float
    scale: Float
    shape: Float

    def quantile(self, probability: float) -> Float:
        """Return the value that is not exceeded with a probability."""
        y = -log(-log(probability))
        k = np.where(np.abs(self.shape) < 1e-9, 1.0, self.shape)
        bent = (1 - np.exp(-k * y)) / k
        straight = np.full_like(bent, y)
        factor = np.where(np.abs(self.shape) < 1e-9, straight, bent)
        return np.asarray(self.location + self.scale * factor)


@dataclass(frozen=True)
class Tail:
    """Coldest nights by how rarely a winter has one as cold.

    Parameters
    ----------
    distribution : str
    once_in : dict of int to Band
        Winters to the night's lowest; low is the colder. [°C]
    winters : int
    why : str
        Why there is none, or what it was made from.
    """

    distribution: Literal["gumbel", "generalized extreme value", "none"]
    once_in: dict[int, Band]
    winters: int
    why: str


def l_moments(x: Float) -> tuple[Float, Float, Float]:
    """Return the unbiased sample L-moments l1, l2 and ratio t3 along the last axis.

    Hosking & Wallis 1997, Regional Frequency Analysis, equations 2.56 to 2.60.
    """
    ordered = np.sort(x, axis=-1)
    n = ordered.shape[-1]
    j = np.arange(n, dtype=float)
    b0 = ordered.mean(axis=-1)
    b1 = (ordered * j).sum(axis=-1) / (n * (n - 1))
    b2 = (ordered * j * (j - 1)).sum(axis=-1) / (n * (n - 1) * (n - 2))
    l2 = 2 * b1 - b0
    l3 = 6 * b2 - 6 * b1 + b0
    return b0, l2, l3 / np.where(l2 > 0, l2, np.nan)


def fit(x: Float, *, gumbel: bool) -> FittedExtremes:
    """Fit by L-moments along the last axis.

    The shape by Hosking, Wallis & Wood 1985, equation 14, good to 0.0009.
    """
    l1, l2, t3 = l_moments(x)
    if gumbel:
        scale = l2 / log(2)
        return FittedExtremes(l1 - EULER * scale, scale, np.zeros_like(l1))
    c = 2 / (3 + t3) - log(2) / log(3)
    k = 7.8590 * c + 2.9554 * c**2
    near = np.abs(k) < 1e-6
    k = np.where(near, 1e-6, k)
    at = np.vectorize(gamma)(1 + k)
    scale = l2 * k / ((1 - 2.0**-k) * at)
    return FittedExtremes(l1 - scale * (1 - at) / k, scale, k)


def shape_score(shape: float, n: int) -> float:
    """Return the score of a shape against zero, standard normal where it is zero."""
    return shape * sqrt(n / 0.5633)


def coldest_of_winters(nights: Nights, cold: ColdNights) -> Float:
    """Return the lowest night of each winter that counts, shape (winter, member)."""
    rows = [
        np.nanmin(nights.lowest_c[nights.growing_year == y], axis=0)
        for y in cold.winters
    ]
    return np.array(rows, dtype=float).reshape(len(rows), cold.members)


def tail(coldest: Float) -> Tail:
    """Return the coldest night once in N winters, with the band of a bootstrap.

    The bootstrap draws samples of the fitted distribution and measures the error of
    each in units of its own l2, which for a Gumbel distribution does not depend on the
    unknown parameters (a percentile bootstrap held the truth in 68 of 100 trials where
    it said 80).

    Parameters
    ----------
    coldest : ndarray, shape (winter, member)
        Each winter's lowest. [°C]
    """
    n = len(coldest)
    if n < LEAST_WINTERS:
        why = f"{n} winters are too few to tell a tail from, {LEAST_WINTERS} are needed"
        return Tail("none", {}, n, why)
    by_member = -coldest.T
    if (by_member.max(axis=1) - by_member.min(axis=1) <= 0).any():
        return Tail("none", {}, n, "all winters are alike")
    shape = float(np.median(fit(by_member, gumbel=False).shape))
    gumbel = abs(shape_score(shape, n)) < _Z
    middle = fit(by_member, gumbel=gumbel)
    l2 = l_moments(by_member)[1]
    levels = {}
    for years in RETURNS:
        if years > MOST_RECORDS * n:
            continue
        level = middle.quantile(1 - 1 / years)
        errors = _errors(n, 0.0 if gumbel else shape, 1 - 1 / years)
        drawn = -(level[:, None] - l2[:, None] * errors)
        median = -float(np.median(level))
        low, high = np.percentile(drawn, (10, 90))
        levels[years] = Band(min(float(low), median), median, max(float(high), median))
    name: Literal["gumbel", "generalized extreme value"] = (
        "gumbel" if gumbel else "generalized extreme value"
    )
    return Tail(name, levels, n, f"from the coldest nights of {n} winters")


def _errors(n: int, shape: float, probability: float) -> Float:
    """Return errors of a fitted quantile in units of the sample's l2."""
    standard = FittedExtremes(np.array(0.0), np.array(1.0), np.array(shape))
    uniform = np.random.default_rng(_SEED).uniform(size=(_DRAWS, n))
    y = -np.log(-np.log(uniform))
    x = y if shape == 0 else (1 - np.exp(-shape * y)) / shape
    estimated = fit(x, gumbel=shape == 0).quantile(probability)
    return np.asarray((estimated - standard.quantile(probability)) / l_moments(x)[1])
