"""The coach's day: what came last, what is still coming, what needs an answer."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.db.models import Count, QuerySet

from athletes.models import User
from athletes.worded import worded_once
from desk.selectors.needs import NeedsYou, needs_you
from desk.selectors.sessions import SessionLine, newest_lines
from desk.selectors.watched import read_watched
from sessions.models import Upload

RECENT = 10


@dataclass(frozen=True, slots=True)
class Today:
    """`measured_today` and `recent` are RECENT sessions together; `coming` counts files not yet taken in."""

    date: dt.date
    needs: NeedsYou
    measured_today: tuple[SessionLine, ...]
    recent: tuple[SessionLine, ...]
    coming: int

    @property
    def has_sessions(self) -> bool:
        return bool(self.measured_today or self.recent)


def todays_work(user: User, today: dt.date) -> Today:
    watched = read_watched(user, today)
    lines = newest_lines(user, today, RECENT, own=watched.has_own)
    return Today(
        date=today,
        needs=needs_you(watched),
        measured_today=tuple(line for line in lines if line.date == today),
        recent=tuple(line for line in lines if line.date != today),
        coming=files_coming(user),
    )


def files_coming(user: User) -> int:
    """Uploads that the worker has not finished."""
    return sum(count for _, count in _coming(user))


@worded_once
def _coming(user: User) -> QuerySet:
    working = Upload.objects.visible_to(user).filter(state__in=Upload.WORKING)
    return working.order_by().values_list("state").annotate(Count("pk"))
