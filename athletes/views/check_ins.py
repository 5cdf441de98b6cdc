"""The check-in: an answer by one tap, taking it back, a height in passing."""

from __future__ import annotations

from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from athletes.access import athlete_or_404, require_change
from athletes.check_in_parts import check_in_part
from athletes.forms import ServiceForm
from athletes.forms_check_in import HeightForm, PainCheckInForm, check_in_form
from athletes.models import Athlete, CheckIn, Feeling
from athletes.policy import Action, role_may
from athletes.requests import account_of, htmx_of
from athletes.services import check_ins
from athletes.services.sizes import record_body_size
from athletes.views.answers import UNPROCESSABLE, done, form_page, system_of, today_of

PAIN_LEDE = "Pain stops throwing and loaded work until a clinician’s clearance is recorded."
PAIN_STAYS = "The answer is taken back. The pain report stays: only a clearance ends it."


@require_http_methods(["GET", "POST"])
def check_in(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """`?feeling=pain` asks for the place of the pain. The page's script gets the line again instead of the page."""
    athlete = athlete_or_404(request, uuid, what="check-in", action=Action.CHECK_IN).athlete
    form = check_in_form(request.POST if request.method == "POST" else None, request.GET)
    if form.is_valid() and form.hand_to(check_ins.check_in, athlete=athlete, by=account_of(request)):
        return _answered(request, athlete, form.result)
    if htmx_of(request):
        return _line(request, athlete, form)
    of_pain = isinstance(form, PainCheckInForm)
    return form_page(
        request,
        form,
        heading="Report pain" if of_pain else "Check-in",
        button="Report, and stop throwing" if of_pain else "Save",
        athlete=athlete,
        lede=PAIN_LEDE if of_pain else "",
    )


@require_POST
def take_back(request: HttpRequest, uuid: UUID, check_in_uuid: UUID) -> HttpResponse:
    """Staff take back any answer, the family its own."""
    athlete = athlete_or_404(request, uuid, what="check-in", action=Action.CHECK_IN).athlete
    row = get_object_or_404(CheckIn.everything, athlete=athlete, uuid=check_in_uuid)
    if row.by_id != account_of(request).pk and not role_may(account_of(request), Action.CHANGE):
        raise PermissionDenied
    check_ins.take_back_check_in(check_in=row, by=account_of(request))
    return done(request, athlete, PAIN_STAYS if row.feeling == Feeling.PAIN else f"Taken back: {athlete.name}.")


@require_POST
def height(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete = require_change(athlete_or_404(request, uuid, what="body size"))
    form = HeightForm(request.POST, system=system_of(request))
    if form.is_valid() and form.hand_to(
        record_body_size, athlete=athlete, on=today_of(request), by=account_of(request)
    ):
        if not htmx_of(request):
            return done(request, athlete, f"Height saved: {athlete.name}.")
        messages.success(request, f"Height saved: {athlete.name}.")
        return _line(request, athlete)
    if htmx_of(request):
        return _line(request, athlete, form)
    return form_page(request, form, heading="Height", button="Save", athlete=athlete)


def _answered(request: HttpRequest, athlete: Athlete, row: CheckIn) -> HttpResponse:
    """The sentence with its Undo, which leads back to where the answer was given."""
    sentence = f"{athlete.name}: {row.get_feeling_display()}{f', {row.words}' if row.words else ''}."
    if row.feeling == Feeling.PAIN:
        sentence = f"{sentence} Throwing and loaded work are stopped."
    undo = reverse("athletes:check-in-take-back", args=[athlete.uuid, row.uuid])
    if request.GET.get("next"):
        undo = f"{undo}?{urlencode({'next': request.GET['next']})}"
    if not htmx_of(request):
        return done(request, athlete, sentence, undo=undo)
    messages.success(request, sentence, extra_tags=f"undo:{undo}")
    return _line(request, athlete)


def _line(request: HttpRequest, athlete: Athlete, refused: ServiceForm | None = None) -> HttpResponse:
    """The athlete's line alone, with what was wrong; lists elsewhere on the page hear that somebody answered."""
    wrong = [sentence for problems in refused.errors.values() for sentence in problems] if refused else []
    context = {
        "part": check_in_part(athlete, today_of(request)),
        "next": request.GET.get("next", "/"),
        "wrong": wrong,
        "typed": request.POST,
        "swapped": True,
        "may_measure": role_may(account_of(request), Action.CHANGE),
    }
    answer = render(request, "athletes/_check_in.html", context, status=UNPROCESSABLE if refused else 200)
    if not refused:
        answer["HX-Trigger"] = "checked-in"
    return answer
