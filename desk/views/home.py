"""The first page: each role's own."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from athletes.models import Role
from athletes.requests import account_of
from desk.views import groups, own, today

HOMES: dict[str, Callable[[HttpRequest], HttpResponse]] = {
    Role.ADMIN: today.today,
    Role.COACH: today.today,
    Role.VISITING_COACH: groups.visited,
    Role.CLINICIAN: groups.referred,
    Role.ATHLETE: own.home,
    Role.GUARDIAN: own.home,
}


def home(request: HttpRequest) -> HttpResponse:
    return HOMES[account_of(request).role](request)
