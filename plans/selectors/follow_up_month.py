"""A month of open follow-ups: weeks of days, each with who is due."""

from __future__ import annotations

import calendar
import datetime as dt
from collections import defaultdict
from dataclasses import dataclass, field
from uuid import UUID

from athletes.models import User
from plans.selectors.follow_up_list import FollowUpChoice, chosen_follow_ups

NAMED_A_DAY = 6
"""As many as a square holds; the others are counted, with a way to the list of that day. House opinion."""
FIRST_MONTH, LAST_MONTH = dt.date(2000, 1, 1), dt.date(2999, 12, 1)


@dataclass(frozen=True, slots=True)
class DueThen:
    uuid: UUID
    athlete: str
    work: str


@dataclass(frozen=True, slots=True)
class Day:
    """A square. `others`: how many are due besides those named; `is_outside`: of the month before or after."""

    date: dt.date
    due: tuple[DueThen, ...] = ()
    others: int = 0
    is_outside: bool = False
    is_today: bool = False
    is_past: bool = False

    @property
    def count(self) -> int:
        return len(self.due) + self.others


@dataclass(frozen=True, slots=True)
class Month:
    first: dt.date
    weeks: tuple[tuple[Day, ...], ...]
    before: dt.date | None
    after: dt.date | None
    weekdays: tuple[str, ...] = field(default=tuple(calendar.day_name))

    @property
    def count(self) -> int:
        return sum(day.count for week in self.weeks for day in week if not day.is_outside)


def month_from(text: str, today: dt.date) -> dt.date:
    """The first day of "2026-05"; of this month for anything else."""
    try:
        first = dt.datetime.strptime(text, "%Y-%m").date()
    except ValueError:
        return today.replace(day=1)
    return first if FIRST_MONTH <= first <= LAST_MONTH else today.replace(day=1)


def month_of(user: User, choice: FollowUpChoice, first: dt.date, today: dt.date) -> Month:
    """One query. `first`: of the month."""
    dates = calendar.Calendar().monthdatescalendar(first.year, first.month)
    due = _due_between(user, choice, dates[0][0], dates[-1][-1], today)
    weeks = tuple(tuple(_day(date, due[date], first, today) for date in week) for week in dates)
    return Month(first, weeks, _moved(first, -1), _moved(first, 1))


def _due_between(
    user: User, choice: FollowUpChoice, start: dt.date, end: dt.date, today: dt.date
) -> defaultdict[dt.date, list[DueThen]]:
    rows = chosen_follow_ups(user, choice, today).filter(due__gte=start, due__lte=end)
    named = rows.order_by("due", "prescription__athlete__family_name", "prescription__athlete__given_name", "pk")
    found: defaultdict[dt.date, list[DueThen]] = defaultdict(list)
    for one in named.select_related("prescription__athlete", "prescription__version"):
        work = one.prescription.version.name
        found[one.due].append(DueThen(one.uuid, one.prescription.athlete.name, work))
    return found


def _day(date: dt.date, due: list[DueThen], first: dt.date, today: dt.date) -> Day:
    return Day(
        date=date,
        due=tuple(due[:NAMED_A_DAY]),
        others=max(0, len(due) - NAMED_A_DAY),
        is_outside=date.month != first.month,
        is_today=date == today,
        is_past=date < today,
    )


def _moved(first: dt.date, months: int) -> dt.date | None:
    number = first.year * 12 + first.month - 1 + months
    moved = dt.date(number // 12, number % 12 + 1, 1)
    return moved if FIRST_MONTH <= moved <= LAST_MONTH else None
