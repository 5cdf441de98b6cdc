"""The pages of athletes and their families."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from athletes.access import athlete_or_404
from athletes.models import Role
from athletes.pages import stop_of
from athletes.policy import Action, role_may
from athletes.requests import account_of, facility_of
from athletes.saving import save_answer
from desk.selectors.family_notes import family_notes
from desk.selectors.looks import looks_page, looks_table, roles_that_looked
from desk.selectors.own import next_look_of, own_athletes, own_page, own_pages
from desk.selectors.shares import told_of
from desk.views.access import today_of
from metrics.share_access import share_or_404
from plans.selectors.throwing import throwing_line
from plans.selectors.todays_work import todays_work


@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """Their own page; a guardian of several chooses whose."""
    pages = own_pages(account_of(request))
    if len(pages) == 1:
        return mine(request, pages[0])
    children = own_athletes(account_of(request), today_of(request))
    return render(request, "desk/children.html", {"children": children})


@require_GET
def mine(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete = athlete_or_404(request, uuid, what="progress page", action=Action.SEE_OWN_PAGE).athlete
    page = own_page(athlete, account_of(request), facility_of(request), today_of(request))
    asked = (athlete, account_of(request))
    work = todays_work(*asked, today_of(request))
    context = {
        "page": page,
        "athlete": athlete,
        "look": next_look_of(page, work),
        "work": work,
        "notes": family_notes(athlete),
        "throwing": throwing_line(*asked, facility_of(request), today_of(request)),
    }
    return render(request, "desk/mine.html", context)


@require_GET
def shared(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """One share, for all who may read it: the family, staff, and the visiting coach of a group."""
    share = share_or_404(request, uuid)
    reader = account_of(request)
    # Why somebody is stopped is not for a visiting coach.
    may_know = role_may(reader, Action.SEE_OWN_PAGE)
    context = {
        "who": stop_of(share.athlete, today_of(request), reader) if may_know else None,
        "told": told_of(share, share.athlete),
        "athlete": share.athlete,
        "is_self": share.athlete.account_id == reader.pk,
        "is_visiting": reader.role == Role.VISITING_COACH,
    }
    return render(request, "desk/shared.html", context)


@require_GET
def looks(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Who looked at the record: for the athlete, a guardian and an admin."""
    athlete = athlete_or_404(request, uuid, what="who looked", action=Action.READ_VIEW_LOG).athlete
    reader, role = account_of(request), request.GET.get("role", "")
    page, lines = looks_page(athlete, reader, request.GET.get("page", 1), role)
    context = {
        "athlete": athlete,
        "page": page,
        "looks": lines,
        "roles": roles_that_looked(athlete),
        "role": role,
        "is_self": athlete.account_id == reader.pk,
        "who": stop_of(athlete, today_of(request), reader),
    }
    return render(request, "desk/looks.html", context)


@require_GET
def save_looks(request: HttpRequest, uuid: UUID) -> HttpResponse:
    athlete = athlete_or_404(request, uuid, what="who looked saved", action=Action.READ_VIEW_LOG).athlete
    return save_answer(request, f"who-looked-{today_of(request):%Y-%m-%d}", looks_table(athlete, account_of(request)))
