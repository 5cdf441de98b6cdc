"""What an intervention did for a flag across the roster, beside the same flag's course without work."""

from __future__ import annotations

import datetime
from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import median_low

from plans.responding.response import Answered, as_if_unflagged, respond_finding
from plans.responding.shares import CONFIDENCE, Interval, newcombe, wilson
from plans.responding.values import FindingResponse, Flag, ResponseWord, Term

FEWEST_ATHLETES = 5
"""Under so many athletes a column is hidden: it would tell of persons, not of work. House default."""
AS_MANY_WEEKS = 1.5
"""A course without work is put beside work that took between 1/1.5 and 1.5 times as many days. House default."""
COUNTED = (ResponseWord.BETTER, ResponseWord.NO_REAL_CHANGE, ResponseWord.WORSE, ResponseWord.CANT_TELL)
"""*Not comparable* is no response yet; *can’t tell* is one, and leaving it out would flatter work of small effect."""


class Claim(StrEnum):
    """What may be said of an intervention for a flag."""

    BETTER = "more often better than without"
    WORSE = "less often better than without"
    NOT_SHOWN = "no difference shown"
    TOO_FEW = "too few athletes to compare"


@dataclass(frozen=True, slots=True)
class Outcome:
    """One response of one athlete. `intervention` is None for a flag's course without a prescription.

    `days_until_start`: from the flag to the start of the work; `days`: from there to the measurement.
    """

    athlete: Hashable
    flag: Flag
    intervention: Hashable | None
    word: ResponseWord
    start: datetime.date
    days_until_start: int
    days: int


@dataclass(frozen=True, slots=True)
class Tally:
    """One column of a cell: athletes by word, each with its share and Wilson's interval. Hidden under five athletes.

    `total` and everything else is 0 or empty when hidden: a small number is not told either.
    """

    total: int
    counts: dict[ResponseWord, int]
    shares: dict[ResponseWord, Interval]

    @property
    def hidden(self) -> bool:
        """Too few athletes to show."""
        return self.total == 0


@dataclass(frozen=True, slots=True)
class Cell:
    """An intervention for a flag. `difference`: share of *better* with work minus without, None unless both show."""

    intervention: Hashable
    flag: Flag
    with_work: Tally
    without_work: Tally
    difference: Interval | None
    claim: Claim


@dataclass(frozen=True, slots=True)
class Table:
    """All cells, by flag and intervention as they came; `false_claims_expected`: *better* said by chance alone."""

    cells: tuple[Cell, ...]
    false_claims_expected: float


def works_here(outcomes: Iterable[Outcome]) -> Table:
    """The table of interventions × flags.

    One response an athlete and cell: the first, since a later one was given because of it. Beside it the courses
    without work of *other* athletes (Newcombe's interval needs two groups that share nobody), one an athlete, nearest
    to the days that the work usually took. *Better* is claimed only when the interval of the difference lies above 0.
    """
    counted = [one for one in outcomes if one.word in COUNTED]
    groups: defaultdict[tuple[Flag, Hashable], list[Outcome]] = defaultdict(list)
    for one in counted:
        if one.intervention is not None:
            groups[one.flag, one.intervention].append(one)
    cells = tuple(
        _cell(flag, intervention, group, [one for one in counted if one.intervention is None and one.flag == flag])
        for (flag, intervention), group in groups.items()
    )
    compared = sum(cell.difference is not None for cell in cells)
    return Table(cells, compared * (1.0 - CONFIDENCE) / 2.0)


def usual_days(outcomes: Sequence[Outcome]) -> tuple[int, int]:
    """Days from flag to start and from start to measurement that work usually took: medians of those given.

    Raises ValueError without an outcome.
    """
    if not outcomes:
        raise ValueError("expected at least one outcome")
    return median_low(one.days_until_start for one in outcomes), median_low(one.days for one in outcomes)


def course_without_work(answered: Answered, days_until_start: int, days: int) -> FindingResponse:
    """A flag that got no prescription, judged by the same rules, as if work had started and been followed up.

    A session after the flag may be its baseline even when flagged again: nobody decided anything because of it.
    """
    start = answered.raised_by.point.date + datetime.timedelta(days=days_until_start)
    term = Term(answered.raised_by.point.date, start, start + datetime.timedelta(days=max(days, 1)))
    sessions = as_if_unflagged(answered.sessions)
    return respond_finding(Answered(answered.flag, answered.raised_by, sessions, answered.source), term)


def _cell(flag: Flag, intervention: Hashable, group: list[Outcome], without: list[Outcome]) -> Cell:
    first: dict[Hashable, Outcome] = {}
    for one in sorted(group, key=lambda one: one.start):
        first.setdefault(one.athlete, one)
    usual = usual_days(list(first.values()))[1]
    beside: dict[Hashable, Outcome] = {}
    for one in sorted(without, key=lambda one: (abs(one.days - usual), one.start)):
        if one.athlete not in first and usual / AS_MANY_WEEKS <= one.days <= usual * AS_MANY_WEEKS:
            beside.setdefault(one.athlete, one)
    worked, course = _tally(list(first.values())), _tally(list(beside.values()))
    difference = None
    if not worked.hidden and not course.hidden:
        better = ResponseWord.BETTER
        difference = newcombe(worked.counts[better], worked.total, course.counts[better], course.total)
    return Cell(intervention, flag, worked, course, difference, _claim(difference))


def _tally(outcomes: list[Outcome]) -> Tally:
    total = len(outcomes)
    if total < FEWEST_ATHLETES:
        return Tally(0, {}, {})
    counter = Counter(one.word for one in outcomes)
    counts = {word: counter[word] for word in COUNTED}
    return Tally(total, counts, {word: wilson(count, total) for word, count in counts.items()})


def _claim(difference: Interval | None) -> Claim:
    if difference is None:
        return Claim.TOO_FEW
    if difference.low > 0.0:
        return Claim.BETTER
    return Claim.WORSE if difference.high < 0.0 else Claim.NOT_SHOWN
