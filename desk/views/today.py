"""The coach's first page."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET
from django.views.decorators.vary import vary_on_headers

from athletes.policy import STAFF
from athletes.requests import account_of
from desk.selectors.groups import group_choices
from desk.selectors.today import files_coming, todays_work
from desk.views.access import for_roles, today_of, wants_part
from desk.views.here import here_context
from desk.views.roster import LIST, asks_for_roster, roster_context

PART = "desk/_todays_roster.html"
"""The roster with its choices. It is asked for when it comes into view; the part's id is that of its element."""


@require_GET
@vary_on_headers("HX-Request", "HX-Target")
def today(request: HttpRequest) -> HttpResponse:
    date = today_of(request)
    if wants_part(request):
        part = PART if request.headers.get("HX-Target") == "roster-part" else LIST
        return render(request, part, roster_context(request, date))
    roster = roster_context(request, date) if asks_for_roster(request) else {}
    reader = account_of(request)
    day = {"work": todays_work(reader, date), "today": date, "groups": group_choices(reader)}
    return render(request, "desk/today.html", {**day, **here_context(request, date), **roster})


@require_GET
@for_roles(STAFF)
def coming(request: HttpRequest) -> HttpResponse:
    """The line that counts the files on their way; it stops asking when none is left."""
    return render(request, "desk/_coming.html", {"coming": files_coming(account_of(request)), "asked": True})
