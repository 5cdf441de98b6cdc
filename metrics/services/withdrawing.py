"""A session that was a mistake: withdrawn with all that stands on it, and brought back."""

from __future__ import annotations

from django.db import transaction

from athletes.models import User
from metrics.services.scoring import restate_later_sessions
from metrics.services.standing import rebuild_standing
from sessions.models import CaptureSession
from sessions.services.captures import restore_session, withdraw_session


@transaction.atomic
def withdraw_with_findings(*, capture: CaptureSession, by: User, reason: str = "") -> None:
    """The session goes from every page; the athlete's standing and the flags of later sessions follow."""
    withdraw_session(capture=capture, by=by, reason=reason)
    _follow(capture)


@transaction.atomic
def restore_with_findings(*, capture: CaptureSession, by: User) -> None:
    """Undoes withdrawing. Raises ValidationError when another session has taken its place."""
    restore_session(capture=capture, by=by)
    _follow(capture)


def _follow(capture: CaptureSession) -> None:
    restate_later_sessions(capture)
    rebuild_standing(capture.athlete)
