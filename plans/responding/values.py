"""What travels between the parts of this package and out of it."""

from __future__ import annotations

import datetime
from collections.abc import Hashable
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from metrics.change.pair import Change
from metrics.change.values import Measurement


class ResponseWord(StrEnum):
    """What a re-measurement says of a prescription, as pages print it."""

    BETTER = "better"
    NO_REAL_CHANGE = "no real change"
    WORSE = "worse"
    CANT_TELL = "can’t tell"
    NOT_COMPARABLE = "not comparable"


class Reason(StrEnum):
    """Why it is this word and no other, as a sentence for the page; empty where the numbers say it all."""

    NONE = ""
    NOT_YET = "Nothing was measured on or after the follow-up date yet."
    OTHER_WAY = (
        "Measured by another method or under other conditions, or this metric was not seen. The follow-up stays due."
    )
    NO_BASELINE = (
        "No session lies between the flag and the start, and there is no range to estimate a baseline from. "
        "Next time, measure once more before the work starts."
    )
    ERROR_NOT_KNOWN = "How far two sessions differ by measuring alone is not known for this metric."
    NO_TARGET = "It changed, but there is no target range that would make it better or worse."
    CLOSE = "It looks changed, but not by more than a value brings along that was picked for being far out."
    ONLY_FROM_ESTIMATE = "Farther out than the estimated baseline, but not farther than the flag itself was."
    INSIDE = "Moved, but inside the target range before and after."
    CROSSED = "Passed through the target range to its other side."


class Flag(NamedTuple):
    """What a prescription answers: a metric and the side on which it lies out, low or high."""

    metric: str
    side: str


class Source(NamedTuple):
    """Mean and SD of the people whom the rule's source measured, in the metric's unit, after body size."""

    mean: float
    sd: float


@dataclass(frozen=True, slots=True)
class Seen:
    """One metric in one of the athlete's sessions. `key` is the caller's, for finding the session again.

    `comparable`: with the session of the flag: same method, conditions, moment, filter, definition.
    `is_flag`: this session too was flagged on the side of the flag.
    """

    key: Hashable
    point: Measurement
    comparable: bool = True
    is_flag: bool = False


@dataclass(frozen=True, slots=True)
class Term:
    """The days of a prescription. `written`: when somebody decided on it; after `start` when entered late."""

    written: datetime.date
    start: datetime.date
    follow_up: datetime.date

    def __post_init__(self) -> None:
        """Raise ValueError for a follow-up that is not after the start."""
        if not self.start < self.follow_up:
            raise ValueError(f"expected the follow-up after the start, got {self.follow_up} and {self.start}")


@dataclass(frozen=True, slots=True)
class Baseline:
    """From where a change counts.

    `point`: the measurement, its mean shrunk when `estimated`. `kept`: the share r of its variance that is left after
    shrinking, 1 when measured. `own_mean`: the mean as it was measured. `spread_from`: "source" or "range" when
    estimated. `keys`: the sessions that it rests on.
    """

    point: Measurement
    keys: tuple[Hashable, ...]
    own_mean: float
    kept: float = 1.0
    spread_from: str = ""

    @property
    def estimated(self) -> bool:
        """Pages mark it *baseline estimated*."""
        return self.spread_from != ""


@dataclass(frozen=True, slots=True)
class FindingResponse:
    """The response of one finding. `word` is None while nothing has been measured.

    `change`: baseline to `measured`, None where one of them is missing; `level`: the p at or below which it counts.
    """

    flag: Flag
    word: ResponseWord | None
    reason: Reason
    baseline: Baseline | None = None
    measured: Measurement | None = None
    measured_keys: tuple[Hashable, ...] = ()
    change: Change | None = None
    level: float | None = None

    @property
    def stays_due(self) -> bool:
        """Whether the follow-up still needs its measurement."""
        return self.word in (None, ResponseWord.NOT_COMPARABLE)
