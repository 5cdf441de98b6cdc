"""Creating and changing an athlete: details, level, body size."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods

from athletes.access import athlete_or_404, require_change
from athletes.forms import AthleteForm, BodySizeForm, LevelForm, NewAthleteForm, a_year_before
from athletes.policy import Action, require
from athletes.requests import account_of
from athletes.services.people import DETAILS, change_athlete, create_athlete, set_level
from athletes.services.sizes import record_body_size
from athletes.views.answers import done, form_page, system_of, today_of


@require_http_methods(["GET", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    require(account_of(request), Action.CHANGE)
    # School years end in summer: a year back covers the files that come with a newcomer.
    initial = {"level_from": a_year_before(today_of(request)), "responsible_coach": account_of(request)}
    form = NewAthleteForm(request.POST or None, initial=initial, system=system_of(request))
    if form.is_valid() and form.hand_to(create_athlete, by=account_of(request)):
        return done(request, form.result, f"{form.result.name} is here.")
    return form_page(request, form, heading="New athlete", button="Create")


@require_http_methods(["GET", "POST"])
def edit(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete = require_change(athlete_or_404(request, uuid, what="details"))
    form = AthleteForm(request.POST or None, initial={name: getattr(athlete, name) for name in DETAILS})
    if form.is_valid() and form.hand_to(change_athlete, athlete=athlete, by=account_of(request)):
        return done(request, athlete, "Details saved.")
    return form_page(request, form, heading="Details", button="Save", athlete=athlete)


@require_http_methods(["GET", "POST"])
def level(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete = require_change(athlete_or_404(request, uuid, what="level"))
    form = LevelForm(request.POST or None, initial={"valid_from": today_of(request)})
    if form.is_valid() and form.hand_to(set_level, athlete=athlete, by=account_of(request)):
        return done(request, athlete, "Level saved.")
    return form_page(request, form, heading="Level", button="Save", athlete=athlete)


@require_http_methods(["GET", "POST"])
def body_size(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete = require_change(athlete_or_404(request, uuid, what="body size"))
    form = BodySizeForm(request.POST or None, initial={"on": today_of(request)}, system=system_of(request))
    if form.is_valid() and form.hand_to(record_body_size, athlete=athlete, by=account_of(request)):
        return done(request, athlete, "Body size saved.")
    return form_page(
        request,
        form,
        heading="Body size",
        button="Save",
        athlete=athlete,
        lede="What is left empty keeps its last measurement.",
    )
