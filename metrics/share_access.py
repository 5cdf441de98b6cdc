"""The loader of shares: a stranger and a missing row get the same 404; every look is noted once."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404, HttpRequest

from athletes.models import Athlete
from athletes.policy import Action, require
from athletes.requests import account_of
from athletes.view_notes import note_view
from metrics.models import Share


def share_or_404(request: HttpRequest, uuid: UUID) -> Share:
    """A share that stands. 403 for somebody tied to the athlete who reads no shares; 404 while consent is withdrawn."""
    reader = account_of(request)
    tied = Share.objects.filter(uuid=uuid, athlete__in=Athlete.objects.visible_to(reader))
    share = tied.select_related("athlete", "shared_by").first()
    if share is None:
        raise Http404
    require(reader, Action.READ_SHARED)
    if not Share.objects.visible_to(reader).filter(pk=share.pk).exists():
        raise Http404
    note_view(request, share.athlete, "what was shared")
    return share
