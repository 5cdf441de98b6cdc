"""Ticks of today's work. The page's script asks for the list alone; without it the page comes again."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.template.loader import render_to_string
from django.views.decorators.http import require_POST

from athletes.models import Athlete
from athletes.requests import account_of
from athletes.views.answers import UNPROCESSABLE, today_of, way_back
from plans.forms_work import ThrowsForm, TickForm
from plans.selectors.todays_work import todays_work
from plans.services.ticks import correct_throws, take_back_tick, tick_work
from plans.work_access import work_to_tick


@require_POST
def tick(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """One day done, or not done after all."""
    row, by = work_to_tick(request, uuid), account_of(request)
    form = TickForm(request.POST)
    if form.is_valid():
        day, sent = form.cleaned_data["date"], form.cleaned_data["tick"]
        try:
            if form.cleaned_data["done"] == "1":
                tick_work(prescription=row, on=day, uuid=sent, by=by)
            else:
                take_back_tick(prescription=row, on=day, by=by)
        except ValidationError as error:
            form.refuse(error)
    return _answer(request, row.athlete, form)


@require_POST
def throws(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """How many throws a ticked drill was."""
    row = work_to_tick(request, uuid)
    form = ThrowsForm(request.POST)
    if form.is_valid():
        form.hand_to(correct_throws, prescription=row, by=account_of(request))
    return _answer(request, row.athlete, form)


def _answer(request: HttpRequest, athlete: Athlete, form: TickForm | ThrowsForm) -> HttpResponse:
    said = " ".join(str(sentence) for problems in form.errors.values() for sentence in problems)
    if request.headers.get("X-Requested-With") != "fetch":
        if said:
            messages.error(request, said)
        return HttpResponseRedirect(f"{way_back(request, athlete)}#work")
    work = todays_work(athlete, account_of(request), today_of(request))
    part = render_to_string("plans/_work_list.html", {"work": work}, request)
    told = {"athlete": str(athlete.uuid), "said": said, "list": part}
    return JsonResponse(told, status=UNPROCESSABLE if said else 200)
