"""Sums for a small chart: each day with the 7 and 28 days up to it, weeks and months.

Sums only. No ratio of a short window to a long one is formed: the house's references hold no source for such a ratio in
pitching. That 7 and 28 days are looked at is common practice, no published source.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from plans.throwing_load.values import ONE_DAY, Day

SHORT_DAYS, LONG_DAYS = 7, 28


@dataclass(frozen=True, slots=True)
class Span:
    """Pitches from `first` to `last`, both included, by source.

    `unknown_days`: of which nobody said anything. `without_number`: counts that nobody knows the number of. With
    either, `total` is the least that it was.
    """

    first: datetime.date
    last: datetime.date
    entered: int
    session: int
    drill: int
    throwing_days: int
    unknown_days: int
    without_number: int

    @property
    def total(self) -> int:
        return self.entered + self.session + self.drill

    @property
    def is_whole(self) -> bool:
        """Whether every day was entered or counted, each with its number."""
        return self.unknown_days == self.without_number == 0


@dataclass(frozen=True, slots=True)
class Point:
    """One day of the chart, with the 7 and the 28 days that end with it."""

    day: Day
    short: Span
    long: Span


def span_of(days: Sequence[Day], first: datetime.date, last: datetime.date) -> Span:
    """The sums over `days` that lie from `first` to `last`; days of the span that are not among them are unknown."""
    inside = [day for day in days if first <= day.date <= last]
    return Span(
        first=first,
        last=last,
        entered=sum(day.entered for day in inside),
        session=sum(day.session for day in inside),
        drill=sum(day.drill for day in inside),
        throwing_days=sum(day.threw for day in inside),
        unknown_days=(last - first).days + 1 - sum(not day.is_unknown for day in inside),
        without_number=sum(day.without_number for day in inside),
    )


def rolling(days: Sequence[Day]) -> tuple[Point, ...]:
    """A point a day, in the order of `days`, which follow each other (`days_between`).

    Give 27 days more than are drawn: what a window needs from before the first day is unknown.
    """
    points = []
    for index, day in enumerate(days):
        window = days[max(0, index + 1 - LONG_DAYS) : index + 1]
        short, long = (
            span_of(window, day.date - (length - 1) * ONE_DAY, day.date) for length in (SHORT_DAYS, LONG_DAYS)
        )
        points.append(Point(day, short, long))
    return tuple(points)


def weeks(days: Sequence[Day]) -> tuple[Span, ...]:
    """Monday to Sunday. The first and the last reach only as far as the days given."""
    return _spans(days, [day.date.isocalendar()[:2] for day in days])


def months(days: Sequence[Day]) -> tuple[Span, ...]:
    """Calendar months. The first and the last reach only as far as the days given."""
    return _spans(days, [(day.date.year, day.date.month) for day in days])


def _spans(days: Sequence[Day], keys: Iterable[tuple[int, int]]) -> tuple[Span, ...]:
    spans = []
    for _, group in groupby(zip(keys, days, strict=True), key=lambda one: one[0]):
        part = [day for _, day in group]
        spans.append(span_of(part, part[0].date, part[-1].date))
    return tuple(spans)
