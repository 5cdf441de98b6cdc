"""Two sessions or throws beside each other."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils.text import slugify
from django.views.decorators.http import require_GET

from athletes.pages import who_of
from athletes.policy import Action, role_may
from athletes.requests import account_of, facility_of, units_of
from athletes.saving import save_answer
from athletes.tabs import COMPARE, athlete_tabs
from athletes.today import facility_today
from metrics.compare_access import compared_or_404
from metrics.selectors.compare.curves import compare_curves
from metrics.selectors.compare.page import chosen_sides, compare_page, table_of
from metrics.selectors.compare.saved import compare_rows


@require_GET
def compare(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Everything stands in the address; without it the latest session and the comparable one before."""
    compared = compared_or_404(request, uuid)
    context = {
        "page": compare_page(compared, account_of(request), units_of(request)),
        "who": who_of(compared.athlete, facility_today(facility_of(request)), account_of(request)),
        "tabs": athlete_tabs(compared.athlete, account_of(request), COMPARE),
        "may_change": role_may(account_of(request), Action.CHANGE),
    }
    return render(request, "metrics/compare.html", context)


@require_GET
def curves(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """One curve of both sides; `curve` names it: without one that is known, not there."""
    compared = compared_or_404(request, uuid)
    if not compared.asked.curve:
        raise Http404
    return JsonResponse(compare_curves(chosen_sides(compared), compared.asked.curve))


@require_GET
def table(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """The table of the page, as CSV or as a workbook."""
    compared = compared_or_404(request, uuid, what="comparison saved")
    sides = chosen_sides(compared)
    name = f"{slugify(compared.athlete.family_name) or 'athlete'}-comparison"
    return save_answer(request, name, compare_rows(table_of(sides, compared), sides))
