"""A coach's word on the starting point: taken, put aside, another put first; and taken back."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_POST

from athletes.requests import account_of, htmx_of
from metrics.forms_starting_point import StartingPointForm
from metrics.models import StartingPointAnswer
from metrics.selectors.session_rows import read_session
from metrics.selectors.session_trace import trace_session
from metrics.services.starting_points import answer_starting_point, take_back_answer
from metrics.views.session import page_context
from metrics.views.throws import CONFLICT, OK, UNPROCESSABLE, page_now
from sessions.access import session_to_change
from sessions.models import CaptureSession

CHANGED = (
    "The findings or the cause links changed after you opened this page. Look at the starting point as it is now, and "
    "answer again."
)
CHOOSE = "Choose a starting point from the list, and say what you make of it."
SAID = {"accepted": "Taken as the starting point.", "rejected": "Put aside.", "own": "Put first."}


@require_POST
def answer(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Keeps the answer when the page showed the trace that stands now."""
    capture = session_to_change(request, uuid, what="starting point")
    form = StartingPointForm(request.POST)
    traced = trace_session(read_session(capture))
    if not form.is_valid() or traced is None:
        return _answer(request, capture, CHOOSE, UNPROCESSABLE)
    if form.cleaned_data["seen"] != traced.seen:
        return _answer(request, capture, CHANGED, CONFLICT)
    kind, reason = form.cleaned_data["kind"], form.cleaned_data["reason"]

    def keep() -> StartingPointAnswer:
        return answer_starting_point(
            session=capture, kind=kind, node=form.answered, by=account_of(request), reason=reason,
            traced=traced.as_answered(),
        )  # fmt: skip

    return _do(request, capture, keep, SAID[kind])


@require_POST
def take_back(request: HttpRequest, uuid: UUID, answer_uuid: UUID) -> HttpResponse:
    capture = session_to_change(request, uuid, what="starting point")
    found = StartingPointAnswer.objects.filter(session=capture, uuid=answer_uuid).first()
    if found is None:
        raise Http404
    return _do(request, capture, lambda: take_back_answer(answer=found, by=account_of(request)), "Taken back.")


def _do(
    request: HttpRequest, capture: CaptureSession, act: Callable[[], StartingPointAnswer], said: str
) -> HttpResponse:
    try:
        kept = act()
    except ValidationError as error:
        return _answer(request, capture, " ".join(error.messages), UNPROCESSABLE)
    undo = reverse("metrics:starting-point-take-back", args=[capture.uuid, kept.uuid])
    messages.success(request, said, extra_tags=f"undo:{undo}" if kept.taken_back_at is None else "")
    return _answer(request, capture)


def _answer(request: HttpRequest, capture: CaptureSession, wrong: str = "", status: int = OK) -> HttpResponse:
    """For htmx the region; without script the page at the panel."""
    if wrong:
        messages.error(request, wrong)
    if status == OK and not htmx_of(request):
        return HttpResponseRedirect(f"{reverse('metrics:session', args=[capture.uuid])}#starting-point")
    fresh, page = page_now(request, capture)
    if htmx_of(request):
        return render(request, "metrics/_session.html", {"page": page, "answered": True}, status=status)
    return render(request, "metrics/session.html", page_context(request, fresh, page), status=status)
