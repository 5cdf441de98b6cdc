"""Open follow-ups of everybody: as a list, as a month, as a file."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET
from django.views.decorators.vary import vary_on_headers

from athletes.policy import Action, require
from athletes.requests import account_of, facility_of, htmx_of, units_of
from athletes.saving import save_answer
from athletes.today import facility_today
from plans.forms_follow_ups import FollowUpChoiceForm
from plans.selectors.follow_up_list import all_rows, follow_up_counts, follow_up_page, has_athletes
from plans.selectors.follow_up_month import month_from, month_of
from plans.selectors.follow_up_rows import FollowUpRow

LIST = "plans/_follow_ups_list.html"
COLUMNS = {
    "Athlete": lambda row: row.athlete,
    "Work": lambda row: row.work,
    "Due": lambda row: row.due.isoformat(),
    "When": lambda row: row.due_words,
    "Needs": lambda row: row.needed,
    "Measured": lambda row: row.measured,
    "Response": lambda row: row.response.word,
    "Numbers": lambda row: row.response.numbers,
    "Baseline": lambda row: row.response.decides.baseline if row.response.decides else "",
    "Works": lambda row: row.response.works,
    "Reason": lambda row: row.response.reason,
    "Coach": lambda row: row.coach,
}


def choice_context(request: HttpRequest) -> dict[str, Any]:
    """What list and month share: the choices, and how many follow-ups there are."""
    reader, today = account_of(request), facility_today(facility_of(request))
    require(reader, Action.WRITE_PLAN)
    form = FollowUpChoiceForm(request.GET, has_own=has_athletes(reader))
    choice = form.choice
    counts = follow_up_counts(reader, today, choice.who)
    return {"form": form, "choice": choice, "counts": counts, "today": today}


@require_GET
@vary_on_headers("HX-Request")
def follow_ups(request: HttpRequest) -> HttpResponse:
    context = choice_context(request)
    number = request.GET.get("page", 1)
    page = follow_up_page(account_of(request), context["choice"], context["today"], number, units_of(request))
    template = LIST if htmx_of(request) else "plans/follow_ups.html"
    return render(request, template, {**context, "page": page})


@require_GET
def save_follow_ups(request: HttpRequest) -> HttpResponse:
    """The rows that the same choices show, all pages of them."""
    context = choice_context(request)
    rows = all_rows(account_of(request), context["choice"], context["today"], units_of(request))
    name = f"follow-ups-{context['today']:%Y-%m-%d}"
    return save_answer(request, name, [list(COLUMNS), *map(_cells, rows)])


def _cells(row: FollowUpRow) -> list[Any]:
    return [read(row) for read in COLUMNS.values()]


@require_GET
def month(request: HttpRequest) -> HttpResponse:
    """`?month=2026-05`; this month for anything else."""
    context = choice_context(request)
    first = month_from(request.GET.get("month", ""), context["today"])
    found = month_of(account_of(request), context["choice"], first, context["today"])
    return render(request, "plans/follow_ups_month.html", {**context, "month": found})
