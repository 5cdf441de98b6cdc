"""What a coach decides at a follow-up: close, continue to another date, or change for other work. Each once, by one."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from athletes.models import Athlete, User
from athletes.services.change_log import record_change
from athletes.services.validation import save_valid
from athletes.today import facility_today
from plans.models import FollowUp, InterventionVersion, Prescription, Response
from plans.services.prescribing import (
    CHANGED_MEANWHILE,
    LATEST,
    RUNNING,
    Order,
    Reason,
    begin_follow_up,
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
    decided = _decide(follow_up, Decision.CLOSED, by, note)
    end(row, Prescription.Ending.CLOSED, by)
    _log(decided, row, "follow_up.closed", by)
    return decided


@transaction.atomic
def continue_follow_up(*, follow_up: FollowUp, seen: int, due: dt.date, by: User, note: str = "") -> FollowUp:
    """The work goes on to another date; gives the new follow-up."""
    row = lock_open(follow_up.prescription, seen)
    today = facility_today()
    if not today < due <= today + LATEST:
        raise ValidationError({"due": f"{due} is no day ahead of today within a year. Choose one."})
    decided = _decide(follow_up, Decision.CONTINUED, by, note)
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
    decided = _decide(follow_up, Decision.CHANGED, by, note)
    end(row, Prescription.Ending.CHANGED, by)
    _log(decided, row, "follow_up.changed", by)
    return give_work(athlete=row.athlete, version=version, order=order, reasons=reasons, by=by, replaces=row)


@transaction.atomic
def reopen_follow_up(*, follow_up: FollowUp, by: User) -> FollowUp:
    """Takes back that work was closed, while nothing came after it; it is due again as it was.

    Raises ValidationError when it is open, went on in another way, or runs again already. Work that was stopped before
    its date goes on from the plan (`plans.services.undoing`).
    """
    Athlete.everything.select_for_update().get(pk=follow_up.prescription.athlete_id)
    found = Prescription.everything.select_related("athlete", "version__intervention")
    row = found.select_for_update(of=("self",)).get(pk=follow_up.prescription_id)
    again = FollowUp.objects.select_for_update().get(pk=follow_up.pk)
    _require_last(row, again)
    before = {"decision": again.decision, "ended_on": str(row.ended_on)}
    row.ended_on, row.ending, row.ended_by = None, "", None
    row.revision += 1
    save_valid(row)
    again.decision, again.decided_at, again.decided_by = "", None, None
    again.note, again.decided_on, again.changed_at = "", {}, timezone.now()
    again.sequence += 1
    save_valid(again)
    record_change(by=by, action="follow_up.reopened", row=again, athlete_uuid=row.athlete.uuid, before=before)
    rebuild_responses([row.athlete_id])
    return again


def may_reopen(follow_up: FollowUp) -> bool:
    """Whether *reopen* would be taken now."""
    try:
        _require_last(follow_up.prescription, follow_up)
    except ValidationError:
        return False
    return True


def _require_last(row: Prescription, follow_up: FollowUp) -> None:
    if follow_up.decision != Decision.CLOSED or row.ended_on is None:
        raise ValidationError("This follow-up is open, or did not close the work. Look at it as it is now.")
    if row.withdrawn_at is not None or Prescription.everything.filter(replaces=row).exists():
        raise ValidationError("Other work came in its place. Give this one anew if it is wanted again.")
    again = Prescription.objects.open().filter(
        athlete=row.athlete_id, version__intervention=row.version.intervention_id
    )
    if again.exists():
        raise ValidationError(RUNNING.format(name=row.version.name))


def _decide(follow_up: FollowUp, decision: str, by: User, note: str) -> FollowUp:
    """The decision with the response as it stands. Raises ValidationError when somebody decided before."""
    row = FollowUp.objects.select_for_update().get(pk=follow_up.pk)
    if row.decision:
        raise ValidationError(CHANGED_MEANWHILE)
    now = timezone.now()
    response = Response.objects.filter(follow_up=row).first()
    row.decision, row.decided_at, row.decided_by = decision, now, by
    row.note = note.strip()[:300]
    row.decided_on = {"word": response.word, **response.told} if response else {}
    row.changed_at = now
    row.sequence += 1
    save_valid(row)
    return row


def _log(follow_up: FollowUp, row: Prescription, action: str, by: User) -> None:
    after = {"prescription": str(row.uuid), "due": str(follow_up.due), "word": follow_up.decided_on.get("word", "")}
    record_change(
        by=by, action=action, row=follow_up, athlete_uuid=row.athlete.uuid, after=after, reason=follow_up.note
    )
