"""*Really changing?* in one word, and whether the athlete moved or the range did."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from scipy.special import stdtrit

from metrics.change.days import one_a_day, uncertainties
from metrics.change.pair import Change, change_between
from metrics.change.values import LEVEL, Measurement, Word, direction_of
from metrics.change.weeks import FEWEST, Course, course_of_days
from metrics.judging.values import Limits

LIMIT_NAMES = ("flag_low", "target_low", "target_high", "flag_high")
SHIFT_THAT_COUNTS = 0.1
"""Of the last session's u: a limit that moved less is called the same. House default; it is far below what a reading
can tell, and keeps two millimetres of growth from being announced."""


class Moved(StrEnum):
    """Who moved, as pages print it."""

    ATHLETE = "the athlete moved"
    RANGE = "the range moved"
    BOTH = "both moved"
    NEITHER = "neither moved"


@dataclass(frozen=True, slots=True)
class Answer:
    """The page's one word, and the numbers behind it.

    `course` carries it from five sessions on, before that `change`, the first session against the last. With five to
    ten sessions whose u_b is known both are there and share the 5% (`really_changing`); `change.is_real` alone then
    says too much. `more_needed`: sessions until a course can be told, 0 when it can.
    """

    word: Word
    more_needed: int
    change: Change | None
    course: Course | None

    @property
    def by(self) -> Course | Change | None:
        """What carries the word: the course where real, else the pair where that is; None when nothing is real."""
        if self.course is not None and self.course.is_real:
            return self.course
        return self.change if self.change is not None and self.change.p <= LEVEL - self._spent else None

    @property
    def is_real(self) -> bool:
        """Whether something changed, beyond what measuring does by itself."""
        return self.by is not None

    @property
    def direction(self) -> str:
        """The word rising or falling when real, also where no target makes it better or worse; else empty."""
        return "" if self.by is None else direction_of(self.by.difference, True)

    @property
    def p(self) -> float:
        """One p for `many`: that of the one test, or of both by Bonferroni's weights; NaN where nothing was tested.

        A line that contradicts its own order has shown nothing: 1.0.
        """
        spent = self._spent / LEVEL
        parts = []
        if self.course is not None and spent > 0.0:
            contradicts = self.course.p <= LEVEL and not self.course.is_real
            parts.append(1.0 if contradicts else self.course.p / spent)
        if self.change is not None and spent < 1.0:
            parts.append(self.change.p / (1.0 - spent))
        return min(1.0, *parts) if parts and not any(map(math.isnan, parts)) else math.nan

    @property
    def detectable(self) -> float:
        """The smallest difference of first and last session that counts as real here; NaN where they are not compared.

        With five to ten sessions it is more than `change.detectable`, since the course has its part of the 5%.
        """
        if self.change is None:
            return math.nan
        return float(stdtrit(self.change.nu, 1.0 - (LEVEL - self._spent) / 2.0)) * self.change.u

    @property
    def _spent(self) -> float:
        """The part of the level that is the course's."""
        if self.course is None:
            return 0.0
        return self.course.spent if self.change is not None else LEVEL


def really_changing(points: Iterable[Measurement]) -> Answer:
    """The answer for one metric's comparable measurements in any order.

    Two to four sessions (days): the first against the last; when that is not real, the word is *can't tell yet*, for
    so few cannot show that nothing changes. One or none: *can't tell yet*. Two to four whose u_b is not known: *cannot
    be judged*, though with `more_needed` further sessions it can.

    From five on: the course. The exact test of order cannot use its whole 5% with few sessions (1.7% with five); up to
    ten, what it leaves is the first against the last session's, so that an athlete called better with four is not
    lost with the fifth. Together they call at most 5% of the unchanged changed. Without u_b: the course alone.
    """
    days = one_a_day(points)
    missing = FEWEST - len(days)
    if len(days) < 2:
        return Answer(Word.CANT_TELL, missing, None, None)
    change = change_between(days[0], days[-1])
    if missing > 0:
        word = Word.CANT_TELL if change.word is Word.NO_REAL_CHANGE else change.word
        return Answer(word, missing, change, None)
    course = course_of_days(days)
    shared = course.spent < LEVEL and math.isfinite(change.p)
    answer = Answer(course.word, 0, change if shared else None, course)
    return answer if answer.by is not change else replace(answer, word=change.word)


def who_moved(points: Iterable[Measurement], answer: Answer | None = None) -> Moved:
    """Whether the athlete moved (the answer is real), the range (first against last date), both or neither.

    `answer`: that of the same points, when it is at hand. *Neither* under a word that cannot tell only means that
    nothing was shown.
    """
    days = one_a_day(points)
    athlete = (answer or really_changing(days)).is_real
    moved = len(days) > 1 and range_moved(days)
    if athlete:
        return Moved.BOTH if moved else Moved.ATHLETE
    return Moved.RANGE if moved else Moved.NEITHER


def range_moved(days: Sequence[Measurement]) -> bool:
    """Whether a limit of the last date lies elsewhere than on the first, by more than a tenth of the last u.

    Where no u_b is known, by more than rounding. A side that opens or closes has moved.
    """
    first, last = (_limits(one.limits) for one in (days[0], days[-1]))
    same_kind = np.isfinite(first) == np.isfinite(last)
    closed = np.isfinite(first) & np.isfinite(last)
    shift = np.abs(last[closed] - first[closed])
    least = 1e-9 * max(1.0, float(np.max(np.abs(first[closed]), initial=0.0)))
    if days[-1].u_between is not None:
        least = max(least, SHIFT_THAT_COUNTS * float(uncertainties(days[-1:])[0]))
    return bool(not same_kind.all() or np.any(shift > least))


def _limits(limits: Limits | None) -> np.ndarray:
    return np.array([getattr(limits or Limits(), name) for name in LIMIT_NAMES], dtype=float)
