"""The individuals chart: is this session outside what the earlier ones let expect?

Source: Wheeler & Chambers, Understanding Statistical Process Control (XmR chart, 2.66 = 3/1.128; from memory); the
same limits stand in the NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from metrics.change.days import one_a_day, uncertainties
from metrics.change.values import Measurement, means_of

FEWEST_BEFORE = 6
"""Sessions before the point judged that make a baseline. House default."""
RANGE_FACTOR = 2.66
LEAST_U = 3.0
"""Limits are never closer than ± 3 u: a few like-minded sessions must not call an ordinary one outside."""


@dataclass(frozen=True, slots=True)
class ControlLimits:
    """Centre and limits in the metric's unit, from so many sessions before the point judged."""

    centre: float
    low: float
    high: float
    baseline: int


@dataclass(frozen=True, slots=True)
class Individual:
    """One session's point; `limits` None while fewer than six sessions lie before it: then it is not judged."""

    date: datetime.date
    value: float
    limits: ControlLimits | None

    @property
    def is_outside(self) -> bool:
        """Whether it was judged and lies beyond a limit; a point on the limit is not outside."""
        return self.limits is not None and not self.limits.low <= self.value <= self.limits.high


def control_limits(points: Sequence[Measurement]) -> ControlLimits | None:
    """The limits for the latest session, from those before it; None while fewer than six lie before it."""
    judged = individuals(points)
    return judged[-1].limits if judged else None


def individuals(points: Sequence[Measurement]) -> tuple[Individual, ...]:
    """Every session (day) in order of time, each judged by all sessions before it.

    Limits: mean ± 2.66 · mean moving range of the baseline, at least ± 3 u of the session judged. No run rule is used,
    at no number of points. A session far outside stays in the baseline of later ones and widens it.
    """
    days = one_a_day(points)
    values = means_of(days)
    count = np.arange(1, values.size)  # sessions before each but the first
    centre = np.cumsum(values)[:-1] / count
    ranges = np.cumsum(np.abs(np.diff(values)))
    least = [LEAST_U * u for u in _own_uncertainties(days)]
    judged: list[Individual] = []
    for place, one in enumerate(days):
        limits = None
        if place >= FEWEST_BEFORE:
            middle, mean_range = float(centre[place - 1]), float(ranges[place - 2] / (place - 1))
            reach = max(RANGE_FACTOR * mean_range, least[place])
            limits = ControlLimits(middle, middle - reach, middle + reach, place)
        judged.append(Individual(one.date, float(values[place]), limits))
    return tuple(judged)


def _own_uncertainties(days: Sequence[Measurement]) -> list[float]:
    """u of each session; 0 for all where no session's u_b is known, so that only the moving range speaks."""
    if all(one.u_between is None for one in days):
        return [0.0] * len(days)
    return [float(u) for u in uncertainties(days)]
