"""First pages of visiting coaches and clinicians."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from athletes.requests import account_of
from desk.selectors.groups import referred_athletes, visited_groups
from desk.views.access import today_of


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
