"""How one is reminded of follow-ups outside the application: a calendar address, a daily letter."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from athletes.models import User
from athletes.policy import Action, require
from athletes.requests import account_of
from athletes.services.mail import public_link
from plans.models import CalendarAddress, DigestChoice
from plans.services.calendar_addresses import make_calendar_address, revoke_calendar_address
from plans.services.digests import choose_digest


def _owner(request: HttpRequest) -> User:
    """403 for whoever gives no work and so has no follow-ups."""
    owner = account_of(request)
    require(owner, Action.WRITE_PLAN)
    return owner


@require_safe
def reminders(request: HttpRequest) -> HttpResponse:
    owner = _owner(request)
    context = {
        "address": CalendarAddress.objects.filter(owner=owner, revoked_at=None).first(),
        "wanted": not DigestChoice.objects.filter(owner=owner, wanted=False).exists(),
        "email": owner.email,
    }
    return render(request, "plans/reminders.html", context)


@require_POST
@never_cache
def make(request: HttpRequest) -> HttpResponse:
    """The address stands on this one answer and nowhere else."""
    secret = make_calendar_address(owner=_owner(request))
    address = public_link(reverse("plans:calendar", args=[secret]))
    return render(request, "plans/reminders_made.html", {"address": address})


@require_POST
def revoke(request: HttpRequest) -> HttpResponse:
    had = revoke_calendar_address(owner=_owner(request))
    messages.success(request, "Taken back: the old address answers nobody any more." if had else "There was none.")
    return redirect("plans:reminders")


@require_POST
def letter(request: HttpRequest) -> HttpResponse:
    wanted = request.POST.get("wanted") == "yes"
    choose_digest(owner=_owner(request), wanted=wanted)
    messages.success(request, "The letter comes again." if wanted else "No more daily letters.")
    return redirect("plans:reminders")
