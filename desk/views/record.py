"""An athlete's record: all of it for staff and the clinician in charge, one word for a visiting coach."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from athletes.access import athlete_or_404, kept_instead
from athletes.models import Role
from athletes.pages import who_of
from athletes.policy import Action, may_read_measured, role_may
from athletes.requests import account_of, facility_of
from athletes.tabs import RECORD, SESSIONS, athlete_tabs
from desk.selectors.groups import groups_visible_to, word_of
from desk.selectors.record import record_facts
from desk.selectors.shares import shares_told
from desk.selectors.timeline import KINDS, timeline
from desk.views.access import today_of
from desk.views.own import mine
from metrics.selectors.derived_screens import derived_screens
from plans.selectors.throwing import throwing_line

ENTRIES_A_PAGE = 60


@require_GET
def record(request: HttpRequest, uuid: UUID) -> HttpResponse:
    try:
        return PAGES.get(account_of(request).role, full_record)(request, uuid)
    except Http404:
        kept = kept_instead(request, uuid)
        if kept is None:
            raise
        return redirect("desk:record", kept.uuid)


def full_record(request: HttpRequest, uuid: UUID) -> HttpResponse:
    loaded = athlete_or_404(request, uuid, what="record")
    athlete, today = loaded.athlete, today_of(request)
    kind = request.GET.get("kind", "")
    entries = timeline(athlete, account_of(request), today, kind)
    context = {
        "athlete": athlete,
        "today": today,
        "who": {**who_of(athlete, today, account_of(request)), "pain_url": ""},  # it leads here
        "tabs": athlete_tabs(athlete, account_of(request), SESSIONS if kind == "session" else RECORD),
        "facts": record_facts(athlete, facility_of(request), today),
        "body_and_load": derived_screens(athlete, today) if may_read_measured(account_of(request), athlete) else (),
        "throwing": throwing_line(athlete, account_of(request), facility_of(request), today),
        "entries": Paginator(entries, ENTRIES_A_PAGE).get_page(request.GET.get("page", 1)),
        "kinds": KINDS,
        "kind": kind if kind in KINDS else "",
        "may_change": loaded.may_change,
        "may_set_availability": role_may(account_of(request), Action.SET_AVAILABILITY),
        "may_enter_screens": role_may(account_of(request), Action.ENTER_SCREENS),
        "may_clear": role_may(account_of(request), Action.RECORD_CLEARANCE),
    }
    return render(request, "desk/record.html", context)


def availability_word(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """What a visiting coach may know: the word of availability, and what was shared."""
    athlete = athlete_or_404(request, uuid, what="availability", action=Action.SEE_AVAILABILITY).athlete
    word = word_of(athlete, today_of(request))
    context = {
        "member": word,
        "groups": groups_visible_to(account_of(request)).filter(athletes=athlete),
        "shares": shares_told(athlete, account_of(request)),
    }
    return render(request, "desk/availability.html", context)


PAGES: dict[str, Callable[[HttpRequest, UUID], HttpResponse]] = {
    Role.VISITING_COACH: availability_word,
    Role.ATHLETE: mine,
    Role.GUARDIAN: mine,
}
