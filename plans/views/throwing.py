"""Throwing load of an athlete: the page with its form, an entry changed, withdrawn and brought back, and a file."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from athletes.access import athlete_or_404
from athletes.models import Athlete
from athletes.pages import record_url, who_of
from athletes.policy import Action, role_may
from athletes.requests import account_of, facility_of
from athletes.saving import save_answer
from athletes.tabs import athlete_tabs
from athletes.views.answers import UNPROCESSABLE, today_of
from plans.forms_throws import EnterThrowsForm, ThrowsOfADayForm, typed_of
from plans.models import ThrowCount
from plans.selectors.throwing import throwing_page, throwing_table, told_of
from plans.selectors.throws import may_change
from plans.services.throws import change_throws, enter_throws, restore_throws, withdraw_throws

WHAT = "throwing load"


@require_http_methods(["GET", "POST"])
def throwing(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete = athlete_or_404(request, uuid, what=WHAT, action=Action.LOG_THROWS).athlete
    form = EnterThrowsForm(request.POST if request.method == "POST" else None, initial={"date": today_of(request)})
    if form.is_valid() and form.hand_to(enter_throws, athlete=athlete, by=account_of(request)):
        return _entered(request, athlete, form.result, "Entered")
    page = throwing_page(athlete, account_of(request), facility_of(request), today_of(request))
    context = {"page": page, "form": form, **_about(request, athlete)}
    return render(request, "plans/throwing.html", context, status=UNPROCESSABLE if form.errors else 200)


@require_http_methods(["GET", "POST"])
def change(request: HttpRequest, uuid: UUID, count_uuid: UUID) -> HttpResponse:
    athlete, count = _load(request, uuid, count_uuid)
    form = ThrowsOfADayForm(request.POST if request.method == "POST" else None, initial=typed_of(count))
    if form.is_valid() and form.hand_to(change_throws, count=count, by=account_of(request)):
        messages.success(request, f"Changed: {told_of(form.result)}.")
        return HttpResponseRedirect(reverse("plans:throwing", args=[athlete.uuid]))
    context = {"form": form, "count": count, **_about(request, athlete)}
    return render(request, "plans/throws_change.html", context, status=UNPROCESSABLE if form.errors else 200)


@require_POST
def withdraw(request: HttpRequest, uuid: UUID, count_uuid: UUID) -> HttpResponse:
    athlete, count = _load(request, uuid, count_uuid)
    withdraw_throws(count=count, by=account_of(request))
    undo = reverse("plans:throws-restore", args=[athlete.uuid, count.uuid])
    messages.success(request, f"Taken away: {told_of(count)}.", extra_tags=f"undo:{undo}")
    return HttpResponseRedirect(reverse("plans:throwing", args=[athlete.uuid]))


@require_POST
def restore(request: HttpRequest, uuid: UUID, count_uuid: UUID) -> HttpResponse:
    athlete, count = _load(request, uuid, count_uuid, withdrawn=True)
    restore_throws(count=count, by=account_of(request))
    return _entered(request, athlete, count, "Back again")


@require_GET
def save(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete = athlete_or_404(request, uuid, what="throwing load saved", action=Action.LOG_THROWS).athlete
    today = today_of(request)
    return save_answer(request, f"throwing-{today:%Y-%m-%d}", throwing_table(athlete, account_of(request), today))


def _load(request: HttpRequest, uuid: UUID, count_uuid: UUID, *, withdrawn: bool = False) -> tuple[Athlete, ThrowCount]:
    """403 for an entry that somebody else made and this reader may not change."""
    athlete = athlete_or_404(request, uuid, what=WHAT, action=Action.LOG_THROWS).athlete
    rows = ThrowCount.everything if withdrawn else ThrowCount.objects
    count = get_object_or_404(rows.select_related("athlete", "entered_by"), athlete=athlete, uuid=count_uuid)
    if not may_change(count, account_of(request)):
        raise PermissionDenied
    return athlete, count


def _entered(request: HttpRequest, athlete: Athlete, count: ThrowCount, word: str) -> HttpResponse:
    undo = reverse("plans:throws-withdraw", args=[athlete.uuid, count.uuid])
    day = f"{count.date:%A} {count.date.day} {count.date:%B}"
    messages.success(request, f"{word}: {told_of(count)}, {day}.", extra_tags=f"undo:{undo}")
    return HttpResponseRedirect(reverse("plans:throwing", args=[athlete.uuid]))


def _about(request: HttpRequest, athlete: Athlete) -> dict[str, Any]:
    """The athlete’s header for whoever reads the record; a family and a visiting coach get the name and a way back."""
    reader = account_of(request)
    reads_record = role_may(reader, Action.SEE_RECORD)
    return {
        "athlete": athlete,
        "who": who_of(athlete, today_of(request), reader) if reads_record else None,
        "tabs": athlete_tabs(athlete, reader, "") if reads_record else (),
        "back": "" if reads_record else record_url(athlete.uuid),
    }
