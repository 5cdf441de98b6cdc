"""The loader of follow-ups."""

from __future__ import annotations

from typing import NamedTuple
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest

from athletes.policy import Action, require, role_may
from athletes.requests import account_of
from athletes.view_notes import note_view
from plans.models import FollowUp
from plans.selectors.follow_up_rows import loaded


class LoadedFollowUp(NamedTuple):
    follow_up: FollowUp
    may_decide: bool


def follow_up_or_404(request: HttpRequest, uuid: UUID, *, what: str) -> LoadedFollowUp:
    """The follow-up of an athlete whose plan the person may see, and whether they may decide it.

    404 for whoever may not read what was measured of the athlete; `what` names the page in the view log.
    """
    reader = account_of(request)
    found = loaded(FollowUp.objects.visible_to(reader).filter(uuid=uuid)).first()
    if found is None:
        raise Http404
    require(reader, Action.SEE_PLAN)
    note_view(request, found.prescription.athlete, what)
    return LoadedFollowUp(found, role_may(reader, Action.WRITE_PLAN))


def follow_up_to_decide(request: HttpRequest, uuid: UUID) -> FollowUp:
    """403 for a reader who may not decide."""
    loaded_one = follow_up_or_404(request, uuid, what="follow-up decided")
    if not loaded_one.may_decide:
        raise PermissionDenied
    return loaded_one.follow_up
