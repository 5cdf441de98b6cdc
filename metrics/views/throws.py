"""A person's word on a throw: left out, taken back, thrown otherwise. The findings follow in the same answer."""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from athletes.requests import account_of, htmx_of, units_of
from metrics.forms_throws import REASONS, ConditionsForm, ExcludeForm, RevisionForm
from metrics.judging.values import CONDITION_FIELDS
from metrics.selectors.session_page import SessionPage, session_page
from metrics.selectors.session_rows import RELATED
from metrics.services.scoring import rescore
from metrics.views.session import page_context
from sessions.access import session_or_404, session_to_change
from sessions.models import CaptureSession, Throw
from sessions.services.inputs import ChangedMeanwhile
from sessions.services.throws import exclude_throw, include_throw, set_conditions

OK, CONFLICT, UNPROCESSABLE = 200, 409, 422


@require_http_methods(["GET", "HEAD", "POST"])
def exclude(request: HttpRequest, uuid: UUID, throw_uuid: UUID) -> HttpResponse:
    """Asked for, the reasons to choose from; posted, the throw is left out."""
    if request.method != "POST":
        return _form(request, uuid, throw_uuid, "exclude")
    capture, thrown = throw_to_change(request, uuid, throw_uuid)
    form = ExcludeForm(request.POST)
    form.is_valid()
    reason, read_at = form.cleaned_data.get("reason", ""), form.cleaned_data.get("read_at")
    undo = reverse("metrics:throw-include", args=[uuid, throw_uuid])
    return act_and_answer(
        request,
        capture,
        lambda: exclude_throw(throw=thrown, by=account_of(request), reason=reason, read_at=read_at),
        f"Throw {thrown.number} left out: {reason}.",
        undo,
    )


@require_POST
def include(request: HttpRequest, uuid: UUID, throw_uuid: UUID) -> HttpResponse:
    capture, thrown = throw_to_change(request, uuid, throw_uuid)
    form = RevisionForm(request.POST)
    form.is_valid()
    return act_and_answer(
        request,
        capture,
        lambda: include_throw(throw=thrown, by=account_of(request), read_at=form.cleaned_data.get("read_at")),
        f"Throw {thrown.number} counts again.",
    )


@require_http_methods(["GET", "HEAD", "POST"])
def conditions(request: HttpRequest, uuid: UUID, throw_uuid: UUID) -> HttpResponse:
    """Posted by a form, or by an Undo, whose address carries what stood before."""
    if request.method != "POST":
        return _form(request, uuid, throw_uuid, "conditions")
    capture, thrown = throw_to_change(request, uuid, throw_uuid)
    form = ConditionsForm(request.POST if "pitch_type" in request.POST else request.GET)
    if not form.is_valid():
        return _refuse(request, capture, "Choose each condition from its list.", UNPROCESSABLE)
    before = {name: getattr(thrown, name) for name in CONDITION_FIELDS}
    undo = f"{reverse('metrics:throw-conditions', args=[uuid, throw_uuid])}?{urlencode(before)}"
    read_at = form.cleaned_data["read_at"]
    return act_and_answer(
        request,
        capture,
        lambda: set_conditions(throw=thrown, by=account_of(request), conditions=form.conditions, read_at=read_at),
        f"Conditions of throw {thrown.number} changed.",
        undo,
    )


def _form(request: HttpRequest, uuid: UUID, throw_uuid: UUID, do: str) -> HttpResponse:
    """The throw's row with its form open: the row alone for htmx, else the whole page."""
    capture, may_change = session_or_404(request, uuid, what="session", related=RELATED)
    if not may_change:
        raise PermissionDenied
    page = session_page(capture, may_change=may_change, system=units_of(request))
    line = next((line for line in page.throws.lines if line.uuid == throw_uuid), None)
    if line is None:
        raise Http404
    form = ConditionsForm(initial={name: getattr(line, name) for name in CONDITION_FIELDS}, auto_id=False)
    context = {"page": page, "line": line, "opened": throw_uuid, "do": do, "form": form, "reasons": REASONS}
    if htmx_of(request):
        return render(request, "metrics/_throw_row.html", context)
    return render(request, "metrics/session.html", {**page_context(request, capture, page), **context})


def throw_to_change(request: HttpRequest, uuid: UUID, throw_uuid: UUID) -> tuple[CaptureSession, Throw]:
    capture = session_to_change(request, uuid, what="session")
    thrown = capture.throws.filter(uuid=throw_uuid).first()
    if thrown is None:
        raise Http404
    thrown.session = capture
    return capture, thrown


def act_and_answer(
    request: HttpRequest, capture: CaptureSession, act: Callable[[], object], said: str, undo: str = ""
) -> HttpResponse:
    """Does it, scores anew, and answers with the page as it now is, or says why it was not done."""
    return _answer(request, capture, status=perform(request, capture, act, said, undo))


def perform(request: HttpRequest, capture: CaptureSession, act: Callable[[], object], said: str, undo: str = "") -> int:
    """Does it and scores anew, or does nothing; the notice says which. Gives the answer's status."""
    try:
        act()
    except ChangedMeanwhile as changed:
        messages.error(request, changed.sentence)
        return CONFLICT
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return UNPROCESSABLE
    rescore(capture)
    messages.success(request, said, extra_tags=f"undo:{undo}" if undo else "")
    return OK


def _refuse(request: HttpRequest, capture: CaptureSession, sentence: str, status: int) -> HttpResponse:
    messages.error(request, sentence)
    return _answer(request, capture, status=status)


def _answer(request: HttpRequest, capture: CaptureSession, *, status: int = 200) -> HttpResponse:
    """For htmx the region; without script back to the throws, or the page itself when nothing was done."""
    if status == OK and not htmx_of(request):
        return HttpResponseRedirect(f"{reverse('metrics:session', args=[capture.uuid])}#throws")
    fresh, page = page_now(request, capture)
    if htmx_of(request):
        return render(request, "metrics/_session.html", {"page": page, "acted": True}, status=status)
    return render(request, "metrics/session.html", page_context(request, fresh, page), status=status)


def page_now(request: HttpRequest, capture: CaptureSession) -> tuple[CaptureSession, SessionPage]:
    """The session as it now is, and its page with as many lines as the reader has open."""
    fresh, may_change = session_or_404(request, capture.uuid, what="session", related=RELATED)
    shows_all = "all=1" in (htmx_of(request).current_url or "")
    return fresh, session_page(fresh, show_all=shows_all, may_change=may_change, system=units_of(request))
