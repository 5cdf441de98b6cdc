"""Which athlete is measured on which day, by which method: nine months that end today."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from desk.demo.cast import Story

WEEKS = 39
SPREAD_DAYS = WEEKS * 7
# Capture days of the week (Monday 0); a session falls on the last such day before its turn.
ROOM_DAYS = {"motion_capture": (1, 3), "video": (5,), "hands_on": (1,)}


@dataclass(frozen=True, slots=True)
class Visit:
    """One session to come of a story: the athlete's place in the cast, and how far along the months it is."""

    number: int
    story: Story
    method: str
    date: dt.date
    progress: float
    ordinal: int


def visits_by_day(athletes: Iterable[Story], today: dt.date) -> Mapping[tuple[dt.date, str], list[Visit]]:
    """(day, method) → the visits of that day, in the order of the days."""
    days: defaultdict[tuple[dt.date, str], list[Visit]] = defaultdict(list)
    for number, story in enumerate(athletes, start=1):
        for visit in _visits(number, story, today):
            days[visit.date, visit.method].append(visit)
    return dict(sorted(days.items()))


def _visits(number: int, story: Story, today: dt.date) -> Iterable[Visit]:
    for method, count in story.sessions.items():
        last = today - dt.timedelta(days=max(story.unseen_weeks * 7, 1 + (number * 5) % 23))
        gap = min(35, (SPREAD_DAYS - 14) // max(count, 1))
        for ordinal in range(count):
            back = (count - 1 - ordinal) * gap
            date = _room_day(last - dt.timedelta(days=back), method)
            progress = ordinal / (count - 1) if count > 1 else 1.0
            yield Visit(number, story, method, date, progress, ordinal)


def _room_day(date: dt.date, method: str) -> dt.date:
    return next(day for back in range(7) if (day := date - dt.timedelta(days=back)).weekday() in ROOM_DAYS[method])
