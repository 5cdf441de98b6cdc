"""The loader of athletes.

A stranger and a missing row get the same 404. Somebody tied to the athlete who may not do what was asked
gets 403. Every look by somebody else than the athlete is noted and written at the end of the request.
"""

from __future__ import annotations

from typing import NamedTuple
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import Http404, HttpRequest

from athletes.models import Athlete, User
from athletes.policy import Action, require, role_may
from athletes.requests import account_of
from athletes.turning import is_turned
from athletes.view_notes import note_view
from athletes.worded import Keys, worded_once

MERGED_IN_A_ROW = 8
"""How many mergings of mergings an old address follows."""


class LoadedAthlete(NamedTuple):
    athlete: Athlete
    may_change: bool


def require_change(loaded: LoadedAthlete) -> Athlete:
    """403 for a reader who may not change."""
    if not loaded.may_change:
        raise PermissionDenied
    return loaded.athlete


def athlete_or_404(request: HttpRequest, uuid: UUID, *, what: str, action: Action = Action.SEE_RECORD) -> LoadedAthlete:
    """The athlete, and whether the person may change what is recorded. `what` names the page in the view log."""
    reader = account_of(request)
    athlete = next(iter(_visible(reader, Keys.of([uuid]))), None)
    if athlete is None:
        raise Http404
    require(reader, action)
    note_view(request, athlete, what)
    return LoadedAthlete(athlete, role_may(reader, Action.CHANGE) and not is_turned(request))


@worded_once
def _visible(reader: User, uuids: Keys) -> QuerySet:
    return Athlete.objects.visible_to(reader).filter(uuid__in=uuids.places)


def merged_athlete_or_404(request: HttpRequest, uuid: UUID) -> Athlete:
    """A record that was merged into another, for somebody who may part the two again."""
    reader = account_of(request)
    found = Athlete.everything.visible_to(reader).filter(uuid=uuid).exclude(merged_into=None)
    athlete = found.select_related("merged_into").first()
    if athlete is None:
        raise Http404
    require(reader, Action.CHANGE)
    note_view(request, athlete, "merged record")
    return athlete


def kept_instead(request: HttpRequest, uuid: UUID) -> Athlete | None:
    """Whose record an old address leads to now, for those who may see that one; else None, as for no record at all."""
    merged = Athlete.everything.filter(uuid=uuid).exclude(merged_into=None).first()
    for _ in range(MERGED_IN_A_ROW):
        if merged is None or merged.merged_into_id is None:
            break
        merged = Athlete.everything.filter(pk=merged.merged_into_id).first()
    return Athlete.objects.visible_to(account_of(request)).filter(pk=merged.pk).first() if merged else None
