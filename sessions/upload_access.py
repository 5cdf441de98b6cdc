"""The loader of uploads: only coaching staff see them, since a file may name any athlete."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404, HttpRequest

from athletes.models import Athlete
from athletes.requests import account_of
from athletes.view_notes import note_view
from sessions.models import Upload
from sessions.selectors import athletes_in


def upload_or_404(request: HttpRequest, uuid: UUID, *, withdrawn: bool = False) -> Upload:
    """The upload; a stranger and a missing row get the same 404. `withdrawn` also finds one that was taken back."""
    rows = Upload.everything if withdrawn else Upload.objects
    upload = rows.visible_to(account_of(request)).select_related("original", "uploaded_by").filter(uuid=uuid).first()
    if upload is None:
        raise Http404
    return upload


def original_or_404(request: HttpRequest, uuid: UUID) -> Upload:
    """The upload whose whole file may be sent: to staff who may read of every athlete that sessions were made for."""
    upload = upload_or_404(request, uuid)
    athletes = list(athletes_in(upload))
    seen = Athlete.everything.readable_by(account_of(request)).filter(pk__in=[athlete.pk for athlete in athletes])
    if seen.count() != len(athletes):
        raise Http404
    for athlete in athletes:
        note_view(request, athlete, "original file")
    return upload
