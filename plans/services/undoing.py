"""Taking back work that was just given, and going on with work that was stopped."""

from __future__ import annotations

from collections.abc import Collection
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from athletes.models import Athlete, User
from athletes.services.change_log import record_change
from athletes.services.validation import save_valid
from athletes.services.withdrawal import withdraw
from plans.models import FollowUp, Prescription
from plans.services.prescribing import CHANGED_MEANWHILE, RUNNING
from plans.services.responses import rebuild_responses

USED_ALREADY = "It was changed, ticked or ended since. Look at it as it is now, and stop it instead."


@transaction.atomic
def take_back_work(*, athlete: Athlete, given: Collection[UUID], by: User) -> list[Prescription]:
    """Work given by mistake leaves the plan as if it had never been there; all of it, or none.

    Raises ValidationError when one of them was changed, ticked or ended since. What is taken back stays so.
    """
    rows = list(
        Prescription.objects.select_for_update().filter(athlete=athlete, uuid__in=given).select_related("version")
    )
    if any(map(is_used, rows)):
        raise ValidationError(USED_ALREADY)
    for row in rows:
        withdraw(row=row, athlete=athlete, by=by, reason="given by mistake")
    rebuild_responses([athlete.pk])
    return rows


def is_used(row: Prescription) -> bool:
    """Whether it was changed, ticked or ended since it was given."""
    return bool(row.revision or row.ended_on or row.ticks.standing().exists())


@transaction.atomic
def go_on_with(*, prescription: Prescription, seen: int, by: User) -> Prescription:
    """Stopped work runs again, to the date that it had. `seen`: the revision that the page showed.

    Raises ValidationError when it was not stopped, was changed since, or runs again already.
    """
    athlete = Athlete.everything.select_for_update().get(pk=prescription.athlete_id)
    row = Prescription.everything.select_for_update().select_related("version").get(pk=prescription.pk)
    if row.withdrawn_at is not None or row.ending != Prescription.Ending.STOPPED or row.revision != seen:
        raise ValidationError(CHANGED_MEANWHILE)
    same = Prescription.objects.open().filter(athlete=athlete, version__intervention=row.version.intervention_id)
    if same.exists():
        raise ValidationError(RUNNING.format(name=row.version.name))
    row.ended_on, row.ending, row.ended_by = None, "", None
    row.revision += 1
    save_valid(row)
    follow_up = row.follow_ups.filter(decision=FollowUp.Decision.STOPPED).latest("decided_at")
    follow_up.decision, follow_up.decided_at, follow_up.decided_by = "", None, None
    follow_up.note, follow_up.decided_on, follow_up.changed_at = "", {}, timezone.now()
    follow_up.sequence += 1
    save_valid(follow_up)
    after = {"due": str(follow_up.due)}
    record_change(by=by, action="prescription.went_on", row=row, athlete_uuid=athlete.uuid, after=after)
    rebuild_responses([athlete.pk])
    return row
