"""One follow-up: what the measurements say, and close, continue, change, each in one tap."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from athletes.pages import who_of
from athletes.requests import account_of, facility_of, units_of
from athletes.tabs import PLAN, athlete_tabs
from athletes.today import facility_today
from athletes.words import day_words
from plans.follow_up_access import LoadedFollowUp, follow_up_or_404, follow_up_to_decide
from plans.forms_follow_ups import ChangeForm, CloseForm, ContinueForm, DecidingForm
from plans.models import FollowUp
from plans.selectors.change_options import change_options, reasons_now
from plans.selectors.follow_up_page import follow_up_facts, next_date
from plans.services.follow_up_change import change_to
from plans.services.follow_ups import (
    close_follow_up,
    continue_follow_up,
)
from plans.services.reopening import may_reopen, reopen_follow_up

UNPROCESSABLE = 422


@require_safe
def follow_up(request: HttpRequest, uuid: UUID) -> HttpResponse:
    return _page(request, follow_up_or_404(request, uuid, what="follow-up"))


def _page(request: HttpRequest, found: LoadedFollowUp, sent: DecidingForm | None = None) -> HttpResponse:
    """With what was typed and what was wrong; 422 when it was sent and refused."""
    one, reader, today = found.follow_up, account_of(request), facility_today(facility_of(request))
    athlete = one.prescription.athlete
    context = {
        "facts": follow_up_facts(one, today, units_of(request)),
        "forms": _forms(one, sent, request) if found.may_decide and not one.decision else None,
        "refused": _sentences(sent) if sent and _is_old(sent, one) else None,
        "may_reopen": found.may_decide and bool(one.decision) and may_reopen(one),
        "athlete": athlete,
        "today": today,
        "who": who_of(athlete, today, reader),
        "tabs": athlete_tabs(athlete, reader, PLAN),
    }
    return render(request, "plans/follow_up.html", context, status=UNPROCESSABLE if sent else 200)


def _forms(one: FollowUp, sent: DecidingForm | None, request: HttpRequest) -> dict[str, Any]:
    today = facility_today(facility_of(request))
    seen = {"seen": one.prescription.revision}
    forms = {
        "close": CloseForm(initial=seen),
        "continue": ContinueForm(initial={**seen, "due": next_date(one.prescription, today)}),
        "change": ChangeForm(options=change_options(one.prescription, today), initial={**seen, "start": today}),
    }
    return {**forms, sent.way: sent} if sent and not _is_old(sent, one) else forms


def _sentences(sent: DecidingForm) -> list[str]:
    return [str(sentence) for sentences in sent.errors.values() for sentence in sentences]


def _is_old(sent: DecidingForm, one: FollowUp) -> bool:
    """Whether it was sent from a page older than the work: it is then shown anew, and why stands above."""
    return bool(one.decision) or sent["seen"].value() != str(one.prescription.revision)


@require_POST
def close(request: HttpRequest, uuid: UUID) -> HttpResponse:
    one = follow_up_to_decide(request, uuid)
    form = CloseForm(request.POST)
    if not (form.is_valid() and form.hand_to(close_follow_up, follow_up=one, by=account_of(request))):
        return _page(request, LoadedFollowUp(one, True), form)
    _told(request, one, f"Closed: {one.prescription.version.name}, {one.prescription.athlete.name}.")
    return redirect("plans:follow-ups")


@require_POST
def carry_on(request: HttpRequest, uuid: UUID) -> HttpResponse:
    one = follow_up_to_decide(request, uuid)
    form = ContinueForm(request.POST)
    if not (form.is_valid() and form.hand_to(continue_follow_up, follow_up=one, by=account_of(request))):
        return _page(request, LoadedFollowUp(one, True), form)
    due = day_words(form.result.due, facility_today(facility_of(request)))
    _told(request, one, f"It goes on; the next follow-up is on {due}.")
    return redirect("plans:follow-ups")


@require_POST
def change(request: HttpRequest, uuid: UUID) -> HttpResponse:
    one, today = follow_up_to_decide(request, uuid), facility_today(facility_of(request))
    form = ChangeForm(request.POST, options=change_options(one.prescription, today))
    reasons = reasons_now(one.prescription, today)
    if not (form.is_valid() and form.hand_to(change_to, follow_up=one, reasons=reasons, by=account_of(request))):
        return _page(request, LoadedFollowUp(one, True), form)
    _told(request, one, f"Changed for {form.result.version.name}.")
    return redirect("plans:follow-up", form.result.follow_ups.get().uuid)


def _told(request: HttpRequest, one: FollowUp, words: str) -> None:
    """What was decided, with an Undo."""
    messages.success(request, words, extra_tags=f"undo:{reverse('plans:follow-up-reopen', args=[one.uuid])}")


@require_POST
def reopen(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """What cannot be taken back any more is said, and nothing is changed."""
    one = follow_up_to_decide(request, uuid)
    try:
        reopen_follow_up(follow_up=one, by=account_of(request))
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, "It is open again, as it was.")
    return redirect("plans:follow-up", uuid)
