"""Availability for everybody of a training group in one act, for example away over the holidays."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from athletes.facts import availability_on
from athletes.models import Athlete, Availability, ChangeLog, TrainingGroup, User
from athletes.services.care import AVAILABILITY_FIELDS, set_availability
from athletes.services.change_log import record_change
from athletes.services.group_acts import (
    GroupAct,
    Undone,
    athletes_by_uuid,
    lock_group,
    record_act,
    register_opposite,
)
from athletes.services.validation import logged, save_valid

AVAILABILITY_SET = "group.availability_set"
State = Availability.State
# What a person set for one athlete outranks what is set for all; who is away may still be limited afterwards.
OUTRANKED_BY: dict[str, tuple[str, ...]] = {
    State.AWAY: (State.STOPPED,),
    State.STOPPED: (),
}
OWN_LIMITS = (State.STOPPED, State.LIMITED, State.RETURN_TO_THROW)


@transaction.atomic
def set_availability_for_group(
    *,
    group: TrainingGroup,
    state: str,
    valid_from: dt.date,
    by: User,
    until: dt.date | None = None,
    limits: str = "",
) -> GroupAct:
    """What every member may do from a date on. Whoever then has a stop or limits of their own keeps them.

    *Away* and *stopped* need an end: what holds for one athlete is hidden under them until then.
    Raises ValidationError, also for a group without members, and stores nothing.
    """
    if state in OUTRANKED_BY and until is None:
        raise ValidationError({"until": "Say until when: what holds for each of them alone comes back the day after."})
    lock_group(group)
    members = list(group.athletes.filter(withdrawn_at=None).prefetch_related("availabilities"))
    if not members:
        raise ValidationError("Nobody is in this group yet.")
    held = {athlete.pk: availability_on(athlete, valid_from) for athlete in members}
    own = OUTRANKED_BY.get(state, OWN_LIMITS)
    chosen = [athlete for athlete in members if held[athlete.pk].state not in own]
    left_out = [f"{athlete.name} ({held[athlete.pk].words})" for athlete in members if athlete not in chosen]
    if not chosen:
        raise ValidationError("Everybody of this group has a stop or limits of their own, which stay.")
    rows = [_set(athlete, state, valid_from, until, limits, by) for athlete in chosen]
    return record_act(
        group=group, action=AVAILABILITY_SET, by=by, detail={"rows": rows}, changed=len(rows), left_out=left_out
    )


def _set(
    athlete: Athlete, state: str, valid_from: dt.date, until: dt.date | None, limits: str, by: User
) -> dict[str, Any]:
    """The row before and after, as the undo reads them."""
    before = logged(_row_of(athlete, valid_from), AVAILABILITY_FIELDS)
    row = set_availability(
        athlete=athlete, state=state, valid_from=valid_from, until=until, limits=limits, by=by, reason="group"
    )
    return {"athlete": str(athlete.uuid), "before": before, "after": logged(row, AVAILABILITY_FIELDS)}


def _row_of(athlete: Athlete, valid_from: dt.date) -> Availability | None:
    return Availability.objects.filter(athlete=athlete, valid_from=valid_from).first()


def _set_back(group: TrainingGroup, entry: ChangeLog, by: User) -> Undone:
    """Rows that still say what the act wrote go back to what they were; a row that was changed since stays."""
    athletes = athletes_by_uuid(row["athlete"] for row in entry.after["rows"])
    changed, kept = 0, []
    for row in entry.after["rows"]:
        athlete = athletes.get(row["athlete"])
        if athlete is None:
            continue
        if _one_back(athlete, row["before"], row["after"], by):
            changed += 1
        else:
            kept.append(athlete.name)
    return Undone(changed, tuple(kept))


def _one_back(athlete: Athlete, before: dict[str, Any], after: dict[str, Any], by: User) -> bool:
    row = _row_of(athlete, dt.date.fromisoformat(after["valid_from"]))
    if row is None or logged(row, AVAILABILITY_FIELDS) != after:
        return False
    if before:
        row.state, row.limits, row.set_by = before["state"], before["limits"], by
        row.until = before["until"] and dt.date.fromisoformat(before["until"])
        save_valid(row)
    else:
        row.delete()
    record_change(
        by=by,
        action="availability.set",
        row=athlete,
        athlete_uuid=athlete.uuid,
        before=after,
        after=before,
        reason="undo for the group",
    )
    return True


register_opposite(AVAILABILITY_SET, _set_back)
