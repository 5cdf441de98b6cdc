"""Pictures of a session's recorded throws, and the events that a person moves."""

from __future__ import annotations

from typing import TypeVar
from uuid import UUID

from django.core.exceptions import BadRequest
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from athletes.requests import account_of, htmx_of
from athletes.turning import is_turned
from metrics.forms_motion import EventForm, MoveEventForm
from metrics.kinematics import NotMeasured
from metrics.measuring import curves as known_curves
from metrics.selectors.curves import curves_json
from metrics.selectors.for_visitor import curves_for_visitor, shows_outcome
from metrics.selectors.motion import events_of, figure_json, motion_page, recorded_throws
from metrics.services.motion.arrays import ArraysLost
from metrics.services.motion.measuring import move_event, restore_event
from metrics.views.throws import page_now, perform, throw_to_change
from sessions.access import session_or_404
from sessions.models import CaptureSession, Throw

GONE = 410
MILLISECONDS = 1000.0
Form = TypeVar("Form", bound=EventForm)


@require_GET
def motion(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """The section of a session's page; it asks for its own data."""
    capture, may_change = session_or_404(request, uuid, what="moving figure")
    shown = curves_for_visitor() if is_turned(request) else known_curves.CURVES
    return render(
        request, "metrics/_motion.html", {"motion": motion_page(capture, may_change=may_change, curves=shown)}
    )


@require_GET
def curves(request: HttpRequest, uuid: UUID) -> HttpResponse:
    capture, may_change = session_or_404(request, uuid, what="curves")
    name = request.GET.get("curve", "")
    if name not in known_curves.BY_NAME or (is_turned(request) and shows_outcome(name)):
        raise Http404
    return JsonResponse(curves_json(capture, name, may_move=may_change))


@require_GET
def figure(request: HttpRequest, uuid: UUID, throw_uuid: UUID) -> HttpResponse:
    capture, _ = session_or_404(request, uuid, what="moving figure")
    throw = _recorded(capture, throw_uuid)
    try:
        return JsonResponse(figure_json(capture, throw))
    except (NotMeasured, ArraysLost) as refused:
        return JsonResponse({"error": refused.sentence}, status=GONE)


@require_GET
def events(request: HttpRequest, uuid: UUID, throw_uuid: UUID) -> HttpResponse:
    """The throw's events, with what moves them."""
    capture, may_change = session_or_404(request, uuid, what="events")
    return render(request, "metrics/_motion_events.html", _events(capture, _recorded(capture, throw_uuid), may_change))


@require_POST
def move(request: HttpRequest, uuid: UUID, throw_uuid: UUID) -> HttpResponse:
    """Posted by a form, or by an Undo, whose address carries what stood before."""
    capture, throw, form = _to_move(request, uuid, throw_uuid, MoveEventForm)
    zero, read_at = throw.motion.events["fc"], form.cleaned_data["read_at"]
    event, time_s = form.cleaned_data["event"], zero + form.cleaned_data["time_ms"] / MILLISECONDS
    status = perform(
        request,
        capture,
        lambda: move_event(throw=throw, event=event, time_s=time_s, by=account_of(request), read_at=read_at),
        f"{form.event_name} of throw {throw.number} moved; its readings and the findings follow.",
        f"{reverse('metrics:throw-event-restore', args=[uuid, throw_uuid])}?event={event}",
    )
    return _moved(request, capture, throw_uuid, status)


@require_POST
def restore(request: HttpRequest, uuid: UUID, throw_uuid: UUID) -> HttpResponse:
    """Takes the time that was found again."""
    capture, throw, form = _to_move(request, uuid, throw_uuid, EventForm)
    event, read_at = form.cleaned_data["event"], form.cleaned_data["read_at"]
    status = perform(
        request,
        capture,
        lambda: restore_event(throw=throw, event=event, by=account_of(request), read_at=read_at),
        f"{form.event_name} of throw {throw.number} is where it was found.",
    )
    return _moved(request, capture, throw_uuid, status)


def _to_move(
    request: HttpRequest, uuid: UUID, throw_uuid: UUID, kind: type[Form]
) -> tuple[CaptureSession, Throw, Form]:
    capture, _ = throw_to_change(request, uuid, throw_uuid)
    form = kind(request.POST if "event" in request.POST else request.GET)
    if not form.is_valid():
        raise BadRequest
    return capture, _recorded(capture, throw_uuid), form


def _moved(request: HttpRequest, capture: CaptureSession, throw_uuid: UUID, status: int) -> HttpResponse:
    """For htmx the session's region and the throw's events; without script back to the page."""
    if not htmx_of(request):
        return redirect(f"{reverse('metrics:session', args=[capture.uuid])}#motion")
    fresh, page = page_now(request, capture)
    context = {"page": page, **_events(fresh, _recorded(fresh, throw_uuid), may_change=True)}
    return render(request, "metrics/_motion_moved.html", context, status=status)


def _recorded(capture: CaptureSession, throw_uuid: UUID) -> Throw:
    found = next((throw for throw in recorded_throws(capture) if throw.uuid == throw_uuid), None)
    if found is None:
        raise Http404
    return found


def _events(capture: CaptureSession, throw: Throw, may_change: bool) -> dict[str, object]:
    return {"capture": capture, "throw": throw, "lines": events_of(throw), "may_change": may_change}
