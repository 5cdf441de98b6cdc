"""What a coach decides at a follow-up: close, continue to another date, or change for other work. Each once, by one."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.db import transaction

from athletes.models import User
from athletes.services.change_log import record_change
from athletes.services.validation import save_valid
from athletes.today import facility_today
from athletes.words import date_words
from plans.models import FollowUp, InterventionVersion, Prescription
from plans.services.prescribing import (
    LATEST,
    Order,
    Reason,
    begin_follow_up,
    decide,
    end,
    give_work,
    lock_open,
)
from plans.services.responses import rebuild_responses

Decision = FollowUp.Decision


@transaction.atomic
def close_follow_up(*, follow_up: FollowUp, seen: int, by: User, note: str = "") -> FollowUp:
    """The work is done; what the measurements said stays with the decision. `seen`: the prescription's revision."""
    row = lock_open(follow_up.prescription, seen)
    decided = decide(follow_up, Decision.CLOSED, by, note)
    end(row, Prescription.Ending.CLOSED, by)
    _log(decided, row, "follow_up.closed", by)
    return decided


@transaction.atomic
def continue_follow_up(*, follow_up: FollowUp, seen: int, due: dt.date, by: User, note: str = "") -> FollowUp:
    """The work goes on to another date; gives the new follow-up."""
    row = lock_open(follow_up.prescription, seen)
    today = facility_today()
    if not today < due <= today + LATEST:
        raise ValidationError({"due": f"{date_words(due)} is no day ahead of today within a year. Choose one."})
    decided = decide(follow_up, Decision.CONTINUED, by, note)
    row.revision += 1
    save_valid(row)
    following = begin_follow_up(row, begins=max(row.start, today), due=max(due, row.start + dt.timedelta(days=1)))
    _log(decided, row, "follow_up.continued", by)
    rebuild_responses([row.athlete_id])
    return following


@transaction.atomic
def change_follow_up(
    *,
    follow_up: FollowUp,
    seen: int,
    version: InterventionVersion,
    order: Order,
    reasons: Sequence[Reason],
    by: User,
    note: str = "",
) -> Prescription:
    """Ends this work and gives other work in its place, in one act; gives the new prescription."""
    row = lock_open(follow_up.prescription, seen)
    decided = decide(follow_up, Decision.CHANGED, by, note)
    end(row, Prescription.Ending.CHANGED, by)
    _log(decided, row, "follow_up.changed", by)
    return give_work(athlete=row.athlete, version=version, order=order, reasons=reasons, by=by, replaces=row)


def _log(follow_up: FollowUp, row: Prescription, action: str, by: User) -> None:
    after = {"prescription": str(row.uuid), "due": str(follow_up.due), "word": follow_up.decided_on.get("word", "")}
    record_change(
        by=by, action=action, row=follow_up, athlete_uuid=row.athlete.uuid, after=after, reason=follow_up.note
    )
