"""Looks at athletes' records, collected while a request is answered and written once at its end."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from athletes.models import Athlete, ViewLog
from athletes.reference import request_reference
from athletes.requests import account_of

# A refused request showed nothing.
REFUSALS = frozenset({403, 404, 405})


def _collected(request: HttpRequest) -> dict[tuple[UUID, str], None]:
    plain = getattr(request, "_request", request)  # a DRF request wraps Django's
    return plain.__dict__.setdefault("athlete_views", {})


def note_view(request: HttpRequest, athlete: Athlete, what: str) -> None:
    """Called by the loaders of every room. Once a request, athlete and page; not for the athlete's own look."""
    if athlete.account_id is None or athlete.account_id != account_of(request).pk:
        _collected(request)[athlete.uuid, what] = None


def write_views(request: HttpRequest, response: HttpResponse) -> None:
    """One INSERT. What cannot be logged is not shown: an error here replaces the page."""
    views = _collected(request)
    if not views or response.status_code in REFUSALS:
        return
    who, now, reference = account_of(request), timezone.now(), request_reference.get()
    ViewLog.objects.bulk_create(
        ViewLog(
            when=now,
            who=who.uuid,
            role=who.role,
            athlete_uuid=athlete_uuid,
            what=what[:60],
            request_reference=reference,
        )
        for athlete_uuid, what in views
    )
