"""Sets of causes with the fewest points, by depth-first search with bounds: exact. Plain arrays in, places out."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

ROUNDING = 1e-9


@dataclass
class Search:
    """``rows``: (causes, flags) points of each flag by each cause; ``opening``: (causes,) what having one costs.

    ``suffix``: (causes, flags) the least of a row and all that follow it. ``least``: the fewest points so far.
    """

    slack: float
    rows: np.ndarray
    opening: np.ndarray
    suffix: np.ndarray
    least: float = np.inf
    found: list[tuple[float, tuple[int, ...]]] = field(default_factory=list)

    def go(self, now: np.ndarray, paid: float, place: int, used: tuple[int, ...]) -> None:
        """Depth first over the causes in order, leaving out what cannot come within the slack."""
        points = paid + float(now.sum())
        self.least = min(self.least, points)
        self.found.append((points, used))
        if place == len(self.rows):
            return
        saved = np.maximum(now - self.rows[place:], 0.0).sum(axis=1)
        # one that saves no more than it costs never does so with more causes in use
        worth = place + np.flatnonzero(saved > self.opening[place:] - self.slack - 1e-12)
        for index in worth:
            lower = float(np.minimum(now, self.suffix[index]).sum())
            if paid + self.opening[index] + lower <= self.least + self.slack + ROUNDING:
                wider = np.minimum(now, self.rows[index])
                self.go(wider, paid + float(self.opening[index]), int(index) + 1, (*used, int(index)))


def sets_within(
    slack: float, start: np.ndarray, paid: float, rows: np.ndarray, opening: np.ndarray
) -> list[tuple[float, tuple[int, ...]]]:
    """Every set of causes that comes within ``slack`` points of the best, as (points, places of the rows).

    ``start``: (flags,) points of each flag without any of the causes; ``paid``: points that are spent already.
    """
    saved = np.maximum(start - rows, 0.0).sum(axis=1)
    worth = np.flatnonzero(saved > opening - slack - 1e-12)
    order = worth[np.argsort(-(saved - opening)[worth], kind="stable")]
    rows, opening = rows[order], opening[order]
    suffix = np.minimum.accumulate(rows[::-1], axis=0)[::-1]
    search = Search(slack, rows, opening, suffix)
    search.go(start, paid, 0, ())
    within = [one for one in search.found if one[0] <= search.least + slack + ROUNDING]
    return [(points, tuple(sorted(int(order[place]) for place in places))) for points, places in within]
