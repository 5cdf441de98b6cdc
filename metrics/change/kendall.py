"""The Mann-Kendall test: do later values tend to lie above (or below) earlier ones, more than shuffling would give?

Sources: Mann 1945, Econometrica 13:245; Kendall, Rank Correlation Methods, 1975 (variance with ties, continuity).
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from scipy.special import ndtr

from metrics.judging.values import FloatArray

EXACT_UP_TO = 10
"""Values up to which every order is counted; above, the normal approximation is within 0.01, near 5% within 0.003."""


def trend_chance(score: float, values: FloatArray) -> float:
    """p, two-sided, of the score S = later values above minus later values below, over all pairs of `values`.

    Exact up to 10 values, ties among them included; above that the normal approximation with Kendall's variance for
    ties and the continuity correction. 1.0 when all values are the same.
    """
    ties = ties_of(values)
    if len(ties) <= 1:
        return 1.0
    return _exact(abs(round(score)), ties) if values.size <= EXACT_UP_TO else _normal(score, ties)


def level_spent(values: FloatArray, level: float) -> float:
    """How much of a level the test can use on these values: the greatest p of theirs that does not exceed it.

    Few values have few orders: of 5% five can use 1.7%, eight 3.1%, ten 4.7%. Above ten the whole level; 0.0 when no
    order reaches it.
    """
    if values.size > EXACT_UP_TO:
        return level
    return _reachable(ties_of(values), level)


def ties_of(values: FloatArray) -> tuple[int, ...]:
    """How often each different value occurs, in rising order: (1, 1, 2) for 5, 7, 7, 9."""
    return tuple(sorted(int(count) for count in np.unique(values, return_counts=True)[1]))


def score_variance(ties: tuple[int, ...]) -> float:
    """Variance of S when every order is as likely; `ties` holds how often each different value occurs."""
    n = sum(ties)
    return (n * (n - 1) * (2 * n + 5) - sum(t * (t - 1) * (2 * t + 5) for t in ties)) / 18.0


def _normal(score: float, ties: tuple[int, ...]) -> float:
    beyond = max(abs(score) - 1.0, 0.0) / math.sqrt(score_variance(ties))
    return float(min(1.0, 2.0 * ndtr(-beyond)))


def _exact(score: int, ties: tuple[int, ...]) -> float:
    counts = _orders(ties)
    scores = np.arange(counts.size - 1, -counts.size, -2)  # S = pairs that differ - 2·inversions
    return float(counts[np.abs(scores) >= score].sum() / counts.sum())


@lru_cache(maxsize=1024)
def _reachable(ties: tuple[int, ...], level: float) -> float:
    every = (_exact(score, ties) for score in range(_orders(ties).size))
    return max((p for p in every if p <= level), default=0.0)


@lru_cache(maxsize=1024)
def _orders(ties: tuple[int, ...]) -> FloatArray:
    """How many orders of the values have 0, 1, 2 … inversions; the counts are whole numbers below 2⁵³.

    The generating function of inversions of a multiset is the Gaussian multinomial coefficient, [n]! / Π [t]! with
    [m]! = Π (1 + q + … + q^(k-1)), k = 1 … m (MacMahon 1915; from memory, held against counting in the tests).
    """
    counts = _factorial(sum(ties))
    for tie in ties:
        counts = np.rint(np.polydiv(counts, _factorial(tie))[0])
    return counts


def _factorial(m: int) -> FloatArray:
    product = np.ones(1)
    for k in range(1, m + 1):
        product = np.convolve(product, np.ones(k))
    return product
