"""Training groups: who belongs to them, one or many at once, and where they are in their year."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.db import transaction

from athletes.models import Athlete, ChangeLog, Invitation, SeasonPhase, TrainingGroup, User
from athletes.services.change_log import new_change, record_change, record_changes
from athletes.services.group_acts import (
    GroupAct,
    Undone,
    athletes_by_uuid,
    lock_group,
    record_act,
    register_opposite,
)
from athletes.services.validation import logged, require_text, save_valid
from athletes.undo import CannotUndo

JOINED, LEFT = "group.joined", "group.left"
MANY_JOINED, MANY_LEFT, PHASE_SET = "group.many_joined", "group.many_left", "group.season_phase_set"
PHASE_FIELDS = ("phase", "valid_from", "until")


@transaction.atomic
def create_group(*, name: str, by: User | None) -> TrainingGroup:
    """Raises ValidationError when a group of that name is here, however it is written."""
    text = require_text(name, "name", "The name of the group")
    known = TrainingGroup.objects.filter(name__iexact=text).first()
    if known is not None:
        raise ValidationError({"name": f"The group {known.name} is here already: choose it in the list."})
    group = TrainingGroup(name=text)
    save_valid(group)
    record_change(by=by, action="group.created", row=group, after={"name": group.name})
    return group


@transaction.atomic
def assign_group(*, athlete: Athlete, group: TrainingGroup, by: User, member: bool = True) -> None:
    """Puts the athlete into a training group, or with `member=False` takes them out."""
    if group.athletes.filter(pk=athlete.pk).exists() != member:
        _move(group, [athlete], by, member)


@transaction.atomic
def assign_group_to_many(
    *, athletes: Iterable[Athlete], by: User, group: TrainingGroup | None = None, name: str = "", member: bool = True
) -> GroupAct:
    """Puts athletes into a group, or into a new one of that name; with `member=False` takes them out.

    One act with one undo; who is there already (or not there) stays and is not counted. The undo takes a group that the
    act made away with it, unless somebody used it since.
    """
    chosen = list(athletes)
    if not chosen:
        raise ValidationError({"athletes": "Choose at least one athlete in the list."})
    if group is not None and name.strip():
        raise ValidationError({"name": "Choose a group or name a new one, not both."})
    if group is None and not member:
        raise ValidationError({"group": "Choose the group to take them out of."})
    if group is None and not name.strip():
        raise ValidationError({"group": "Choose a group, or write the name of a new one."})
    place = group or create_group(name=name, by=by)
    lock_group(place)
    there = set(place.athletes.values_list("pk", flat=True))
    moved = [athlete for athlete in chosen if (athlete.pk in there) != member]
    _move(place, moved, by, member)
    action = MANY_JOINED if member else MANY_LEFT
    detail = {"athletes": [str(athlete.uuid) for athlete in moved], "group": place.name, "made": group is None}
    return record_act(group=place, action=action, by=by, detail=detail, changed=len(moved))


@transaction.atomic
def set_season_phase(
    *, group: TrainingGroup, phase: str, valid_from: dt.date, by: User, until: dt.date | None = None
) -> GroupAct:
    """Where the group is from a date on; a row of the same date is replaced and kept in the change log."""
    lock_group(group)
    row = SeasonPhase.objects.filter(group=group, valid_from=valid_from).first()
    before = logged(row, PHASE_FIELDS)
    row = row or SeasonPhase(group=group, valid_from=valid_from)
    if until is not None and until < valid_from:
        raise ValidationError({"until": "It ends before it begins."})
    row.phase, row.until, row.set_by = phase, until, by
    save_valid(row)
    detail = {"before": before, "row": logged(row, PHASE_FIELDS)}
    return record_act(group=group, action=PHASE_SET, by=by, detail=detail, changed=1)


def _move(group: TrainingGroup, athletes: list[Athlete], by: User | None, member: bool) -> None:
    (group.athletes.add if member else group.athletes.remove)(*athletes)
    action = JOINED if member else LEFT
    record_changes(
        new_change(by=by, action=action, row=group, athlete_uuid=athlete.uuid, after={"group": group.name})
        for athlete in athletes
    )


def _move_back(group: TrainingGroup, entry: ChangeLog, by: User) -> Undone:
    """Whoever was put in or taken out by itself since stays."""
    moved = athletes_by_uuid(entry.after["athletes"])
    since = ChangeLog.objects.filter(object_uuid=group.uuid, action__in=(JOINED, LEFT), id__gt=entry.pk)
    again = {str(uuid) for uuid in since.values_list("athlete_uuid", flat=True)}
    back = [athlete for uuid, athlete in moved.items() if uuid not in again]
    untouched = not ChangeLog.objects.filter(object_uuid=group.uuid, id__gt=entry.pk).exists()
    _move(group, back, by, member=entry.action == MANY_LEFT)
    if entry.after.get("made") and untouched and not _is_used(group):
        record_change(by=by, action="group.removed", row=group, before={"name": group.name}, reason="undo")
        group.delete()
    return Undone(len(back), tuple(athlete.name for uuid, athlete in moved.items() if uuid in again))


def _is_used(group: TrainingGroup) -> bool:
    """Members count also while they are withdrawn: they may come back."""
    return (
        group.athletes.through.objects.filter(traininggroup=group).exists()
        or group.visiting_coaches.exists()
        or group.season_phases.exists()
        or Invitation.objects.filter(group=group).exists()
    )


def _phase_back(group: TrainingGroup, entry: ChangeLog, by: User) -> Undone:
    before, written = entry.after["before"], entry.after["row"]
    row = SeasonPhase.objects.filter(group=group, valid_from=written["valid_from"]).first()
    if row is None or logged(row, PHASE_FIELDS) != written:
        raise CannotUndo("The season phase was changed again since. Look at it as it is now.")
    if not before:
        row.delete()
        return Undone(1)
    row.phase, row.until = before["phase"], before["until"] and dt.date.fromisoformat(before["until"])
    row.set_by = by
    save_valid(row)
    return Undone(1)


register_opposite(MANY_JOINED, _move_back)
register_opposite(MANY_LEFT, _move_back)
register_opposite(PHASE_SET, _phase_back)
