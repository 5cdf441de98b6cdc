"""The loader of work that somebody ticks: a stranger, a missing row and work that is not shown get the same 404."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404, HttpRequest

from athletes.policy import Action, require
from athletes.requests import account_of
from athletes.view_notes import note_view
from plans.models import Prescription


def work_to_tick(request: HttpRequest, uuid: UUID) -> Prescription:
    """Also work that has ended or was taken away, so that a tick that comes late gets words.

    403 for somebody who sees the work and ticks none.
    """
    reader = account_of(request)
    seen = Prescription.everything.visible_to(reader).filter(uuid=uuid, athlete__withdrawn_at=None)
    row = seen.select_related("athlete", "version").first()
    if row is None:
        raise Http404
    require(reader, Action.TICK_WORK)
    note_view(request, row.athlete, "today’s work")
    return row
