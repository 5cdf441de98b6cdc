"""Many metrics at once: which changes are left when so many were looked at, and how many chance alone would give."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from metrics.change.values import LEVEL
from metrics.judging.values import BoolArray

RATE = 0.10
"""Share of the changes named that may be false. Here, unlike for flags, the null is exactly zero."""


def benjamini_hochberg(p_values: npt.ArrayLike, rate: float = RATE) -> BoolArray:
    """Which of the tests stand, at most `rate` of them false on average. Shape as given, (tests,).

    The largest k with p_(k) ≤ k·rate/m, and all smaller ones (Benjamini & Hochberg 1995, J R Stat Soc B 57:289). A
    NaN was not tested: it never stands and is not counted in m. Raises ValueError for a rate outside 0..1.
    """
    if not 0.0 < rate < 1.0:
        raise ValueError(f"rate is a share: expected a number between 0 and 1, got {rate}")
    p = np.asarray(p_values, dtype=float)
    tested = np.isfinite(p)
    in_order = np.sort(p[tested])
    passing = np.flatnonzero(in_order <= rate * np.arange(1, in_order.size + 1) / max(in_order.size, 1))
    return tested & (p <= in_order[passing[-1]]) if passing.size else np.zeros(p.shape, dtype=bool)


def expected_by_chance(p_values: npt.ArrayLike, level: float = LEVEL) -> float:
    """How many of the tests would be called real if nothing had changed at all: at most `level` times those tested.

    At most, for the exact test of few sessions cannot spend the whole level (1.7% at five). NaN is not counted.
    """
    return level * int(np.isfinite(np.asarray(p_values, dtype=float)).sum())
