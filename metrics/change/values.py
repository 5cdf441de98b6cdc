"""What travels between the parts of this package and out of it: a measurement, a word, the step to the word."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from metrics.judging.values import FloatArray, Limits

LEVEL = 0.05
"""How often a change may be called real where there is none. Common practice, no published source for pitching."""


class Word(StrEnum):
    """The answer to *really changing?*, as pages print it."""

    BETTER = "better"
    WORSE = "worse"
    CROSSED = "crossed"
    MOVED_INSIDE = "moved inside range"
    NO_REAL_CHANGE = "no real change"
    CANT_TELL = "can’t tell yet"
    CANNOT_BE_JUDGED = "cannot be judged"


@dataclass(frozen=True, slots=True)
class Measurement:
    """One metric of one session, in the metric's own unit.

    `sd` is the throws' sample SD, None with one throw; `prior_sd` the catalogue's typical SD (s0); `u_between` the
    session-to-session uncertainty (u_b), None when none is known. `limits`: the range as it applied to this athlete
    on this date, None where there was none.
    """

    date: datetime.date
    mean: float
    n: int
    sd: float | None
    prior_sd: float
    u_between: float | None
    limits: Limits | None


def was_seen(point: Measurement) -> bool:
    """Whether there is a number at all: a finite mean of one throw or more."""
    return point.n >= 1 and math.isfinite(point.mean)


def known(number: float | None) -> float:
    """The number, NaN for None."""
    return math.nan if number is None else float(number)


def throw_squares(point: Measurement) -> tuple[float, float]:
    """Sum of squares of the throws around their mean, and its degrees; (0, 0) when the throws' SD is not known."""
    sd = known(point.sd)
    return ((point.n - 1) * sd**2, point.n - 1.0) if point.n > 1 and math.isfinite(sd) else (0.0, 0.0)


def distance_to(limits: Limits, value: float) -> float:
    """Signed distance to the target: negative below it, 0 inside, positive above it."""
    if value < limits.target_low:
        return float(value - limits.target_low)
    return float(max(value - limits.target_high, 0.0))


def has_target(limits: Limits | None) -> bool:
    """Whether at least one side of the target is closed."""
    return limits is not None and bool(np.isfinite(limits.target_low) or np.isfinite(limits.target_high))


def word_of_step(then: float, now: float, limits: Limits | None) -> Word:
    """The word of a real step from one value to another, both held against the range of the later date.

    Without a target nothing is better or worse: *cannot be judged*.
    """
    if limits is None or not has_target(limits):
        return Word.CANNOT_BE_JUDGED
    before, after = distance_to(limits, then), distance_to(limits, now)
    if before == after == 0.0:
        return Word.MOVED_INSIDE
    if before * after < 0.0:
        return Word.CROSSED
    return Word.BETTER if abs(after) < abs(before) else Word.WORSE


def direction_of(difference: float, is_real: bool) -> str:
    """The word rising or falling for a real change, else empty."""
    if not is_real:
        return ""
    return "rising" if difference > 0 else "falling"


def means_of(points: Sequence[Measurement]) -> FloatArray:
    """The means, shape (sessions,)."""
    return np.array([one.mean for one in points], dtype=float)
