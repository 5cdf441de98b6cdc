"""What a family decides by itself: consent, its withdrawal, and who may go on reading."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from athletes.access import athlete_or_404
from athletes.forms_family import AgreeForm
from athletes.models import Athlete, User
from athletes.pages import who_of
from athletes.policy import Action
from athletes.requests import account_of
from athletes.services.family import (
    agree,
    decides_who_reads,
    let_guardian_read,
    may_agree,
    may_take_back,
    take_back_consent,
    text_in_force,
)
from athletes.views.answers import UNPROCESSABLE, done, today_of, way_back


@require_http_methods(["GET", "POST"])
def agree_online(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete, reader = _athlete_and_reader(request, uuid)
    if not may_agree(reader, athlete):
        raise PermissionDenied
    text = text_in_force()
    form = AgreeForm(
        request.POST or None,
        initial={"relation": _relation(athlete, reader), "version": text.version if text else ""},
    )
    if form.is_valid() and form.hand_to(agree, athlete=athlete, by=reader):
        return done(request, athlete, "Thank you. Your consent is recorded; you can take it back at any time.")
    mine = athlete.consents.filter(given_by=reader, withdrawn_on=None).select_related("text").first()
    context = {**_page(request, athlete), "form": form, "text": text, "mine": mine}
    context["agreed"] = mine is not None and mine.text == text
    return render(request, "athletes/agree.html", context, status=UNPROCESSABLE if form.errors else 200)


@require_http_methods(["GET", "POST"])
def take_back(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete, reader = _athlete_and_reader(request, uuid)
    if not may_take_back(reader, athlete):
        raise PermissionDenied
    if request.method == "POST":
        take_back_consent(athlete=athlete, by=reader)
        return done(request, athlete, "Your consent is taken back. Nothing new is taken in, and nothing is shared.")
    standing = athlete.consents.filter(withdrawn_on=None).select_related("text")
    context = {**_page(request, athlete), "standing": standing, "may_agree": may_agree(reader, athlete)}
    return render(request, "athletes/consent_take_back.html", context)


@require_http_methods(["GET"])
def my_people(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete, reader = _athlete_and_reader(request, uuid)
    if not decides_who_reads(reader, athlete):
        raise PermissionDenied
    ties = athlete.guardianships.select_related("guardian").order_by("pk")
    return render(request, "athletes/my_people.html", {**_page(request, athlete), "ties": ties})


@require_POST
def let_read(request: HttpRequest, uuid: UUID, guardian_uuid: UUID) -> HttpResponse:
    """`may=yes` lets the guardian go on reading, everything else stops it."""
    athlete, reader = _athlete_and_reader(request, uuid)
    if not decides_who_reads(reader, athlete):
        raise PermissionDenied
    guardian = get_object_or_404(User, guardianships__athlete=athlete, uuid=guardian_uuid)
    may = request.POST.get("may") == "yes"
    let_guardian_read(athlete=athlete, guardian=guardian, may=may, by=reader)
    messages.success(request, f"{guardian} {'may go on reading' if may else 'reads your page no more'}.")
    return redirect("athletes:my-people", athlete.uuid)


def _athlete_and_reader(request: HttpRequest, uuid: UUID) -> tuple[Athlete, User]:
    loaded = athlete_or_404(request, uuid, what="consent", action=Action.CONSENT)
    return loaded.athlete, account_of(request)


def _page(request: HttpRequest, athlete: Athlete) -> dict[str, Any]:
    reader = account_of(request)
    who = who_of(athlete, today_of(request), reader)
    return {"athlete": athlete, "who": who, "back": way_back(request, athlete)}


def _relation(athlete: Athlete, reader: User) -> str:
    if athlete.account_id == reader.pk:
        return "the athlete"
    return athlete.guardianships.filter(guardian=reader).values_list("relation", flat=True).first() or ""
