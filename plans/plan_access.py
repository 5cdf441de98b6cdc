"""The loaders of an athlete's plan."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404, HttpRequest

from athletes.access import LoadedAthlete
from athletes.models import Athlete
from athletes.policy import Action, may_read_measured, require, role_may
from athletes.requests import account_of
from athletes.turning import is_turned
from athletes.view_notes import note_view
from plans.models import Prescription


def plan_or_404(
    request: HttpRequest, uuid: UUID, *, what: str | None, action: Action = Action.SEE_PLAN
) -> LoadedAthlete:
    """The athlete with all facts, and whether the reader may change the plan: staff; clinicians read.

    A stranger and a missing row get the same 404, a tied reader of another role 403; while consent is withdrawn there
    is nothing for anybody but admins. `what` names the page in the view log; None for a part of a page that was noted.
    """
    reader = account_of(request)
    athlete = Athlete.objects.visible_to(reader).with_facts().filter(uuid=uuid).first()
    if athlete is None:
        raise Http404
    require(reader, action)
    if not may_read_measured(reader, athlete):
        raise Http404
    if what is not None:
        note_view(request, athlete, what)
    return LoadedAthlete(athlete, role_may(reader, Action.WRITE_PLAN) and not is_turned(request))


def plan_to_change(request: HttpRequest, uuid: UUID, *, what: str) -> Athlete:
    """As `plan_or_404`; 403 for whoever may read the plan and not change it."""
    return plan_or_404(request, uuid, what=what, action=Action.WRITE_PLAN).athlete


def prescription_to_change(request: HttpRequest, uuid: UUID, prescription_uuid: UUID, *, what: str) -> Prescription:
    """Work of that athlete's plan, open or ended, not taken back."""
    athlete = plan_to_change(request, uuid, what=what)
    found = Prescription.objects.select_related("version__intervention")
    row = found.filter(athlete=athlete, uuid=prescription_uuid).first()
    if row is None:
        raise Http404
    row.athlete = athlete
    return row
