"""The loader of a comparison: the athlete, the two sessions that an address names, and whose they are.

An id that is not there for the reader is answered as one that is nowhere. A look is noted for each athlete.
"""

from __future__ import annotations

from uuid import UUID

from django.http import Http404, HttpRequest

from athletes.access import athlete_or_404
from athletes.models import Athlete
from athletes.policy import may_read_measured
from athletes.requests import account_of
from athletes.view_notes import note_view
from metrics.selectors.compare.asked import Asked, Compared, asked_by
from metrics.selectors.session_rows import RELATED
from sessions.models import CaptureSession


def compared_or_404(request: HttpRequest, uuid: UUID, *, what: str = "comparison") -> Compared:
    """403 for the athlete's own people who may not read the record."""
    athlete = athlete_or_404(request, uuid, what=what).athlete
    if not may_read_measured(account_of(request), athlete):
        raise Http404
    try:
        asked = asked_by(request.GET.dict())
    except ValueError:
        raise Http404 from None
    a, b = _named(request, asked.a), _named(request, asked.b)
    if a is not None and a.athlete_id != athlete.pk:
        raise Http404
    other = _whose(request, asked, athlete, b)
    if other.pk != athlete.pk:
        note_view(request, other, what)
    if b is not None and b.athlete_id != other.pk:
        b = None  # the list of sessions still shows somebody else's: one of this person's follows
    withdrawn = tuple(one for one in (a, b) if one is not None and one.withdrawn_at)
    a, b = (None if one in withdrawn else one for one in (a, b))
    return Compared(asked, athlete, other, a, b, withdrawn)


def _named(request: HttpRequest, uuid: UUID | None) -> CaptureSession | None:
    """The session, also a withdrawn one, so that a page can say so to whoever could have read it."""
    if uuid is None:
        return None
    seen = CaptureSession.everything.visible_to(account_of(request)).filter(uuid=uuid)
    capture = seen.select_related("athlete", *RELATED).first()
    if capture is None:
        raise Http404
    return capture


def _whose(request: HttpRequest, asked: Asked, athlete: Athlete, b: CaptureSession | None) -> Athlete:
    if asked.whom is None:
        return b.athlete if b is not None else athlete
    if asked.whom == athlete.uuid:
        return athlete
    other = Athlete.objects.readable_by(account_of(request)).filter(uuid=asked.whom).first()
    if other is None:
        raise Http404
    return other
