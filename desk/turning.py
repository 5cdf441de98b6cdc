"""What answers while the screen is turned, and what may be turned at all."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import Resolver404, ResolverMatch, resolve, reverse

from athletes.access import athlete_or_404
from athletes.policy import Action
from athletes.turning import Turned, turned_of
from sessions.access import session_or_404

SESSION, OWN_PAGE = "metrics:session", "desk:mine"

PARTS: dict[str, frozenset[str]] = {
    SESSION: frozenset(
        {
            SESSION,
            "metrics:finding",
            "metrics:session-motion",
            "metrics:session-curves",
            "metrics:throw-figure",
            "metrics:throw-events",
        }
    ),
    OWN_PAGE: frozenset({OWN_PAGE}),
}
"""Of each page that can be turned, the addresses that answer: its own and those of its parts. All for the same uuid."""

WAYS_BACK = {"desk:turn-back": frozenset({"GET", "HEAD", "POST"}), "desk:turn-forgotten": frozenset({"POST"})}
READING = frozenset({"GET", "HEAD"})

TURNS_INTO = {SESSION: SESSION, "metrics:finding": SESSION, OWN_PAGE: OWN_PAGE, "desk:record": OWN_PAGE}
"""The pages that carry the button, and what stands on the screen then: a record shows the progress page."""

View = Callable[[HttpRequest], HttpResponse]


class TurnedMiddleware:
    """Stands behind sign-in: holds back everything but the turned page. No page of an account is kept by a browser."""

    def __init__(self, get_response: View) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        turned = turned_of(request) if request.user.is_authenticated else None
        response = self._answer(request, turned)
        if request.user.is_authenticated and not response.has_header("Cache-Control"):
            response["Cache-Control"] = "no-store"
        return response

    def _answer(self, request: HttpRequest, turned: Turned | None) -> HttpResponse:
        if turned is None:
            return self.get_response(request)
        if not passes(request, turned):
            return _held(request, turned)
        response = self.get_response(request)
        if request.path_info == turned.path and response.status_code in (403, 404):
            return HttpResponseRedirect(reverse("desk:turn-back"))  # it is gone, or no longer theirs to see
        return response


def passes(request: HttpRequest, turned: Turned) -> bool:
    """Only addresses of the list, only about the subject of the turned page, only to read."""
    match = _match(request.path_info)
    if match is None:
        return False
    if match.view_name in WAYS_BACK:
        return request.method in WAYS_BACK[match.view_name]
    is_part = match.view_name in PARTS[turned.page] and str(match.kwargs.get("uuid")) == turned.subject
    return is_part and request.method in READING


def turned_page(request: HttpRequest, path: str) -> Turned:
    """The page at this address as it would be turned, for staff who may open it. Raises Http404."""
    match = _match(path)
    page = TURNS_INTO.get(match.view_name) if match else None
    if match is None or page is None:
        raise Http404
    uuid: UUID = match.kwargs["uuid"]
    if page == SESSION:
        athlete = session_or_404(request, uuid, what="screen turned").capture.athlete
    else:
        athlete = athlete_or_404(request, uuid, what="screen turned", action=Action.CHANGE).athlete
    return Turned(page, reverse(page, args=[uuid]), str(uuid), str(athlete.uuid), athlete.given_name)


def _match(path: str) -> ResolverMatch | None:
    try:
        return resolve(path)
    except Resolver404:
        return None


def _held(request: HttpRequest, turned: Turned) -> HttpResponse:
    """A question leads back to the turned page; whatever would change something is refused."""
    if request.method not in READING:
        return render(request, "desk/turned_held.html", {"turned": turned}, status=403)
    if request.headers.get("HX-Request"):
        return HttpResponse(headers={"HX-Redirect": turned.path})
    return HttpResponseRedirect(turned.path)
