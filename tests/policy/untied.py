"""Loaders that ask nobody: what a mutation puts in place of a real one. Nothing but the mutation run uses them."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest

from athletes.access import LoadedAthlete
from athletes.models import Athlete, TrainingGroup
from athletes.view_notes import note_view
from metrics.models import ScreenEntry
from sessions.access import LoadedSession
from sessions.models import CaptureSession, Upload


def _found(rows: Any, uuid: UUID) -> Any:
    row = rows.filter(uuid=uuid).first()
    if row is None:
        raise Http404
    return row


def athlete_or_404(request: HttpRequest, uuid: UUID, *, what: str, **more: Any) -> LoadedAthlete:
    athlete = _found(Athlete.everything, uuid)
    note_view(request, athlete, what)
    return LoadedAthlete(athlete, True)


def athlete_to_screen(request: HttpRequest, uuid: UUID, *, what: str = "screens") -> Athlete:
    return athlete_or_404(request, uuid, what=what).athlete


def athlete_to_print_or_404(request: HttpRequest, uuid: UUID, *, what: str, **more: Any) -> Athlete:
    return athlete_or_404(request, uuid, what=what).athlete


def athlete_being_typed(request: HttpRequest, uuid: UUID) -> Athlete:
    return _found(Athlete.everything, uuid)


def session_or_404(request: HttpRequest, uuid: UUID, *, what: str, **more: Any) -> LoadedSession:
    capture = _found(CaptureSession.everything, uuid)
    note_view(request, capture.athlete, what)
    return LoadedSession(capture, True)


def session_to_change(request: HttpRequest, uuid: UUID, *, what: str) -> CaptureSession:
    return session_or_404(request, uuid, what=what).capture


def withdrawn_session_or_404(request: HttpRequest, uuid: UUID) -> CaptureSession:
    return session_or_404(request, uuid, what="withdrawn session").capture


def session_on_watch(request: HttpRequest, uuid: UUID) -> CaptureSession:
    return _found(CaptureSession.everything, uuid)


def upload_or_404(request: HttpRequest, uuid: UUID, **more: Any) -> Upload:
    return _found(Upload.everything, uuid)


def original_or_404(request: HttpRequest, uuid: UUID) -> Upload:
    return _found(Upload.everything, uuid)


def entry_or_404(request: HttpRequest, uuid: UUID, **more: Any) -> ScreenEntry:
    entry = _found(ScreenEntry.objects, uuid)
    note_view(request, entry.session.athlete, "screens saved")
    return entry


def group_or_404(request: HttpRequest, uuid: UUID) -> TrainingGroup:
    return _found(TrainingGroup.objects, uuid)
