"""Offsets of a spot from its own logger, weighed against the prior of its kind.

The minimum of night *n* at the spot, less that of the station, is

    y_n = w_n s + (1 - w_n) d + e_n,

with the regime weight *w*, the offset *s* of clear still and *d* of windy nights, and
night-to-night scatter *e*, larger on clear still nights. Nights of a week share a
departure of their own. Prior and nights are joined by their variances (normal prior and
generalized least squares, as in Gelman et al. 2013, Bayesian Data Analysis, ch. 14),
nights that stray far from the rest count less (Huber 1981, Robust Statistics), and
nights that follow each other tell less than as many apart.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.spot.air import as_from_station, noise_shape
from climrisk.spot.kinds import SpotKind
from climrisk.spot.learned import Evidence
from climrisk.spot.regimes import of_kind

Pair = tuple[float, float]

#: The prior of the night-to-night scatter counts as so many nights.
PRIOR_NOISE_NIGHTS = 5.0
#: How far the weeks of a record depart from its offsets, and weeks to come from what
#: was learned (deviation of six pairs of airports, tests/published/coverage.py).
WEEKS_K, _WEEK = 0.5, 7
#: What a good logger may be off as a whole (Coney et al. 2022, Meteorol. Appl.: home
#: stations good to 0.3 K after control). [K]
SENSOR_K = 0.3
#: Residuals beyond so many scatters count less (Huber 1981).
_HUBER = 2.0
_ROUNDS = 12
#: Nights that the correlation from night to night is shrunk by (our estimate), and
#: the most that is believed of it.
_CORRELATION_NIGHTS, _MOST_CORRELATION = 10.0, 0.8


@dataclass(frozen=True)
class CommonNights:
    """Nights known to both logger and station, one row a night.

    Parameters
    ----------
    evening : ndarray of int, shape (night,)
        Days since 1970-01-01, ascending.
    minimum_k : ndarray, shape (night,)
        Logger's minimum minus the station's. [K]
    weight, spread : ndarray, shape (night,)
        Regime weight and its standard deviation.
    """

    evening: NDArray[np.int64]
    minimum_k: Float
    weight: Float
    spread: Float

    def __len__(self) -> int:
        return len(self.evening)

    def only(self, rows: NDArray[np.bool_]) -> CommonNights:
        """Return some of the nights."""
        return CommonNights(
            self.evening[rows],
            self.minimum_k[rows],
            self.weight[rows],
            self.spread[rows],
        )

    @property
    def still(self) -> int:
        """Number of clear still nights."""
        return int(of_kind(self.weight, "still").sum())


@dataclass(frozen=True)
class FittedOffsets:
    """Both offsets after the nights were seen.

    Parameters
    ----------
    mean : ndarray, shape (2,)
        Still and windy offset. [K]
    covariance : ndarray, shape (2, 2)
        Without the sensor's own error and the departure of other weeks. [K2]
    noise_k : float
        Night-to-night scatter halfway between the regimes.
    inflation : float
        By how much following nights repeat each other.
    a, b : ndarray, shape (2, 2) and (2,)
        What the nights alone say: ``A x = b``.
    """

    mean: Float
    covariance: Float
    noise_k: float
    inflation: float
    a: Float
    b: Float

    @property
    def spread_k(self) -> tuple[float, float]:
        """Standard deviations of both offsets in weeks to come."""
        return _spread_k(self.covariance)

    def predicted(self, nights: CommonNights) -> Float:
        """Return the expected difference of each night's minima. [K]"""
        return np.asarray(_design(nights.weight) @ self.mean)


def prior_of(kind: SpotKind, in_winter: float) -> tuple[Pair, Pair]:
    """Return the prior of the still and the windy offset for the season of a record.

    Parameters
    ----------
    kind : SpotKind
        Of the open air or behind glass, its site worked in.
    in_winter : float
        1 for midwinter, 0 for high summer.

    Raises
    ------
    ValueError
        A kind without such offsets.
    """
    kind = as_from_station(kind)
    if kind.still_winter is None or kind.still_summer is None or kind.windy is None:
        msg = f"{kind.name} has no difference from a station to learn"
        raise ValueError(msg)
    mean, sd = (
        in_winter * w + (1 - in_winter) * s
        for w, s in zip(kind.still_winter, kind.still_summer, strict=True)
    )
    return (mean, sd), kind.windy


def fit(
    nights: CommonNights,
    still: Pair,
    windy: Pair,
    noise_k: Pair,
    *,
    before: tuple[Evidence, ...] = (),
) -> FittedOffsets:
    """Return both offsets, prior and nights weighed by their variances.

    Parameters
    ----------
    nights : CommonNights
        May be empty: then the prior stands.
    still, windy : (float, float)
        Prior mean and standard deviation. The two are taken apart: nights of one
        regime teach nothing of the other.
    noise_k : (float, float)
        Prior of the night-to-night scatter on clear still and on windy nights; their
        ratio is kept.
    before : tuple of Evidence
        What other nights said; no night may stand in both.
    """
    x, y = _design(nights.weight), np.asarray(nights.minimum_k, float)
    prior = np.array([still[0], windy[0]])
    precision = np.diag([still[1] ** -2, windy[1] ** -2])
    base_a, base_b = precision.copy(), precision @ prior
    for row in before:
        base_a += [[row.a_still, row.a_both], [row.a_both, row.a_windy]]
        base_b += [row.b_still, row.b_windy]
    shape, usual = noise_shape(nights.weight, noise_k), sum(noise_k) / 2
    noise, mean, inflation = usual, np.linalg.solve(base_a, base_b), 1.0
    a: Float = np.zeros((2, 2))
    b: Float = np.zeros(2)
    for _ in range(_ROUNDS if len(nights) else 0):
        residual = y - x @ mean
        # A regime told wrongly moves the night by its share of the difference.
        regime = (nights.spread * (mean[0] - mean[1])) ** 2
        variance = (noise * shape) ** 2 + regime
        away = np.abs(residual) / np.sqrt(variance)
        trust = np.minimum(1.0, _HUBER / np.maximum(away, 1e-9))
        inflation = _inflation(nights, trust * residual)
        week = (nights.evening - nights.evening[0]) // _WEEK
        a, b = _information(x, y, trust / variance / inflation, week)
        mean = np.linalg.solve(base_a + a, base_b + b)
        noise = _noise(trust, (y - x @ mean) / shape, regime / shape**2, usual)
    covariance = np.linalg.inv(base_a + a)
    return FittedOffsets(mean, covariance, noise, inflation, a, b)


def evidence(nights: CommonNights, found: FittedOffsets) -> Evidence:
    """Return what the nights alone said, for the home file."""
    first, last = (
        str(np.datetime64(int(nights.evening[i]), "D")) for i in (0, len(nights) - 1)
    )
    digits = 4
    return Evidence(
        first,
        last,
        len(nights),
        nights.still,
        round(float(found.a[0, 0]), digits),
        round(float(found.a[0, 1]), digits),
        round(float(found.a[1, 1]), digits),
        round(float(found.b[0]), digits),
        round(float(found.b[1]), digits),
    )


def apart_from(
    known: tuple[Evidence, ...], nights: CommonNights
) -> tuple[tuple[Evidence, ...], tuple[Evidence, ...]]:
    """Return earlier evidence of other nights, and that of the same, to be replaced."""
    first = str(np.datetime64(int(nights.evening[0]), "D"))
    last = str(np.datetime64(int(nights.evening[-1]), "D"))
    same = tuple(e for e in known if e.first <= last and e.last >= first)
    return tuple(e for e in known if e not in same), same


def with_more(
    found: FittedOffsets, weights: Float, spreads: Float, noise_k: Pair, *, nights: int
) -> tuple[float, float]:
    """Return the spread of both offsets after so many more nights of such regimes. [K]

    Parameters
    ----------
    found : FittedOffsets
    weights, spreads : ndarray, shape (night,)
        Regimes of the nights to come, from other years, one after the other.
    noise_k : (float, float)
        As in `fit`.
    nights : int
    """
    difference = float(found.mean[0] - found.mean[1])
    shape = noise_shape(weights, noise_k)
    variance = (found.noise_k * shape) ** 2 + (spreads * difference) ** 2
    # What all of them would say, each week with a departure of its own, and a share.
    week = np.arange(len(weights)) // _WEEK
    of_year, _ = _information(
        _design(weights), np.zeros(len(weights)), 1 / variance / found.inflation, week
    )
    share = nights / max(len(weights), 1)
    return _spread_k(np.linalg.inv(np.linalg.inv(found.covariance) + share * of_year))


def held_out(
    nights: CommonNights, still: Pair, windy: Pair, noise_k: Pair
) -> tuple[Float, Float] | None:
    """Return errors on weeks that were left out, before and after learning.

    Each block of nights in turn is left out, the offsets are learned from the others
    and the block's minima foretold.

    Returns
    -------
    (before, after) : ndarray, shape (night,), or None
        Foretold minus measured minimum, by the prior and by what was learned. [K]
        None with fewer than three blocks.
    """
    if len(nights) == 0:
        return None
    block = (nights.evening - nights.evening[0]) // _WEEK
    names = np.unique(block)
    if len(names) < 3:
        return None
    prior = np.array([still[0], windy[0]])
    before = _design(nights.weight) @ prior - nights.minimum_k
    after = np.empty(len(nights))
    for name in names:
        out = block == name
        learned = fit(nights.only(~out), still, windy, noise_k)
        after[out] = learned.predicted(nights.only(out)) - nights.minimum_k[out]
    return before, after


def _design(weight: Float) -> Float:
    weight = np.asarray(weight, float)
    return np.stack([weight, 1 - weight], axis=1)


def _spread_k(covariance: Float) -> tuple[float, float]:
    """Return it with the sensor's own error and the departure of other weeks."""
    still, windy = np.sqrt(np.diag(covariance) + SENSOR_K**2 + WEEKS_K**2)
    return float(still), float(windy)


def _information(
    x: Float, y: Float, scaled: Float, week: NDArray[np.int64]
) -> tuple[Float, Float]:
    """Return ``A`` and ``b`` of nights whose weeks have departures of their own.

    The inverse of a week's covariance ``D^-1 + v 1 1'`` is ``D - D 1 1' D v / (1 + v
    sum(D))`` (Sherman and Morrison 1950), with the precisions `scaled` as ``D``.
    """
    a, b = np.zeros((2, 2)), np.zeros(2)
    for name in np.unique(week):
        rows = week == name
        d, u, v = scaled[rows], x[rows], y[rows]
        common = WEEKS_K**2 / (1 + WEEKS_K**2 * d.sum())
        a += (u.T * d) @ u - common * np.outer(u.T @ d, u.T @ d)
        b += (u.T * d) @ v - common * (u.T @ d) * (d @ v)
    return a, b


def _noise(trust: Float, residual: Float, other: Float, usual: float) -> float:
    """Return the scatter of nights, the usual one weighing as a few nights. [K]"""
    # Clipped residuals are a little too small: 1.2 makes up for it at two scatters.
    own = np.maximum((np.sqrt(trust) * residual) ** 2 - other, 0.0)
    total = PRIOR_NOISE_NIGHTS * usual**2 + float(own.sum())
    return float(np.sqrt(total / (PRIOR_NOISE_NIGHTS + len(residual))))


def _inflation(nights: CommonNights, residual: Float) -> float:
    """Return how many following nights tell as much as one: (1 + r) / (1 - r)."""
    next_to = np.diff(nights.evening) == 1
    count = int(next_to.sum())
    if count < 2:
        return 1.0
    product = float((residual[1:] * residual[:-1])[next_to].sum())
    square = float((residual**2).mean()) * count
    if square <= 0:
        return 1.0
    r = product / square * count / (count + _CORRELATION_NIGHTS)
    r = min(max(r, 0.0), _MOST_CORRELATION)
    return (1 + r) / (1 - r)
