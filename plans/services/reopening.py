"""Taking a decision back, as long as nothing came after it: the follow-up is due again as it was."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from athletes.models import Athlete, User
from athletes.services.change_log import record_change
from athletes.services.validation import save_valid
from plans.models import FollowUp, Prescription
from plans.services.prescribing import RUNNING
from plans.services.responses import rebuild_responses
from plans.services.undoing import USED_ALREADY, is_used, take_back_work

Decision = FollowUp.Decision
NOT_DECIDED = "This follow-up is open, or its work was stopped before the day. Look at it as it is now."
GONE_ON = "The date that came after it was changed or decided since. Look at the work as it is now."
REPLACED = "Other work came in its place. Give this one anew if it is wanted again."


@transaction.atomic
def reopen_follow_up(*, follow_up: FollowUp, by: User) -> FollowUp:
    """Takes back that work was closed, continued or changed; it is due again as it was.

    The date that *continue* set goes, the work that *change* gave leaves the plan. Raises ValidationError when
    something came after the decision. Work that was stopped before its date goes on from the plan
    (`plans.services.undoing`).
    """
    Athlete.everything.select_for_update().get(pk=follow_up.prescription.athlete_id)
    found = Prescription.everything.select_related("athlete", "version__intervention")
    row = found.select_for_update(of=("self",)).get(pk=follow_up.prescription_id)
    again = FollowUp.objects.select_for_update().get(pk=follow_up.pk)
    _require_last(row, again)
    before = {"decision": again.decision, "ended_on": str(row.ended_on), **_take_back_what_followed(row, again, by)}
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
    """Nothing came after the decision but what it made itself."""
    if follow_up.decision not in (Decision.CLOSED, Decision.CONTINUED, Decision.CHANGED):
        raise ValidationError(NOT_DECIDED)
    if row.withdrawn_at is not None:
        raise ValidationError(REPLACED)
    if follow_up.decision == Decision.CONTINUED:
        if row.ended_on is not None or _following(row, follow_up) is None:
            raise ValidationError(GONE_ON)
        return
    replacements = Prescription.objects.filter(replaces=row)
    if follow_up.decision == Decision.CLOSED and replacements.exists():
        raise ValidationError(REPLACED)
    if any(is_used(one) for one in replacements):
        raise ValidationError(USED_ALREADY)
    same = Prescription.objects.open().filter(athlete=row.athlete_id, version__intervention=row.version.intervention_id)
    if same.exclude(replaces=row).exists():
        raise ValidationError(RUNNING.format(name=row.version.name))


def _following(row: Prescription, continued: FollowUp) -> FollowUp | None:
    """The date that *continue* set, while nobody touched it and nothing was decided later."""
    if row.follow_ups.filter(decided_at__gt=continued.decided_at).exists():
        return None
    return row.follow_ups.filter(decision="", sequence=0).first()


def _take_back_what_followed(row: Prescription, again: FollowUp, by: User) -> dict[str, str]:
    """What it was, for the change log."""
    if again.decision == Decision.CONTINUED and (following := _following(row, again)):
        following.delete()  # no decision ever stood on it; calendars take away what the feed no longer has
        return {"following": str(following.due)}
    given = [one.uuid for one in Prescription.objects.filter(replaces=row)]
    take_back_work(athlete=row.athlete, given=given, by=by)
    return {"replaced_by": ", ".join(map(str, given))} if given else {}
