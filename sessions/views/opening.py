"""Opening a session for files that come from a capture room, and closing it."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from athletes.access import athlete_or_404
from athletes.policy import Action
from athletes.requests import account_of
from athletes.views.answers import form_page, today_of
from sessions.access import session_on_watch, session_to_change
from sessions.forms import OpenSessionForm
from sessions.selectors import awaited_by
from sessions.services.open_sessions import close_session, open_session, reopen_session


@require_http_methods(["GET", "POST"])
def open_new(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Says where and when; the session's page then takes the files."""
    athlete = athlete_or_404(request, uuid, what="open a session", action=Action.CHANGE).athlete
    form = OpenSessionForm(request.POST or None, initial={"date": today_of(request)})
    if form.is_valid() and form.hand_to(open_session, athlete=athlete, by=account_of(request)):
        return redirect("metrics:session", form.result.uuid)
    return form_page(
        request,
        form,
        heading="Open a session",
        button="Open",
        athlete=athlete,
        lede="Recordings that you drop on its page are taken as they come, throw by throw, until you close it.",
    )


@require_safe
def arrivals(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """What became of files that were sent to this session; tells the page when the session has changed since."""
    capture = session_on_watch(request, uuid)
    seen = request.GET.get("read_at", "")
    answer = render(
        request,
        "sessions/_arrivals.html",
        {"capture": capture, "awaited": awaited_by(capture)},
    )
    if seen and seen != str(capture.input_revision):
        answer["HX-Trigger"] = "session-changed"
    return answer


@require_POST
def close(request: HttpRequest, uuid: UUID) -> HttpResponse:
    capture = session_to_change(request, uuid, what="session")
    close_session(capture=capture, by=account_of(request))
    undo = reverse("sessions:session-reopen", args=[capture.uuid])
    messages.success(request, "The session is closed: new files are looked at first.", extra_tags=f"undo:{undo}")
    return redirect("metrics:session", capture.uuid)


@require_POST
def reopen(request: HttpRequest, uuid: UUID) -> HttpResponse:
    capture = session_to_change(request, uuid, what="session")
    reopen_session(capture=capture, by=account_of(request))
    messages.success(request, "The session is open again.")
    return redirect("metrics:session", capture.uuid)
