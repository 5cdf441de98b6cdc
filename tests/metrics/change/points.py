"""Measurements for the tests of change, made up: one knee angle, target 90 to 110, flag below 85 and above 115."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from metrics.change.values import Measurement
from metrics.judging.values import Limits

FIRST = datetime.date(2026, 1, 5)
LIMITS = Limits(90.0, 110.0, 85.0, 115.0)


def point(mean: float, day: int = 0, **changed) -> Measurement:
    """One session; five throws, s0 4, u_b 1.5 unless something else is said."""
    given = {"n": 5, "sd": 4.0, "prior_sd": 4.0, "u_between": 1.5, "limits": LIMITS} | changed
    return Measurement(date=FIRST + datetime.timedelta(days=day), mean=mean, **given)


def series(means: Sequence[float], days: Sequence[int] | None = None, **changed) -> list[Measurement]:
    """Sessions a fortnight apart, or on the days given."""
    return [point(mean, 14 * i if days is None else days[i], **changed) for i, mean in enumerate(means)]
