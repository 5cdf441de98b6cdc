"""Sheets of paper: what a family takes home, and what a coach takes to the floor."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.utils.text import slugify
from django.views.decorators.http import require_GET

from athletes.models import Athlete
from athletes.policy import Action
from athletes.requests import account_of, facility_of
from athletes.views.answers import system_of, today_of
from plans.selectors.floor_sheet import floor_sheet
from plans.selectors.plan_sheet import plan_sheet
from plans.sheet_access import athlete_to_print_or_404
from plans.sheets import print_sheet


@require_GET
def plan(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """`?all=1`: also work that is not shown to the family, for readers of the plan."""
    athlete = athlete_to_print_or_404(request, uuid, what="plan sheet", action=Action.SEE_WORK)
    everything = request.GET.get("all") == "1"
    sheet = plan_sheet(athlete, account_of(request), facility_of(request), today_of(request), everything=everything)
    return _pdf(print_sheet(sheet), athlete, "plan-sheet")


@require_GET
def floor(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete = athlete_to_print_or_404(request, uuid, what="floor sheet", action=Action.SEE_PLAN)
    sheet = floor_sheet(athlete, account_of(request), facility_of(request), today_of(request), system_of(request))
    return _pdf(print_sheet(sheet), athlete, "floor-sheet")


def _pdf(content: bytes, athlete: Athlete, what: str) -> HttpResponse:
    """Shown in the browser, named for whoever saves it, kept by nobody in between."""
    name = slugify(athlete.name) or "athlete"
    return HttpResponse(
        content,
        content_type="application/pdf",
        headers={
            "Content-Disposition": f'inline; filename="{name}-{what}.pdf"',
            "Cache-Control": "no-store",
            "X-Content-Type-Options": "nosniff",
        },
    )
