"""Parts of Today: whom to check in, and who is here."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from athletes.policy import STAFF, Action, role_may
from athletes.requests import account_of
from desk.selectors.here import checking_in, here_choice
from desk.views.access import for_roles, today_of


def here_context(request: HttpRequest, today: dt.date) -> dict[str, Any]:
    """What the two lists take, wherever they stand."""
    user = account_of(request)
    return {
        "checking": checking_in(user, today, here_choice(request.GET)),
        "may_measure": role_may(user, Action.CHANGE),
    }


@require_GET
@for_roles(STAFF)
def to_check_in(request: HttpRequest) -> HttpResponse:
    """Whom the letters or the group name."""
    return render(request, "desk/_to_check_in.html", here_context(request, today_of(request)))


@require_GET
@for_roles(STAFF)
def here(request: HttpRequest) -> HttpResponse:
    """Who is here; the page asks again whenever somebody was checked in."""
    return render(request, "desk/_here.html", here_context(request, today_of(request)))
