"""A course over weeks: five or more comparable sessions, one line, one test."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from metrics.change.days import Series, one_a_day, series_of
from metrics.change.kendall import level_spent, ties_of, trend_chance
from metrics.change.slopes import pair_slopes, slope_interval, weighted_median
from metrics.change.values import LEVEL, Measurement, Word, direction_of, word_of_step

FEWEST = 5
"""With four sessions even a perfect order has p = 2/24: it can never reach 5%."""


@dataclass(frozen=True, slots=True)
class Course:
    """The line through the sessions; slopes in the metric's unit per day, `low` and `high` its 95% interval.

    `starts_at`, `ends_at`: the line on `from_date` and `to_date`. `p`: Mann-Kendall, two-sided; it alone says whether
    the course is real, and `spent` is how much of the 5% so few sessions let it use. `sessions` counts days. With too
    few of them `more_needed` says how many are missing, and every number is NaN.
    """

    slope_per_day: float
    low: float
    high: float
    p: float
    sessions: int
    more_needed: int
    is_real: bool
    word: Word
    from_date: datetime.date | None = None
    to_date: datetime.date | None = None
    starts_at: float = math.nan
    ends_at: float = math.nan
    spent: float = 0.0

    @property
    def difference(self) -> float:
        """What the line rises from its first to its last day."""
        return self.ends_at - self.starts_at

    @property
    def direction(self) -> str:
        """The word rising or falling when real, else empty."""
        return direction_of(self.slope_per_day, self.is_real)


def course_of(points: Sequence[Measurement]) -> Course:
    """The course of comparable measurements, in any order; the sessions of one day count as one.

    Slope: weighted median of the slopes of all pairs. Interval: Sen's below 8 sessions, by bootstrap over sessions
    to 24, Sen's again above. Real: Mann-Kendall p ≤ 0.05, exact up to 10, and the line goes the way of most pairs. It
    needs no u_b: the sessions' own scatter stands for it. Word: the line's ends against the range of the last date;
    real without a target is *cannot be judged*. Over 200 days neighbours are put together in 200 blocks
    (`days.in_blocks`) before anything is computed.
    """
    return course_of_days(one_a_day(points))


def course_of_days(days: Sequence[Measurement]) -> Course:
    """`course_of` for what `one_a_day` gave."""
    missing = FEWEST - len(days)
    if missing > 0:
        return Course(math.nan, math.nan, math.nan, math.nan, len(days), missing, False, Word.CANT_TELL)
    series = series_of(days)
    pairs = pair_slopes(series)
    slope = weighted_median(pairs.slope, pairs.weight)
    low, high = slope_interval(pairs, slope, series.day.size, ties_of(series.mean))
    p = trend_chance(pairs.score, series.mean)
    is_real = p <= LEVEL and slope * pairs.score > 0.0
    start, end = _ends(series, slope)
    spent = level_spent(series.mean, LEVEL)
    word = word_of_step(start, end, days[-1].limits) if is_real else Word.NO_REAL_CHANGE
    dates = days[0].date, days[-1].date
    return Course(slope, low, high, p, len(days), 0, is_real, word, *dates, start, end, spent)


def _ends(series: Series, slope: float) -> tuple[float, float]:
    """The line's values on the first and the last day: through the weighted median of what the slope leaves."""
    left = series.mean - slope * series.day
    order = np.argsort(left)
    start = weighted_median(left[order], series.weight[order])
    return start, start + slope * float(series.day[-1])
