"""How often *more often better than without* is said of work that does nothing: a table of docs/responses.md.

Exact: every pair of counts of two groups with one true share, weighted by its binomial chance.

Rerun:  .venv/bin/python -m bench.null_claims
"""

from __future__ import annotations

from functools import cache

import numpy as np
from scipy.stats import binom

from plans.responding.shares import newcombe

GROUPS = ((5, 5), (5, 20), (10, 10), (10, 40), (20, 20), (40, 40))
TRUE_SHARES = (0.03, 0.1, 0.2, 0.35, 0.5, 0.7)


@cache
def claimed(total: int, other_total: int) -> np.ndarray:
    """Whether better would be claimed, shape (total + 1, other_total + 1) by counts of *better*."""
    return np.array(
        [
            [newcombe(count, total, other, other_total).low > 0.0 for other in range(other_total + 1)]
            for count in range(total + 1)
        ]
    )


def claim_chance(total: int, other_total: int, share: float, other_share: float) -> float:
    """Chance that better is claimed when the work's true share of better is `share` and without it `other_share`."""
    worked = binom.pmf(np.arange(total + 1), total, share)
    without = binom.pmf(np.arange(other_total + 1), other_total, other_share)
    return float(worked @ claimed(total, other_total) @ without)


def main() -> None:
    print("| true share of better | " + " | ".join(f"{one} and {other}" for one, other in GROUPS) + " |")
    print("|---" * (len(GROUPS) + 1) + "|")
    pairs = [(share, share) for share in TRUE_SHARES] + [(0.5, 0.03), (0.5, 0.1), (0.7, 0.1)]
    for share, other in pairs:
        name = f"{100 * share:.0f}%" + ("" if share == other else f" with, {100 * other:.0f}% without")
        found = [f"{100 * claim_chance(*group, share, other):.1f}%" for group in GROUPS]
        print(f"| {name} | " + " | ".join(found) + " |")


if __name__ == "__main__":
    main()
