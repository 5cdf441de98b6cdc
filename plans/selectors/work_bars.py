"""Work as bars over the weeks, to stand above an athlete's trends: what ran when, and for which metric."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Min

from athletes.models import Athlete
from athletes.words import day_words
from metrics.services.standing import THROWING_METHODS
from plans.models import Prescription
from plans.selectors.end_words import end_words
from plans.selectors.work import LOOKING_AGAIN, with_open_follow_up
from sessions.models import CaptureSession

WIDTH = 1000
"""Units of the picture from its first day to its last."""
LEAST = 6
"""A work of one day is still to be seen."""


@dataclass(frozen=True, slots=True)
class WorkBar:
    """`left` and `width` in the picture's units; `due`: where its open follow-up lies, None where it has none."""

    name: str
    when: str
    answers: str
    left: int
    width: int
    due: int | None
    is_open: bool


@dataclass(frozen=True, slots=True)
class WorkBars:
    """`first`, `last`: the days at the picture's ends; `today`: where it lies."""

    bars: tuple[WorkBar, ...]
    first: dt.date
    last: dt.date
    today: int


def work_bars(athlete: Athlete, on: dt.date, *, metric: str = "") -> WorkBars | None:
    """What was given, the oldest first, or what of it answers one metric; None where there is nothing. Four queries."""
    rows = with_open_follow_up(Prescription.objects.filter(athlete=athlete)).prefetch_related("reasons")
    rows = rows.filter(reasons__metric=metric) if metric else rows
    found = list(rows.order_by("start", "id").distinct())
    if not found:
        return None
    first, last = _ends(athlete, found, on)
    days = max((last - first).days, 1)

    def at(day: dt.date) -> int:
        return round(WIDTH * (min(max(day, first), last) - first).days / days)

    return WorkBars(tuple(_bar(row, on, at) for row in found), first, last, at(on))


def _ends(athlete: Athlete, rows: Sequence[Prescription], on: dt.date) -> tuple[dt.date, dt.date]:
    """From the first throw that was measured, or the first work, to today or the last follow-up that is waited for."""
    thrown = CaptureSession.objects.filter(athlete=athlete, method__in=THROWING_METHODS)
    measured = thrown.aggregate(first=Min("date"))["first"]
    begins = [row.start for row in rows]
    first = min([measured, *begins] if measured else begins)
    return first, max([on, *begins, *_known(_due(row) for row in rows)])


def _bar(row: Prescription, on: dt.date, at: Callable[[dt.date], int]) -> WorkBar:
    until = f"to {day_words(row.ended_on, on)}" if row.ended_on else "runs" if row.start <= on else "begins then"
    left, right, due = at(row.start), at(row.ended_on or max(on, row.start)), _due(row)
    return WorkBar(
        name=row.version.name,
        when=f"{day_words(row.start, on)}, {until}",
        answers=", ".join(end_words((one.metric, one.direction)) for one in row.reasons.all()),
        left=left,
        width=max(right - left, LEAST),
        due=at(due) if due else None,
        is_open=row.ended_on is None,
    )


def _due(row: Prescription) -> dt.date | None:
    if row.ended_on is not None:
        return None
    return next((one.due for one in getattr(row, LOOKING_AGAIN)), None)


def _known(days: Iterable[dt.date | None]) -> list[dt.date]:
    return [day for day in days if day is not None]
