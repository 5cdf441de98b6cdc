"""The coach's day: what came last, what is still coming, what needs an answer."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from athletes.models import User
from desk.selectors.needs import NeedsYou, needs_you
from desk.selectors.now import watched_by
from desk.selectors.sessions import SessionLine, session_lines
from sessions.models import CaptureSession, Upload

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
    watched = watched_by(user)
    sessions = CaptureSession.objects.visible_to(user).filter(athlete__in=watched, date__lte=today)[:RECENT]
    lines = session_lines(sessions, today)
    return Today(
        date=today,
        needs=needs_you(user, watched, today),
        measured_today=tuple(line for line in lines if line.date == today),
        recent=tuple(line for line in lines if line.date != today),
        coming=files_coming(user),
    )


def files_coming(user: User) -> int:
    """Uploads that the worker has not finished."""
    return Upload.objects.visible_to(user).filter(state__in=Upload.WORKING).count()
