"""Availability for everybody of a training group in one act, for example away over the holidays."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from athletes.facts import AvailabilityOn, availability_of, availability_on
from athletes.models import Athlete, Availability, ChangeLog, TrainingGroup, User
from athletes.services.care import A_DAY, AVAILABILITY_FIELDS, OWN_LIMITS, lock_athletes, set_availability
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

    *Away* and *stopped* need an end: what holds for one athlete is hidden under them until then, and holds again the
    day after. Nothing else is set over limits that an absence, or a *full* with an end, hides.
    Raises ValidationError, also for a group without members, and stores nothing.
    """
    if state in OUTRANKED_BY and until is None:
        raise ValidationError({"until": "Say until when: what holds for each of them alone comes back the day after."})
    lock_group(group)
    lock_athletes(group.athletes.values_list("pk", flat=True))
    members = list(group.athletes.filter(withdrawn_at=None).prefetch_related("availabilities"))
    if not members:
        raise ValidationError("Nobody is in this group yet.")
    kept = {athlete.pk: _kept(athlete, state, valid_from, until) for athlete in members}
    chosen = [athlete for athlete in members if not kept[athlete.pk]]
    left_out = [f"{athlete.name} ({kept[athlete.pk]})" for athlete in members if kept[athlete.pk]]
    if not chosen:
        raise ValidationError("Everybody of this group has a stop or limits of their own, which stay.")
    rows = [_set(athlete, state, valid_from, until, limits, by) for athlete in chosen]
    return record_act(
        group=group, action=AVAILABILITY_SET, by=by, detail={"rows": rows}, changed=len(rows), left_out=left_out
    )


def _kept(athlete: Athlete, state: str, valid_from: dt.date, until: dt.date | None) -> str:
    """The words of what outranks the act for this athlete, "" for nothing."""
    held = availability_on(athlete, valid_from)
    if held.state in OUTRANKED_BY.get(state, OWN_LIMITS):
        return held.words
    if state == State.STOPPED and held.state == State.STOPPED and held.since == valid_from and _is_longer(held, until):
        return held.words  # it would be replaced by a shorter one, and may be the athlete's own
    if state in OUTRANKED_BY:
        return ""
    hidden = _hidden_limits(athlete, held, valid_from)
    return f"{held.words}, then {hidden.words}" if hidden is not None else ""


def _is_longer(held: AvailabilityOn, until: dt.date | None) -> bool:
    return held.until is None or (until is not None and held.until > until)


def _hidden_limits(athlete: Athlete, held: AvailabilityOn, on: dt.date) -> AvailabilityOn | None:
    """A stop or limits that hold anew the day after `held` ends, or would hold now without an absence."""
    present = [row for row in athlete.availabilities.all() if row.state != State.AWAY]
    for day in (on, held.until + A_DAY) if held.until is not None else (on,):
        held_then = [row for row in present if row.valid_from <= day and (row.until is None or row.until >= day)]
        row = max(held_then, key=lambda row: row.valid_from, default=None)
        if row is not None and row.state in OWN_LIMITS:
            return availability_of(row.state, row.valid_from, row.until, row.limits)
    return None


def _set(
    athlete: Athlete, state: str, valid_from: dt.date, until: dt.date | None, limits: str, by: User
) -> dict[str, Any]:
    """The row before and after, as the undo reads them; `more`: the same of rows that begin again after it."""
    was = _rows_of(athlete)
    row = set_availability(
        athlete=athlete, state=state, valid_from=valid_from, until=until, limits=limits, by=by, reason="group"
    )
    more = [
        {"before": was.get(key, {}), "after": now}
        for key, now in _rows_of(athlete).items()
        if key != row.pk and was.get(key) != now
    ]
    before = next((old for old in was.values() if old["valid_from"] == valid_from.isoformat()), {})
    return {
        "athlete": str(athlete.uuid),
        "before": before,
        "after": logged(row, AVAILABILITY_FIELDS),
        **({"more": more} if more else {}),
    }


def _rows_of(athlete: Athlete) -> dict[int, dict[str, Any]]:
    rows = Availability.objects.filter(athlete=athlete)
    return {row.pk: logged(row, AVAILABILITY_FIELDS) for row in rows}


def _row_as(athlete: Athlete, said: dict[str, Any]) -> Availability | None:
    """The row of that date, if it still says that."""
    row = Availability.objects.filter(athlete=athlete, valid_from=said["valid_from"]).first()
    return row if logged(row, AVAILABILITY_FIELDS) == said else None


def _set_back(group: TrainingGroup, entry: ChangeLog, by: User) -> Undone:
    """Rows that still say what the act wrote go back to what they were; an athlete who was changed since stays."""
    athletes = athletes_by_uuid(row["athlete"] for row in entry.after["rows"])
    lock_athletes(athlete.pk for athlete in athletes.values())
    changed, kept = 0, []
    for row in entry.after["rows"]:
        athlete = athletes.get(row["athlete"])
        if athlete is None:
            continue
        if _all_back(athlete, [*row.get("more", ()), row], by):
            changed += 1
        else:
            kept.append(athlete.name)
    return Undone(changed, tuple(kept))


def _all_back(athlete: Athlete, acts: list[dict[str, Any]], by: User) -> bool:
    """All rows of an athlete or none: half of it could leave a day for which nothing speaks."""
    rows = [_row_as(athlete, act["after"]) for act in acts]
    begins_anew = [act["before"]["valid_from"] for act in acts if act["before"] and _has_moved(act)]
    if None in rows or Availability.objects.filter(athlete=athlete, valid_from__in=begins_anew).exists():
        return False
    for row, act in zip(rows, acts, strict=True):
        if row is not None:
            _one_back(athlete, row, act["before"], act["after"], by)
    return True


def _has_moved(act: dict[str, Any]) -> bool:
    return bool(act["before"]["valid_from"] != act["after"]["valid_from"])


def _one_back(athlete: Athlete, row: Availability, before: dict[str, Any], after: dict[str, Any], by: User) -> None:
    if before:
        row.state, row.limits, row.set_by = before["state"], before["limits"], by
        row.valid_from = dt.date.fromisoformat(before["valid_from"])
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


register_opposite(AVAILABILITY_SET, _set_back)
