"""The loader of sessions: a stranger and a missing row get the same 404; every look is noted once."""

from __future__ import annotations

from typing import NamedTuple
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.db.models import Prefetch
from django.http import Http404, HttpRequest

from athletes.models import PainReport
from athletes.policy import Action, role_may
from athletes.requests import account_of
from athletes.turning import is_turned
from athletes.view_notes import note_view
from sessions.models import CaptureSession
from sessions.models.captures import CaptureSessionQuerySet


class LoadedSession(NamedTuple):
    capture: CaptureSession
    may_change: bool


def session_or_404(request: HttpRequest, uuid: UUID, *, what: str, related: tuple[str, ...] = ()) -> LoadedSession:
    """The session with its athlete's facts, and whether the person may change it. `what` names the page.

    `related` is loaded in the same query, by the names of select_related.
    """
    capture = _with_facts(CaptureSession.objects.visible_to(account_of(request)), related).filter(uuid=uuid).first()
    if capture is None:
        raise Http404
    note_view(request, capture.athlete, what)
    may_change = role_may(account_of(request), Action.CHANGE) and not is_turned(request)
    return LoadedSession(capture, may_change)


def session_on_watch(request: HttpRequest, uuid: UUID) -> CaptureSession:
    """The session for a fragment that its page asks for again every few seconds and that shows nothing measured.

    Not noted: opening the page was the look, and a line each time would bury the looks of people in the log.
    """
    capture = CaptureSession.objects.visible_to(account_of(request)).filter(uuid=uuid).first()
    if capture is None:
        raise Http404
    return capture


def session_to_change(request: HttpRequest, uuid: UUID, *, what: str) -> CaptureSession:
    """The session for somebody who may change it; 403 for a reader who may not."""
    capture, may_change = session_or_404(request, uuid, what=what, related=("scoring",))
    if not may_change:
        raise PermissionDenied
    return capture


def withdrawn_session_or_404(request: HttpRequest, uuid: UUID) -> CaptureSession:
    """A withdrawn session, for somebody who may bring it back."""
    found = CaptureSession.everything.visible_to(account_of(request)).filter(uuid=uuid).exclude(withdrawn_at=None)
    capture = found.select_related("athlete").first()
    if capture is None:
        raise Http404
    note_view(request, capture.athlete, "withdrawn session")
    if not role_may(account_of(request), Action.CHANGE):
        raise PermissionDenied
    return capture


def _with_facts(sessions: CaptureSessionQuerySet, related: tuple[str, ...]) -> CaptureSessionQuerySet:
    """What header and ranges ask of the athlete, in four queries."""
    open_pain = Prefetch("athlete__pain_reports", PainReport.objects.open(), to_attr="known_open_pain")
    return sessions.select_related("athlete__responsible_coach", *related).prefetch_related(
        "athlete__levels", "athlete__body_sizes", "athlete__availabilities", open_pain
    )
