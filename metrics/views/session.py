"""A session's page, and how each of its findings was decided."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from athletes.models import Athlete
from athletes.pages import record_url, who_of
from athletes.requests import account_of, facility_of, htmx_of, units_of
from athletes.tabs import SESSIONS, athlete_tabs
from athletes.today import facility_today
from athletes.turning import is_turned
from metrics.selectors.derived_screens import derived_screens
from metrics.selectors.finding_decision import decision_of
from metrics.selectors.for_visitor import is_outcome
from metrics.selectors.imports import athlete_options
from metrics.selectors.session_page import SessionPage, session_page
from metrics.selectors.session_rows import RELATED, findings_lag, read_session
from metrics.services.moving import move_with_findings
from metrics.services.withdrawing import restore_with_findings, withdraw_with_findings
from metrics.views.import_pages import many_uuids
from sessions.access import session_or_404, session_to_change, withdrawn_session_or_404
from sessions.models import CaptureSession
from sessions.pipeline import enqueue_stage

UNPROCESSABLE = 422


@require_GET
def session(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """First look and every flag; `?all=1` everything; asked for by htmx, the region alone."""
    capture, may_change = session_or_404(request, uuid, what="session", related=RELATED)
    page = page_for(request, capture, may_change, show_all=bool(request.GET.get("all")))
    if htmx_of(request):
        return render(request, "metrics/_session.html", {"page": page})
    if findings_lag(capture):
        enqueue_stage("score", capture.pk)
    return render(request, "metrics/session.html", page_context(request, capture, page))


def page_for(request: HttpRequest, capture: CaptureSession, may_change: bool, *, show_all: bool = False) -> SessionPage:
    """The page in the reader's units; for the athlete beside the coach while the screen is turned."""
    return session_page(
        capture,
        show_all=show_all,
        may_change=may_change,
        system=units_of(request),
        for_visitor=is_turned(request),
    )


def page_context(request: HttpRequest, capture: CaptureSession, page: SessionPage) -> dict[str, object]:
    """What the whole page needs around the region."""
    by_hand = capture.method == "hands_on" and not is_turned(request)
    return {
        "page": page,
        "body_and_load": derived_screens(capture.athlete, capture.date) if by_hand else (),
        "body_date": capture.date,
        "who": who_of(capture.athlete, facility_today(facility_of(request)), account_of(request)),
        "tabs": athlete_tabs(capture.athlete, account_of(request), SESSIONS),
        "compare_url": compare_url(capture),
    }


def compare_url(capture: CaptureSession) -> str:
    """This session beside the comparable one before it."""
    return f"{reverse('metrics:compare', args=[capture.athlete.uuid])}?b={capture.uuid}"


@require_GET
def finding(request: HttpRequest, uuid: UUID, metric: str) -> HttpResponse:
    """How this finding was decided: a row under its line for htmx, else a page of its own."""
    capture, may_change = session_or_404(request, uuid, what="finding", related=RELATED)
    rows = read_session(capture)
    decision = decision_of(metric, rows)
    if decision is None or (is_turned(request) and is_outcome(metric)):
        raise Http404
    if htmx_of(request):
        return render(request, "metrics/_decision_row.html", {"decision": decision})
    page = page_for(request, capture, may_change)
    context = {**page_context(request, capture, page), "decision": decision}
    return render(request, "metrics/session_finding.html", context)


@require_POST
def withdraw(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Takes the whole session away; the notice brings it back."""
    capture = session_to_change(request, uuid, what="session withdrawn")
    withdraw_with_findings(capture=capture, by=account_of(request))
    undo = reverse("metrics:session-restore", args=[capture.uuid])
    messages.success(request, f"The session of {capture.date:%-d %B %Y} is withdrawn.", extra_tags=f"undo:{undo}")
    return redirect(record_url(capture.athlete.uuid))


@require_POST
def restore(request: HttpRequest, uuid: UUID) -> HttpResponse:
    capture = withdrawn_session_or_404(request, uuid)
    try:
        restore_with_findings(capture=capture, by=account_of(request))
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect(record_url(capture.athlete.uuid))
    messages.success(request, "The session is back.")
    return redirect("metrics:session", capture.uuid)


@require_http_methods(["GET", "HEAD", "POST"])
def move(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Asked for, whose the session is; posted, it is moved. An Undo's address carries whose it was."""
    capture = session_to_change(request, uuid, what="session moved")
    if request.method != "POST":
        return _move_page(request, capture)
    wanted = many_uuids([request.POST.get("athlete") or request.GET.get("athlete", "")])
    to = Athlete.objects.visible_to(account_of(request)).filter(uuid__in=wanted).first()
    if to is None:
        return _move_page(request, capture, wrong="Choose the athlete whose session it is.")
    try:
        before = move_with_findings(capture=capture, to=to, by=account_of(request))
    except ValidationError as error:
        return _move_page(request, capture, wrong=" ".join(error.messages))
    undo = f"{reverse('metrics:session-move', args=[capture.uuid])}?athlete={before.uuid}"
    messages.success(request, f"The session is {to}’s now, and no longer {before}’s.", extra_tags=f"undo:{undo}")
    return redirect("metrics:session", capture.uuid)


def _move_page(request: HttpRequest, capture: CaptureSession, *, wrong: str = "") -> HttpResponse:
    """Which athlete; 422 when what was sent cannot be."""
    context = {
        "capture": capture,
        "who": who_of(capture.athlete, facility_today(facility_of(request)), account_of(request)),
        "athletes": athlete_options(account_of(request)),
        "wrong": wrong,
    }
    return render(request, "metrics/session_move.html", context, status=UNPROCESSABLE if wrong else 200)
