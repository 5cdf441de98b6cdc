"""Availability, pain and clearance."""

from __future__ import annotations

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from athletes.models import Athlete, Availability, Clearance, PainReport, User
from athletes.services.change_log import record_change
from athletes.services.validation import logged, require_not_future, require_text, save_valid
from athletes.today import facility_today

AVAILABILITY_FIELDS = ("state", "valid_from", "until", "limits")
PAIN_FIELDS = ("where", "how_much", "since")


@transaction.atomic
def set_availability(
    *,
    athlete: Athlete,
    state: str,
    valid_from: dt.date,
    by: User | None,
    until: dt.date | None = None,
    limits: str = "",
    reason: str = "",
) -> Availability:
    """What the athlete may do from a date on; a row of the same date is replaced and kept in the change log."""
    row = Availability.objects.filter(athlete=athlete, valid_from=valid_from).first()
    before = logged(row, AVAILABILITY_FIELDS)
    row = row or Availability(athlete=athlete, valid_from=valid_from)
    if until is not None and until < valid_from:
        raise ValidationError({"until": "It ends before it begins."})
    if state == Availability.State.LIMITED and not limits.strip():
        raise ValidationError({"limits": "Say what the limits are, for example 60 throws."})
    row.state, row.until, row.limits, row.set_by = state, until, limits.strip(), by
    save_valid(row)
    record_change(
        by=by,
        action="availability.set",
        row=athlete,
        athlete_uuid=athlete.uuid,
        before=before,
        after=logged(row, AVAILABILITY_FIELDS),
        reason=reason,
    )
    return row


@transaction.atomic
def report_pain(
    *, athlete: Athlete, where: str, by: User, how_much: int | None = None, since: dt.date | None = None
) -> PainReport:
    """Stops throwing and loaded work until a clearance is recorded, whoever reports it."""
    if since is not None:
        require_not_future(since, facility_today(), "since", "Pain")
    report = PainReport(
        athlete=athlete,
        where=require_text(where, "where", "The place of the pain"),
        how_much=how_much,
        since=since,
        reported_at=timezone.now(),
        reported_by=by,
    )
    save_valid(report)
    record_change(
        by=by, action="pain.reported", row=report, athlete_uuid=athlete.uuid, after=logged(report, PAIN_FIELDS)
    )
    return report


@transaction.atomic
def record_clearance(
    *, report: PainReport, cleared_by_name: str, cleared_on: dt.date, by: User, limits: str = ""
) -> Clearance:
    """Ends the stop of one report. Limits that came with it become the availability from that date on."""
    # Two people may press at once: the report's row is the lock.
    PainReport.objects.select_for_update().get(pk=report.pk)
    if Clearance.objects.filter(report=report).exists():
        raise ValidationError("A clearance of this report is already recorded.")
    require_not_future(cleared_on, facility_today(), "cleared_on", "A clearance")
    if cleared_on < report.reported_on:
        raise ValidationError({"cleared_on": f"The pain was reported on {report.reported_on:%Y-%m-%d}, after that."})
    clearance = Clearance(
        report=report,
        cleared_by_name=require_text(cleared_by_name, "cleared_by_name", "The clinician’s name"),
        cleared_on=cleared_on,
        limits=limits.strip(),
        recorded_by=by,
    )
    save_valid(clearance)
    record_change(
        by=by,
        action="pain.cleared",
        row=report,
        athlete_uuid=report.athlete.uuid,
        after=logged(clearance, ("cleared_by_name", "cleared_on", "limits")),
    )
    if clearance.limits:
        set_availability(
            athlete=report.athlete,
            state=Availability.State.LIMITED,
            valid_from=cleared_on,
            limits=clearance.limits,
            by=by,
            reason=f"Clearance by {clearance.cleared_by_name}",
        )
    return clearance
