"""How far a share of few athletes can be trusted, and the difference of two such shares."""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.special import ndtri

CONFIDENCE = 0.95
"""Common practice, no published source for pitching."""


@dataclass(frozen=True, slots=True)
class Interval:
    """An estimate with the ends of its interval; a share lies in 0..1, a difference of shares in -1..1."""

    estimate: float
    low: float
    high: float


def wilson(count: int, total: int, confidence: float = CONFIDENCE) -> Interval:
    """Score interval of a share, without continuity correction.

    `(p + z²/2n ± z·√(p(1-p)/n + z²/4n²)) / (1 + z²/n)` (Wilson 1927, J Am Stat Assoc 22:209; method 3 of Newcombe 1998,
    Stat Med 17:857). Raises ValueError unless 0 ≤ count ≤ total and total ≥ 1.
    """
    if not 0 <= count <= total or total < 1:
        raise ValueError(f"expected 0 ≤ count ≤ total and total ≥ 1, got {count} of {total}")
    z2 = _quantile(confidence) ** 2
    p = count / total
    scale = 1.0 + z2 / total
    centre = (p + z2 / (2.0 * total)) / scale
    half = math.sqrt(z2 * (p * (1.0 - p) / total + z2 / (4.0 * total**2))) / scale
    # The ends are exact where nobody or everybody counts; rounding would leave 1e-17 there.
    return Interval(p, 0.0 if count == 0 else centre - half, 1.0 if count == total else centre + half)


def newcombe(count: int, total: int, other: int, other_total: int, confidence: float = CONFIDENCE) -> Interval:
    """Interval of the difference of two independent shares, first minus other, from their Wilson intervals.

    `d - √((p1-l1)² + (u2-p2)²)` to `d + √((u1-p1)² + (p2-l2)²)` (method 10 of Newcombe 1998, Stat Med 17:873). The two
    groups must hold different athletes. Raises ValueError as `wilson`.
    """
    first, second = wilson(count, total, confidence), wilson(other, other_total, confidence)
    difference = first.estimate - second.estimate
    below = math.hypot(first.estimate - first.low, second.high - second.estimate)
    above = math.hypot(first.high - first.estimate, second.estimate - second.low)
    return Interval(difference, max(difference - below, -1.0), min(difference + above, 1.0))


def _quantile(confidence: float) -> float:
    """z of a two-sided interval. Raises ValueError for a confidence outside 0..1."""
    if not 0.0 < confidence < 1.0:
        raise ValueError(f"expected a confidence between 0 and 1, got {confidence}")
    return float(ndtri(0.5 + confidence / 2.0))
