"""Loaders of what a person enters by hand: athletes, drafts, and what was saved."""

from __future__ import annotations

from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest

from athletes.access import athlete_or_404
from athletes.models import Athlete
from athletes.policy import Action, require, role_may
from athletes.requests import account_of
from athletes.view_notes import note_view
from metrics.models import ScreenDraft, ScreenEntry


def athlete_to_screen(request: HttpRequest, uuid: UUID, *, what: str = "screens") -> Athlete:
    """The athlete for somebody who may enter screens; a stranger gets 404, others 403."""
    return athlete_or_404(request, uuid, what=what, action=Action.ENTER_SCREENS).athlete


def athlete_being_typed(request: HttpRequest, uuid: UUID) -> Athlete:
    """The athlete whose draft is kept after each value. Not noted: opening the form was the look."""
    athlete = Athlete.objects.visible_to(account_of(request)).filter(uuid=uuid).first()
    if athlete is None:
        raise Http404
    require(account_of(request), Action.ENTER_SCREENS)
    return athlete


def draft_of(request: HttpRequest, athlete: Athlete) -> ScreenDraft | None:
    """The draft that the address names; else None. It must be one's own and of this athlete."""
    drafts = ScreenDraft.objects.visible_to(account_of(request)).filter(athlete=athlete)
    named = request.GET.get("draft", "")
    return next((one for one in drafts if str(one.uuid) == named), None)


def entry_or_404(request: HttpRequest, uuid: UUID, *, to_change: bool = False) -> ScreenEntry:
    """What was saved. Whoever entered it may take it back, and so may staff; 403 for other readers."""
    reader = account_of(request)
    found = ScreenEntry.objects.visible_to(reader).filter(uuid=uuid)
    entry = found.select_related("session__athlete").first()
    if entry is None:
        raise Http404
    require(reader, Action.ENTER_SCREENS)
    if to_change and entry.entered_by_id != reader.pk and not role_may(reader, Action.CHANGE):
        raise PermissionDenied
    note_view(request, entry.session.athlete, "screens saved")
    return entry
