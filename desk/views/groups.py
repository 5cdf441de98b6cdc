"""First pages of visiting coaches and clinicians; training groups as the staff sees them."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from athletes.forms import AvailabilityForm
from athletes.forms_groups import SeasonPhaseForm
from athletes.group_access import group_or_404
from athletes.policy import STAFF
from athletes.requests import account_of
from desk.selectors.group_page import group_page, training_groups
from desk.selectors.groups import referred_athletes, visited_groups
from desk.views.access import for_roles, today_of


@require_GET
def visited(request: HttpRequest) -> HttpResponse:
    today = today_of(request)
    return render(request, "desk/groups.html", {"groups": visited_groups(account_of(request), today), "today": today})


@require_GET
def referred(request: HttpRequest) -> HttpResponse:
    today = today_of(request)
    return render(
        request, "desk/referred.html", {"members": referred_athletes(account_of(request), today), "today": today}
    )


@require_GET
@for_roles(STAFF)
def all_groups(request: HttpRequest) -> HttpResponse:
    return render(request, "desk/training_groups.html", {"groups": training_groups(today_of(request))})


@require_GET
def one_group(request: HttpRequest, uuid: UUID) -> HttpResponse:
    group, today = group_or_404(request, uuid), today_of(request)
    context = {
        "page": group_page(group, today),
        "today": today,
        "season_form": SeasonPhaseForm(initial={"valid_from": today}, auto_id="season-%s"),
        "availability_form": AvailabilityForm(initial={"valid_from": today, "state": "away"}, auto_id="can-%s"),
    }
    return render(request, "desk/training_group.html", context)
