"""Availability, pain and its clearance, consent."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from athletes.access import athlete_or_404, require_change
from athletes.forms import AvailabilityForm, ClearanceForm, ConsentForm, PainForm
from athletes.models import PainReport
from athletes.policy import Action
from athletes.requests import account_of
from athletes.services.care import record_clearance, report_pain, set_availability
from athletes.services.clearances import take_back_clearance
from athletes.services.consent import record_consent
from athletes.views.answers import done, form_page, today_of, way_back
from athletes.words import date_words


@require_http_methods(["GET", "POST"])
def availability(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete = athlete_or_404(request, uuid, what="availability", action=Action.SET_AVAILABILITY).athlete
    form = AvailabilityForm(request.POST or None, initial={"valid_from": today_of(request)})
    if form.is_valid() and form.hand_to(set_availability, athlete=athlete, by=account_of(request)):
        return done(request, athlete, "Availability saved.")
    return form_page(request, form, heading="Availability", button="Save", athlete=athlete)


@require_http_methods(["GET", "POST"])
def pain(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete = athlete_or_404(request, uuid, what="pain report", action=Action.REPORT_PAIN).athlete
    form = PainForm(request.POST or None)
    if form.is_valid() and form.hand_to(report_pain, athlete=athlete, by=account_of(request)):
        return done(request, athlete, "Pain is reported. Throwing and loaded work are stopped.")
    return form_page(
        request,
        form,
        heading="Report pain",
        button="Report, and stop throwing",
        athlete=athlete,
        lede="Pain stops throwing and loaded work until a clinician’s clearance is recorded.",
    )


@require_http_methods(["GET", "POST"])
def clearance(request: HttpRequest, uuid: UUID, report_uuid: UUID) -> HttpResponse:
    athlete = athlete_or_404(request, uuid, what="clearance", action=Action.RECORD_CLEARANCE).athlete
    report = get_object_or_404(PainReport, athlete=athlete, uuid=report_uuid)
    form = ClearanceForm(request.POST or None, initial={"cleared_on": today_of(request)})
    if form.is_valid() and form.hand_to(record_clearance, report=report, by=account_of(request)):
        undo = reverse("athletes:clearance-take-back", args=[uuid, report_uuid])
        return done(request, athlete, "Clearance recorded.", undo=undo)
    return form_page(
        request,
        form,
        heading="Clearance",
        button="Record",
        athlete=athlete,
        lede=f"{report.where}, reported on {date_words(report.reported_on)}.",
    )


@require_POST
def clearance_take_back(request: HttpRequest, uuid: UUID, report_uuid: UUID) -> HttpResponse:
    found = athlete_or_404(request, uuid, what="clearance taken back", action=Action.RECORD_CLEARANCE)
    report = get_object_or_404(PainReport, athlete=found.athlete, uuid=report_uuid)
    try:
        take_back_clearance(report=report, by=account_of(request))
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect(way_back(request, found.athlete))
    return done(request, found.athlete, "The clearance is taken back. Throwing and loaded work are stopped again.")


@require_http_methods(["GET", "POST"])
def consent(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete = require_change(athlete_or_404(request, uuid, what="consent"))
    form = ConsentForm(request.POST or None, initial={"given_on": today_of(request)})
    if form.is_valid() and form.hand_to(record_consent, athlete=athlete, by=account_of(request)):
        return done(request, athlete, "Consent recorded.")
    return form_page(
        request,
        form,
        heading="Consent",
        button="Record",
        athlete=athlete,
        lede="A minor’s sessions are accepted only with a guardian’s consent.",
    )
