"""An act upon a whole training group: one line in the change log, which its one undo reads."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID, uuid4

from django.db import transaction

from athletes.models import Athlete, ChangeLog, TrainingGroup, User
from athletes.services.change_log import record_change
from athletes.undo import CannotUndo

UNDONE = "group.act_undone"
NAMED = 3


@dataclass(frozen=True, slots=True)
class GroupAct:
    """What was done, and to how many. `left_out`: names of those whom the act passed over, each with the reason."""

    uuid: UUID
    group: TrainingGroup
    changed: int
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Undone:
    """`kept`: names of those who were changed again since, and stay as they are."""

    changed: int
    kept: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        if not self.kept:
            return "Undone."
        return f"Undone for {self.changed}. Changed again since, and left as they are: {names(self.kept)}."


Opposite = Callable[[TrainingGroup, ChangeLog, User], Undone]
_opposites: dict[str, Opposite] = {}


def register_opposite(action: str, opposite: Opposite) -> None:
    """Said by the module whose service writes the action."""
    _opposites[action] = opposite


def record_act(
    *,
    group: TrainingGroup,
    action: str,
    by: User,
    detail: Mapping[str, Any],
    changed: int,
    left_out: Iterable[str] = (),
) -> GroupAct:
    """Last in the transaction of the act: what is written about the group after this line was done afterwards."""
    act = GroupAct(uuid4(), group, changed, tuple(left_out))
    record_change(by=by, action=action, row=group, after={"act": str(act.uuid), **detail})
    return act


@transaction.atomic
def undo_group_act(*, group: TrainingGroup, act: UUID, by: User) -> Undone:
    """Does the opposite, once, for everybody who was not changed again since. Raises CannotUndo with a sentence."""
    lock_group(group)
    lines = ChangeLog.objects.filter(object_type=group._meta.model_name, object_uuid=group.uuid, after__act=str(act))
    entry = lines.exclude(action=UNDONE).first()
    if entry is None or entry.action not in _opposites:
        raise CannotUndo("There is nothing of that kind to undo.")
    if lines.filter(action=UNDONE).exists():
        raise CannotUndo("This was undone already.")
    undone = _opposites[entry.action](group, entry, by)
    record_change(by=by, action=UNDONE, row=group, after={"act": str(act), "changed": undone.changed})
    return undone


def lock_group(group: TrainingGroup) -> None:
    """Until the end of the transaction: two people may press at once."""
    list(TrainingGroup.objects.select_for_update().filter(pk=group.pk).values_list("pk"))


def athletes_by_uuid(uuids: Iterable[str]) -> dict[str, Athlete]:
    """Those who are still here."""
    return {str(athlete.uuid): athlete for athlete in Athlete.objects.filter(uuid__in=list(uuids))}


def names(people: Iterable[str]) -> str:
    """The first three by name, the others counted."""
    every = list(people)
    more = f" and {len(every) - NAMED} more" if len(every) > NAMED else ""
    return f"{', '.join(every[:NAMED])}{more}"
