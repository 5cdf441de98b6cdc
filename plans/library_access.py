"""The loaders of the library: it is about nobody, so whoever may not read it is told so, whatever the address names."""

from __future__ import annotations

from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest

from athletes.models import Athlete
from athletes.policy import Action, require, role_may
from athletes.requests import account_of
from athletes.turning import is_turned
from plans.models import Intervention, InterventionMedia, Prescription


def require_library(request: HttpRequest) -> bool:
    """403 unless the person may read the library; gives whether they may change it."""
    reader = account_of(request)
    require(reader, Action.SEE_LIBRARY)
    return role_may(reader, Action.EDIT_LIBRARY) and not is_turned(request)


def require_editor(request: HttpRequest) -> None:
    if not require_library(request):
        raise PermissionDenied


def intervention_or_404(request: HttpRequest, key: str) -> tuple[Intervention, bool]:
    """Withdrawn ones too: their page says so. And whether the person may change it."""
    may_change = require_library(request)
    row = Intervention.everything.filter(key=key).first()
    if row is None:
        raise Http404
    return row, may_change


def intervention_to_change(request: HttpRequest, key: str) -> Intervention:
    require_editor(request)
    return intervention_or_404(request, key)[0]


def media_or_404(request: HttpRequest, uuid: UUID) -> InterventionMedia:
    """For readers of the library; for others where an athlete of theirs has shown work of it that still runs.

    A picture of an exercise holds nothing of the athlete: no look is noted, and consent does not matter.
    """
    reader = account_of(request)
    media = InterventionMedia.objects.filter(uuid=uuid).first()
    if media is None:
        raise Http404
    if role_may(reader, Action.SEE_LIBRARY):
        return media
    work = Prescription.objects.open().filter(version__intervention=media.intervention_id, is_shown=True)
    theirs = work.filter(athlete__in=Athlete.objects.visible_to(reader))
    if not role_may(reader, Action.SEE_WORK) or not theirs.exists():
        raise Http404
    return media
