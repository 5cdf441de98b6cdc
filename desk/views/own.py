"""The pages of athletes and their families."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from athletes.access import Action, athlete_or_404
from athletes.requests import account_of
from desk.selectors.own import own_athletes, own_page
from desk.views.access import today_of


@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """Their own page; a guardian of several chooses whose."""
    children = own_athletes(account_of(request), today_of(request))
    if len(children) == 1:
        return mine(request, children[0].uuid)
    return render(request, "desk/children.html", {"children": children})


@require_GET
def mine(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete = athlete_or_404(request, uuid, what="progress page", action=Action.SEE_OWN_PAGE).athlete
    page = own_page(athlete, account_of(request), today_of(request))
    return render(request, "desk/mine.html", {"page": page, "athlete": athlete})
