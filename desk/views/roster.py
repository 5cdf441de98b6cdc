"""The roster, alone or under today, and saved."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET
from django.views.decorators.vary import vary_on_headers

from athletes.policy import STAFF
from athletes.requests import account_of
from athletes.saving import save_answer
from desk.forms import RosterForm
from desk.selectors.groups import group_choices
from desk.selectors.roster import RosterRow, roster_counts, roster_page, roster_rows
from desk.views.access import for_roles, today_of, wants_part

LIST = "desk/_roster_list.html"
COLUMNS = {
    "Athlete": lambda row: row.name,
    "Age": lambda row: row.age_years,
    "Level": lambda row: row.level,
    "Throws": lambda row: row.throws,
    "Last session": lambda row: row.last_date.isoformat() if row.last_date else "",
    "Capture method": lambda row: row.last_method,
    "Flags": lambda row: len(row.flags),
    "New flags": lambda row: row.flags_new,
    "Confirmed flags": lambda row: row.flags_confirmed,
    "Recurring flags": lambda row: row.flags_recurring,
    "Top finding": lambda row: str(row.top or ""),
    "Availability": lambda row: "stopped" if row.is_stopped else row.availability,
    "Reason or limits": lambda row: row.stopped_reason or row.availability_note,
    "Coach": lambda row: row.coach,
}


def roster_context(request: HttpRequest, today: dt.date) -> dict[str, Any]:
    """What the roster's templates take, wherever it stands."""
    form = roster_form(request)
    choice = form.choice
    page = roster_page(account_of(request), choice, today, request.GET.get("page", 1), counts=form.counts)
    return {
        "roster": page,
        "form": form,
        "choice": choice,
        "counts": form.counts,
        "today": today,
        "groups": form.groups,
        "back_here": request.get_full_path(),
    }


def asks_for_roster(request: HttpRequest) -> bool:
    """Whether anything was chosen above the list, or a page of it."""
    return not request.GET.keys().isdisjoint((*RosterForm.base_fields, "page"))


def roster_form(request: HttpRequest) -> RosterForm:
    groups = group_choices(account_of(request))
    return RosterForm(request.GET, groups=groups, counts=roster_counts(account_of(request)))


@require_GET
@vary_on_headers("HX-Request")
@for_roles(STAFF)
def roster(request: HttpRequest) -> HttpResponse:
    context = roster_context(request, today_of(request))
    return render(request, LIST if wants_part(request) else "desk/roster.html", context)


@require_GET
@for_roles(STAFF)
def save_roster(request: HttpRequest) -> HttpResponse:
    """The rows that the same choices show, all pages of them."""
    today = today_of(request)
    rows = roster_rows(account_of(request), roster_form(request).choice, today)
    return save_answer(request, f"roster-{today:%Y-%m-%d}", [list(COLUMNS), *map(_cells, rows)])


def _cells(row: RosterRow) -> list[Any]:
    return [read(row) for read in COLUMNS.values()]
