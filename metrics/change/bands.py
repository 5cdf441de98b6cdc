"""Two bundles of curves: where do they differ, point by point?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import ndtri, stdtrit

from metrics.change.values import LEVEL
from metrics.judging.findings import effective_degrees
from metrics.judging.values import FloatArray

FEWEST_CURVES = 3
DRAWS = 1000
SEED = 20_261_126
"""The same throws give the same band at every look; the number has no meaning."""


@dataclass(frozen=True, slots=True)
class DifferenceBand:
    """Mean of b minus mean of a, and its pointwise 95% band; arrays of shape (points,), NaN where fewer than three
    curves of a side were seen."""

    mean: FloatArray
    low: FloatArray
    high: FloatArray


def difference_band(
    curves_a: npt.ArrayLike, curves_b: npt.ArrayLike, *, draws: int = DRAWS, seed: int = SEED
) -> DifferenceBand | None:
    """The band of the difference b - a by bootstrap over throws; None with fewer than three throws on a side.

    curves: shape (throws, points), both on the same points; NaN was not seen. Each draw takes the throws of either side
    with replacement. A plain percentile band of a few throws is too narrow, so its distances from the mean are widened
    by √(n/(n-1)) on each side, and by t over normal with Welch's degrees at each point (the idea of Hesterberg's
    expanded percentiles, 2015, Am Stat 69:371, from memory). Pointwise: of 100 points of two equal bundles about five
    lie outside by chance, and neighbours together. Raises ValueError when the points differ.
    """
    a, b = (np.asarray(curves, dtype=float) for curves in (curves_a, curves_b))
    if a.ndim != 2 or b.ndim != 2 or a.shape[1] != b.shape[1]:
        raise ValueError(f"expected (throws, points) on the same points, got {a.shape} and {b.shape}")
    if min(a.shape[0], b.shape[0]) < FEWEST_CURVES:
        return None
    chance = np.random.default_rng(seed)
    moved = _moves(b, draws, chance) - _moves(a, draws, chance)
    (mean_a, seen_a), (mean_b, seen_b) = _mean(a), _mean(b)
    enough = np.minimum(seen_a, seen_b) >= FEWEST_CURVES
    widened = stdtrit(_degrees(a, b), 1.0 - LEVEL / 2.0) / ndtri(1.0 - LEVEL / 2.0)
    low, high = np.quantile(moved, [LEVEL / 2.0, 1.0 - LEVEL / 2.0], axis=0) * widened
    mean = np.where(enough, mean_b - mean_a, np.nan)
    return DifferenceBand(mean, mean + low, mean + high)


def _mean(curves: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Mean of what was seen, and how many curves were, per point; 0 where none was."""
    seen = np.isfinite(curves)
    count = seen.sum(axis=0).astype(float)
    return np.where(seen, curves, 0.0).sum(axis=0) / np.maximum(count, 1.0), count


def _degrees(a: FloatArray, b: FloatArray) -> FloatArray:
    """Welch's degrees of freedom of the difference of two means, per point; 1.0 where nothing varies."""
    parts, degrees = [], []
    for curves in (a, b):
        mean, count = _mean(curves)
        own = np.maximum(count - 1.0, 1.0)
        squares = np.where(np.isfinite(curves), curves - mean, 0.0) ** 2
        parts.append(np.sqrt(squares.sum(axis=0) / own / np.maximum(count, 1.0)))
        degrees.append(own)
    nu = effective_degrees(np.hypot(*parts), parts, degrees)
    return np.where(np.isfinite(nu), np.maximum(nu, 1.0), 1.0)


def _moves(curves: FloatArray, draws: int, chance: np.random.Generator) -> FloatArray:
    """How far each draw's mean lies from the mean, widened by √(n/(n-1)); shape (draws, points)."""
    throws = curves.shape[0]
    times = chance.multinomial(throws, np.full(throws, 1.0 / throws), size=draws).astype(float)
    mean, count = _mean(curves)
    seen = np.isfinite(curves)
    off = np.where(seen, curves - mean, 0.0)
    drawn = times @ seen.astype(float)
    return (times @ off) / np.maximum(drawn, 1.0) * np.sqrt(count / np.maximum(count - 1.0, 1.0))
