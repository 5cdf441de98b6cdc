"""An athlete's metrics over weeks: the page, and its numbers to take away."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.text import slugify
from django.views.decorators.http import require_GET

from athletes.pages import who_of
from athletes.requests import account_of, facility_of, units_of
from athletes.saving import save_answer
from athletes.tabs import TRENDS, athlete_tabs
from athletes.today import facility_today
from metrics.selectors.trends.choice import choice_from
from metrics.selectors.trends.page import trends_page
from metrics.selectors.trends.tables import trends_table
from metrics.trend_access import athlete_measured_or_404


@require_GET
def trends(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """`?metric=` is opened large, `?all=1` all metrics, `?method=` another capture method, `?order=delivery`."""
    athlete, may_change = athlete_measured_or_404(request, uuid, what="trends")
    reader = account_of(request)
    context = {
        "athlete": athlete,
        "page": trends_page(athlete, reader, choice_from(request.GET.dict()), system=units_of(request)),
        "who": who_of(athlete, facility_today(facility_of(request)), reader),
        "tabs": athlete_tabs(athlete, reader, TRENDS),
        "may_change": may_change,
    }
    return render(request, "metrics/trends.html", context)


@require_GET
def trends_csv(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Findings by the method: of `?metric=` in all sessions, or of all metrics in those that the page draws."""
    athlete, _ = athlete_measured_or_404(request, uuid, what="trends saved")
    choice = choice_from(request.GET.dict())
    rows = list(trends_table(athlete, account_of(request), method=choice.method, metric=choice.metric))
    if choice.metric and len(rows) == 1:
        raise Http404
    name = "-".join(filter(None, (slugify(athlete.family_name) or "athlete", choice.metric, "trends")))
    return save_answer(request, slugify(name.replace("_", "-")), rows)
