"""Training groups: many athletes put in or taken out, season phase, availability for all; each with its one undo."""

from __future__ import annotations

from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from athletes.forms import AvailabilityForm
from athletes.forms_groups import AssignGroupForm, SeasonPhaseForm
from athletes.group_access import group_or_404
from athletes.models import Athlete
from athletes.policy import Action, require
from athletes.requests import account_of
from athletes.services.group_acts import GroupAct, names, undo_group_act
from athletes.services.group_availability import set_availability_for_group
from athletes.services.groups import assign_group_to_many, set_season_phase
from athletes.undo import CannotUndo
from athletes.views.answers import form_page, today_of, way_back


@require_POST
def assign(request: HttpRequest) -> HttpResponse:
    """The athletes that were chosen in a list."""
    require(account_of(request), Action.CHANGE)
    form = AssignGroupForm(request.POST, athletes=Athlete.objects.visible_to(account_of(request)))
    if form.is_valid() and form.hand_to(assign_group_to_many, by=account_of(request)):
        act: GroupAct = form.result
        done = "put into" if request.POST.get("act") == "put_in" else "taken out of"
        return _done(request, act, f"{_athletes(act.changed)} {done} {act.group}.")
    return form_page(request, form, heading="Training group", button="Save")


@require_http_methods(["GET", "POST"])
def availability(request: HttpRequest, uuid: UUID) -> HttpResponse:
    group = group_or_404(request, uuid)
    form = AvailabilityForm(request.POST or None, initial={"valid_from": today_of(request)})
    if form.is_valid() and form.hand_to(set_availability_for_group, group=group, by=account_of(request)):
        act: GroupAct = form.result
        kept = f" Left as they are: {names(act.left_out)}." if act.left_out else ""
        return _done(request, act, f"Availability set for {_athletes(act.changed)} of {group}.{kept}")
    lede = (
        "For everybody of the group. Whoever has a stop or limits of their own keeps them; "
        "what an absence hides holds again the day after it ends."
    )
    return form_page(request, form, heading=f"Availability, {group}", button="Set for all", lede=lede)


@require_http_methods(["GET", "POST"])
def season(request: HttpRequest, uuid: UUID) -> HttpResponse:
    group = group_or_404(request, uuid)
    form = SeasonPhaseForm(request.POST or None, initial={"valid_from": today_of(request)})
    if form.is_valid() and form.hand_to(set_season_phase, group=group, by=account_of(request)):
        return _done(request, form.result, f"Season phase of {group} saved.")
    return form_page(request, form, heading=f"Season phase, {group}", button="Save")


@require_POST
def undo(request: HttpRequest, uuid: UUID, act: UUID) -> HttpResponse:
    group = group_or_404(request, uuid)
    try:
        undone = undo_group_act(group=group, act=act, by=account_of(request))
    except CannotUndo as error:
        messages.error(request, error.sentence)
    else:
        messages.success(request, undone.sentence)
    return HttpResponseRedirect(way_back(request, None))


def _done(request: HttpRequest, act: GroupAct, sentence: str) -> HttpResponse:
    """Back, with the notice and its Undo, which leads back to the same place."""
    back = way_back(request, None)
    undo = f"{reverse('athletes:group-undo', args=[act.group.uuid, act.uuid])}?{urlencode({'next': back})}"
    messages.success(request, sentence, extra_tags=f"undo:{undo}" if act.changed else "")
    return HttpResponseRedirect(back)


def _athletes(count: int) -> str:
    return f"{count} athlete{'' if count == 1 else 's'}"
