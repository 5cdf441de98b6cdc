"""*Really changing?* of 70 metrics at once, against the plain arithmetic on the same arrays.

The floor: for each metric the slopes of all pairs of sessions, sorted, their weighted median and the number of rising
pairs. That is what no line through all pairs can do without; interval, test, words and who moved come on top.
"""

from __future__ import annotations

import datetime

import numpy as np

from bench.ratios import Ratio, compare
from metrics.change.answer import really_changing, who_moved
from metrics.change.values import Measurement
from metrics.judging.values import Limits

METRICS = 70
FIRST = datetime.date(2023, 1, 2)
LIMITS = Limits(90.0, 110.0, 85.0, 115.0)


def measure() -> list[Ratio]:
    return [answers(150, goal=5.0)]


def answers(sessions: int, goal: float) -> Ratio:
    """So many sessions a week apart."""
    values = np.random.default_rng(3).normal(95.0, 3.0, (METRICS, sessions))
    points = [
        [
            Measurement(FIRST + datetime.timedelta(weeks=week), float(mean), 5, 4.0, 4.0, 1.5, LIMITS)
            for week, mean in enumerate(row)
        ]
        for row in values
    ]
    day = 7.0 * np.arange(sessions)

    def floor() -> None:
        first, second = np.triu_indices(sessions, 1)
        gap = day[second] - day[first]
        for row in values:
            slope = (row[second] - row[first]) / gap
            order = np.argsort(slope)
            reached = np.cumsum(gap[order] ** 2)
            slope[order][np.searchsorted(reached, 0.5 * reached[-1])]
            np.sum(slope > 0)

    def work() -> None:
        for one in points:
            who_moved(one, really_changing(one))

    return compare(f"really changing? {METRICS} metrics of {sessions} sessions", floor=floor, work=work, goal=goal)
