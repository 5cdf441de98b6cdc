"""Sessions and throws given to another athlete, with all that is computed from them."""

from __future__ import annotations

from collections.abc import Collection

from django.db import transaction

from athletes.models import Athlete, ChangeLog, User
from athletes.undo import register_undo
from metrics.models import Scoring
from metrics.services.motion.measuring import measure_where_size_changed
from metrics.services.scoring import rescore, restate_later_sessions
from metrics.services.standing import rebuild_standing
from sessions.models import CaptureSession
from sessions.services.moving import move_session
from sessions.services.moving_throws import MOVED, MovedThrows, move_throws, move_throws_back


@transaction.atomic
def move_with_findings(*, capture: CaptureSession, to: Athlete, by: User) -> Athlete:
    """The session's throws are measured for the other's body, judged by the other's ranges; gives whose it was.

    Raises ValidationError as `move_session`.
    """
    restate_later_sessions(capture)
    before = move_session(capture=capture, to=to, by=by)
    forget_whose_facts([capture.pk])
    _judge_again(capture)
    rebuild_standing(before)
    return before


@transaction.atomic
def move_throws_with_findings(
    *, capture: CaptureSession, numbers: Collection[int], to: Athlete, by: User, read_at: int | None = None
) -> MovedThrows:
    """Both sessions are judged again. Raises as `move_throws`."""
    moved = move_throws(capture=capture, numbers=numbers, to=to, by=by, read_at=read_at)
    _judge_again(moved.source)
    _judge_again(moved.target)
    return moved


@transaction.atomic
def move_throws_back_with_findings(*, entry: ChangeLog, by: User) -> MovedThrows:
    """Undoes it. Raises as `move_throws_back`."""
    moved = move_throws_back(entry=entry, by=by)
    _judge_again(moved.source)
    if moved.made:
        restate_later_sessions(moved.target)
    else:
        _judge_again(moved.target)
    rebuild_standing(moved.target.athlete)
    return moved


def forget_whose_facts(session_ids: Collection[int]) -> None:
    """A session that changed hands was scored by the facts of somebody else, whose revision may be the higher one."""
    Scoring.objects.filter(session__in=session_ids).update(scored_facts_revision=0)


def _judge_again(capture: CaptureSession) -> None:
    measure_where_size_changed(capture)
    rescore(capture)
    restate_later_sessions(capture)
    rebuild_standing(capture.athlete)


def _undo_moved_throws(entry: ChangeLog, by: User) -> None:
    move_throws_back_with_findings(entry=entry, by=by)


register_undo(MOVED, _undo_moved_throws)
