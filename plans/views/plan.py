"""An athlete's plan: what it holds, what to begin with, and the library to choose from by hand."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from athletes.pages import who_of
from athletes.requests import account_of, facility_of, units_of
from athletes.tabs import PLAN, athlete_tabs
from athletes.today import facility_today
from plans.plan_access import plan_or_404, plan_to_change
from plans.selectors.giving_page import may_be_given
from plans.selectors.plan_page import plan_page
from plans.selectors.work_bars import work_bars


@require_safe
def plan(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete, may_change = plan_or_404(request, uuid, what="plan")
    reader, today = account_of(request), facility_today(facility_of(request))
    context = {
        "athlete": athlete,
        "page": plan_page(athlete, today, system=units_of(request)),
        "who": who_of(athlete, today, reader),
        "tabs": athlete_tabs(athlete, reader, PLAN),
        "may_change": may_change,
    }
    return render(request, "plans/plan.html", context)


@require_safe
def choose(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """The library to give something by hand; `?q=` by name."""
    athlete = plan_to_change(request, uuid, what="library for the plan")
    reader, today = account_of(request), facility_today(facility_of(request))
    words = request.GET.get("q", "").strip()[:80]
    context = {
        "athlete": athlete,
        "words": words,
        "works": may_be_given(athlete, today, words),
        "who": who_of(athlete, today, reader),
        "tabs": athlete_tabs(athlete, reader, PLAN),
    }
    return render(request, "plans/choose.html", context)


@require_safe
def bars(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """A part of the trends page, which the page asks for by itself: what ran when; `?metric=` of one metric."""
    athlete = plan_or_404(request, uuid, what=None).athlete
    found = work_bars(athlete, facility_today(facility_of(request)), metric=request.GET.get("metric", "")[:80])
    return render(request, "plans/_bars.html", {"athlete": athlete, "bars": found})
