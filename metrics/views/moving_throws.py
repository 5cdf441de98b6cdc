"""Throws of a session that belong to somebody else: which, whose, and back again in one tap."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from athletes.models import Athlete
from athletes.pages import who_of
from athletes.requests import account_of, facility_of
from athletes.today import facility_today
from athletes.view_notes import note_view
from athletes.words import counted
from metrics.forms_throws import MoveThrowsForm
from metrics.selectors.imports import athlete_options
from metrics.selectors.session_throws import throw_lines
from metrics.services.moving import move_throws_back_with_findings, move_throws_with_findings
from metrics.views.import_pages import many_uuids
from sessions.access import session_to_change
from sessions.models import CaptureSession
from sessions.services.inputs import ChangedMeanwhile
from sessions.services.moving_throws import last_moving

CONFLICT, UNPROCESSABLE = 409, 422


@require_http_methods(["GET", "HEAD", "POST"])
def move_throws_page(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Asked for, the throws to choose from; posted, those that were chosen are moved."""
    capture = session_to_change(request, uuid, what="throws moved")
    form = MoveThrowsForm(request.POST if request.method == "POST" else None)
    if request.method != "POST" or not form.is_valid():
        return _page(request, capture, form, wrong=form.sentence)
    wanted = many_uuids([form.cleaned_data["athlete"]])
    to = Athlete.objects.visible_to(account_of(request)).filter(uuid__in=wanted).first()
    if to is None:
        return _page(request, capture, form, wrong="Choose the athlete who threw them.")
    chosen = {"numbers": form.cleaned_data["throws"], "read_at": form.cleaned_data["read_at"]}
    try:
        moved = move_throws_with_findings(capture=capture, to=to, by=account_of(request), **chosen)
    except ChangedMeanwhile as changed:
        return _page(request, capture, form, wrong=changed.sentence, status=CONFLICT)
    except ValidationError as error:
        return _page(request, capture, form, wrong=" ".join(error.messages))
    note_view(request, to, "throws moved")
    undo = reverse("metrics:throws-move-back", args=[capture.uuid])
    said = f"{_words(moved.how_many)} {to}’s now, in {'a new' if moved.made else 'their'} session of that day."
    messages.success(request, said, extra_tags=f"undo:{undo}")
    return redirect("metrics:session", capture.uuid)


@require_POST
def move_back(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Takes the last moving of this session's throws back."""
    capture = session_to_change(request, uuid, what="throws moved back")
    entry = last_moving(capture)
    if entry is None:
        messages.error(request, "This session changed again since, or the throws are back. Look at it as it is now.")
        return redirect("metrics:session", capture.uuid)
    try:
        moved = move_throws_back_with_findings(entry=entry, by=account_of(request))
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        note_view(request, moved.target.athlete, "throws moved back")
        messages.success(request, f"{_words(moved.how_many)} {capture.athlete}’s again.")
    return redirect("metrics:session", capture.uuid)


def _words(count: int) -> str:
    return f"{counted(count, 'throw')} {'is' if count == 1 else 'are'}"


def _page(
    request: HttpRequest, capture: CaptureSession, form: MoveThrowsForm, *, wrong: str = "", status: int = UNPROCESSABLE
) -> HttpResponse:
    context = {
        "capture": capture,
        "who": who_of(capture.athlete, facility_today(facility_of(request)), account_of(request)),
        "lines": throw_lines(capture),
        "athletes": athlete_options(account_of(request)),
        "form": form,
        "chosen": form.chosen,
        "wrong": wrong,
    }
    return render(request, "metrics/throws_move.html", context, status=status if wrong else 200)
