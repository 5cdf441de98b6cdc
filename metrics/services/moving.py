"""A session given to another athlete, with all that is computed from it."""

from __future__ import annotations

from django.db import transaction

from athletes.models import Athlete, User
from metrics.services.motion.measuring import measure_where_size_changed
from metrics.services.scoring import rescore, restate_later_sessions
from metrics.services.standing import rebuild_standing
from sessions.models import CaptureSession
from sessions.services.moving import move_session


@transaction.atomic
def move_with_findings(*, capture: CaptureSession, to: Athlete, by: User) -> Athlete:
    """The session's throws are measured for the other's body, judged by the other's ranges; gives whose it was.

    Raises ValidationError as `move_session`.
    """
    restate_later_sessions(capture)
    before = move_session(capture=capture, to=to, by=by)
    measure_where_size_changed(capture)
    rescore(capture)
    restate_later_sessions(capture)
    rebuild_standing(before)
    return before
