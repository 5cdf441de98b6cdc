"""The loader of athletes for prints of their work."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404, HttpRequest

from athletes.models import Athlete, Role
from athletes.policy import Action, require
from athletes.requests import account_of
from athletes.view_notes import note_view


def athlete_to_print_or_404(request: HttpRequest, uuid: UUID, *, what: str, action: Action) -> Athlete:
    """The athlete with their facts. A stranger and a missing row get the same 404, a tied reader without the right 403.

    While consent is withdrawn there is nothing to print for anybody but admins: an empty sheet would say that there is
    nothing to do. `what` names the print in the view log.
    """
    reader = account_of(request)
    athlete = Athlete.objects.visible_to(reader).with_facts().filter(uuid=uuid).first()
    if athlete is None:
        raise Http404
    require(reader, action)
    if athlete.consent_withdrawn_on is not None and reader.role != Role.ADMIN:
        raise Http404
    note_view(request, athlete, what)
    return athlete
