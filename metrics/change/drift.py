"""Within one session: does the last third of the throws differ from the first third?"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import stdtrit

from metrics.change.values import LEVEL
from metrics.judging.findings import effective_degrees

FEWEST_THROWS = 15
"""Under that a third is fewer than five throws. House default."""


@dataclass(frozen=True, slots=True)
class Drift:
    """Means of the first and the last third, `throws` in each, last minus first with its 95% interval."""

    first: float
    last: float
    throws: int
    difference: float
    low: float
    high: float

    @property
    def is_real(self) -> bool:
        """Whether the interval leaves zero out."""
        return self.low > 0.0 or self.high < 0.0


def drift_within(numbers: npt.ArrayLike, values: npt.ArrayLike) -> Drift | None:
    """First against last third in order of the throws' numbers; None below 15 throws that were read.

    numbers, values: shape (throws,), in any order; a value that is not finite was not read. A third is the whole part
    of a third of the throws, the rest lies in the middle. Interval: Welch's t (Welch 1947, Biometrika 34:28). Raises
    ValueError when the shapes differ.
    """
    order, x = np.asarray(numbers, dtype=float), np.asarray(values, dtype=float)
    if order.shape != x.shape or order.ndim != 1:
        raise ValueError(f"expected two arrays of one shape (throws,), got {order.shape} and {x.shape}")
    read = np.isfinite(x) & np.isfinite(order)
    if read.sum() < FEWEST_THROWS:
        return None
    in_order = x[read][np.argsort(order[read], kind="stable")]
    third = in_order.size // 3
    first, last = in_order[:third], in_order[-third:]
    difference = float(last.mean() - first.mean())
    parts = [float(side.std(ddof=1)) / math.sqrt(third) for side in (first, last)]
    u = math.hypot(*parts)
    nu = float(effective_degrees(u, parts, [third - 1.0] * 2)) if u > 0 else math.inf
    reach = float(stdtrit(nu, 1.0 - LEVEL / 2.0)) * u
    return Drift(float(first.mean()), float(last.mean()), third, difference, difference - reach, difference + reach)
