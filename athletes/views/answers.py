"""The one page on which every form of this room stands."""

from __future__ import annotations

import datetime as dt

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme

from athletes.forms import ServiceForm
from athletes.models import Athlete
from athletes.pages import back_url, who_of
from athletes.requests import account_of, facility_of
from athletes.today import facility_today

UNPROCESSABLE = 422


def today_of(request: HttpRequest) -> dt.date:
    return facility_today(facility_of(request))


def system_of(request: HttpRequest) -> str:
    """The reader's units, else the facility's: what a typed number without a unit is in."""
    return account_of(request).units or facility_of(request).units


def form_page(
    request: HttpRequest,
    form: ServiceForm,
    *,
    heading: str,
    button: str,
    athlete: Athlete | None = None,
    lede: str = "",
) -> HttpResponse:
    """The form with what was typed and what was wrong; 422 when it was sent and refused."""
    context = {
        "form": form,
        "heading": heading,
        "button": button,
        "lede": lede,
        "athlete": athlete,
        "who": who_of(athlete, today_of(request), account_of(request)) if athlete else None,
        "back": way_back(request, athlete),
    }
    return render(request, "athletes/form.html", context, status=UNPROCESSABLE if form.errors else 200)


def done(request: HttpRequest, athlete: Athlete, sentence: str, *, undo: str = "") -> HttpResponse:
    """Back to where the form was asked for, else to the athlete; with a notice and, given an address, its Undo."""
    messages.success(request, sentence, extra_tags=f"undo:{undo}" if undo else "")
    return HttpResponseRedirect(way_back(request, athlete))


def way_back(request: HttpRequest, athlete: Athlete | None) -> str:
    """`?next=` of the page that led here, when it is one of ours; the address of another site is not followed."""
    asked = request.GET.get("next", "")
    if url_has_allowed_host_and_scheme(asked, allowed_hosts=None, require_https=request.is_secure()):
        return asked
    return back_url(athlete, account_of(request)) if athlete else "/"
