"""Giving work: one form filled in for one work or for a whole plan, and taking back what was just given."""

from __future__ import annotations

from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from athletes.models import Athlete
from athletes.pages import NO_READER, family_reader, who_of
from athletes.requests import account_of, facility_of
from athletes.tabs import PLAN, athlete_tabs
from athletes.today import facility_today
from plans.forms_prescribing import PlanForm, WorkForm, all_valid
from plans.models import Prescription
from plans.plan_access import plan_to_change
from plans.selectors.giving_page import GivingPage, giving_page
from plans.services.giving import PlannedWork, PlanRefused, give_plan
from plans.services.prescribing import Order
from plans.services.undoing import take_back_work

UNPROCESSABLE = 422
MOST_AT_ONCE = 3
DATES = ("start", "due")
Forms = tuple[PlanForm, list[WorkForm]]


@require_http_methods(["GET", "HEAD", "POST"])
def give(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """`?use=` names what is given, as often as there are works."""
    athlete = plan_to_change(request, uuid, what="form to give work")
    keys = list(dict.fromkeys(request.GET.getlist("use")))[:MOST_AT_ONCE]
    page = giving_page(athlete, keys, facility_today(facility_of(request)))
    if page is None:
        raise Http404
    forms = _forms(request, page)
    if request.method != "POST" or page.is_stopped or not all_valid([forms[0], *forms[1]]):
        return _page(request, athlete, page, forms)
    try:
        given = give_plan(athlete=athlete, works=_planned(page, forms), by=account_of(request))
    except PlanRefused as refused:
        _show(refused, forms)
        return _page(request, athlete, page, forms)
    undo = f"{reverse('plans:take-back', args=[uuid])}?{urlencode([('given', one.uuid) for one in given])}"
    messages.success(request, _said(given), extra_tags=f"undo:{undo}")
    return redirect("plans:plan", uuid)


@require_POST
def take_back(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete = plan_to_change(request, uuid, what="work taken back")
    try:
        rows = take_back_work(athlete=athlete, given=_uuids(request.GET.getlist("given")), by=account_of(request))
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, "Taken back." if rows else "Nothing was taken back.")
    return redirect("plans:plan", uuid)


def _forms(request: HttpRequest, page: GivingPage) -> Forms:
    posted = request.POST if request.method == "POST" else None
    works = [
        WorkForm(posted, base=one.dose, prefix=f"w{place}", number=one.version.number, options=one.options)
        for place, one in enumerate(page.works)
        if one.dose is not None
    ]
    return PlanForm(posted, initial={"start": page.start, "due": page.due}), works


def _planned(page: GivingPage, forms: Forms) -> list[PlannedWork]:
    plan, works = forms
    return [
        PlannedWork(
            version=one.version,
            order=Order(dose=form.dose, note=form.cleaned_data["note"], **plan.cleaned_data),
            reasons=form.chosen,
            is_newest=form.cleaned_data["seen"] == one.version.number,
        )
        for one, form in zip(page.works, works, strict=True)
    ]


def _show(refused: PlanRefused, forms: Forms) -> None:
    """What concerns the dates stands at the dates, once; the rest at its work."""
    plan, works = forms
    for place, error in refused.errors.items():
        named = error.error_dict if hasattr(error, "error_dict") else {"": [error]}
        for name, problems in named.items():
            if name not in DATES:
                works[place].refuse(ValidationError(problems))
            elif not plan.has_error(name):
                plan.refuse(ValidationError({name: problems}))


def _page(request: HttpRequest, athlete: Athlete, page: GivingPage, forms: Forms) -> HttpResponse:
    reader = account_of(request)
    plan, works = forms
    context = {
        "athlete": athlete,
        "page": page,
        "plan": plan,
        "works": list(zip(page.works, works, strict=True)) if len(works) == len(page.works) else [],
        "who": who_of(athlete, page.start, reader),
        "tabs": athlete_tabs(athlete, reader, PLAN),
    }
    return render(request, "plans/give.html", context, status=UNPROCESSABLE if request.method == "POST" else 200)


def _said(given: list[Prescription]) -> str:
    names = " and ".join(f"“{one.version.name}”" for one in given)
    shown = "The family does not read it yet."
    if given[0].is_shown:
        shown = "The family reads it now." if family_reader(given[0].athlete) else NO_READER
    return f"Given: {names}. {shown}"


def _uuids(texts: list[str]) -> list[UUID]:
    try:
        return [UUID(text) for text in texts]
    except ValueError:
        raise Http404 from None
