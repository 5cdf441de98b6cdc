"""The loader of what was measured of an athlete over time."""

from __future__ import annotations

from uuid import UUID

from django.db.models import Prefetch
from django.http import Http404, HttpRequest

from athletes.access import LoadedAthlete
from athletes.models import Athlete, PainReport
from athletes.policy import Action, may_read_measured, require, role_may
from athletes.requests import account_of
from athletes.view_notes import note_view


def athlete_measured_or_404(request: HttpRequest, uuid: UUID, *, what: str) -> LoadedAthlete:
    """The athlete with the facts of the header, for whoever may read sessions: staff and the clinician in charge.

    A stranger and a missing row get the same 404, a tied reader of another role 403; while consent is withdrawn there
    is nothing for anybody but admins. `what` names the page in the view log.
    """
    reader = account_of(request)
    open_pain = Prefetch("pain_reports", PainReport.objects.open(), to_attr="known_open_pain")
    rows = Athlete.objects.visible_to(reader).select_related("responsible_coach")
    rows = rows.prefetch_related("levels", "body_sizes", "availabilities", open_pain)
    athlete = rows.filter(uuid=uuid).first()
    if athlete is None:
        raise Http404
    require(reader, Action.SEE_RECORD)
    if not may_read_measured(reader, athlete):
        raise Http404
    note_view(request, athlete, what)
    return LoadedAthlete(athlete, role_may(reader, Action.CHANGE))
