"""Taking back a clearance that was recorded by mistake: throwing is stopped again at once."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from athletes.models import Availability, ChangeLog, Clearance, PainReport, User
from athletes.services.care import AVAILABILITY_FIELDS, CLEARANCE_FIELDS, lock_athletes, reason_of
from athletes.services.change_log import record_change
from athletes.services.validation import logged


@transaction.atomic
def take_back_clearance(*, report: PainReport, by: User) -> PainReport:
    """The limits that came with it go too, unless somebody changed them since; the change log keeps both.

    Raises ValidationError when the report has none (any more).
    """
    lock_athletes([report.athlete_id])
    clearance = Clearance.objects.filter(report=report).first()
    if clearance is None:
        raise ValidationError("This report has no clearance any more. Throwing is stopped.")
    before, limited_by = logged(clearance, CLEARANCE_FIELDS), reason_of(clearance)
    clearance.delete()
    uuid = report.athlete.uuid
    record_change(by=by, action="pain.clearance_taken_back", row=report, athlete_uuid=uuid, before=before)
    if before["limits"]:
        _take_back_limits(report, limited_by, before["cleared_on"], by)
    return report


def _take_back_limits(report: PainReport, reason: str, day: str, by: User) -> None:
    """What held before that day's limits holds again."""
    acts = ChangeLog.objects.filter(athlete_uuid=report.athlete.uuid, action="availability.set", reason=reason)
    act = acts.order_by("-id").first()
    row = Availability.objects.filter(athlete=report.athlete_id, valid_from=day).first()
    if act is None or row is None or logged(row, AVAILABILITY_FIELDS) != act.after:
        return
    after: dict[str, Any] = {}
    if act.before:
        row.state, row.until, row.limits = act.before["state"], act.before["until"], act.before["limits"]
        row.save()
        row.refresh_from_db()
        after = logged(row, AVAILABILITY_FIELDS)
    else:
        row.delete()
    record_change(
        by=by,
        action="availability.taken_back",
        row=report.athlete,
        athlete_uuid=report.athlete.uuid,
        before=act.after,
        after=after,
    )
