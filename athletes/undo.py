"""Undo of what stands in the change log: one table of actions, to which each room adds its own."""

from __future__ import annotations

from collections.abc import Callable

from django.db import transaction

from athletes.models import Athlete, ChangeLog, Note, User
from athletes.services.merging import MERGED, part_again
from athletes.services.notes import undo_withdraw_note, withdraw_note
from athletes.services.withdrawal import restore_athlete, withdraw_athlete

Undo = Callable[[ChangeLog, User], None]
_table: dict[str, Undo] = {}


class CannotUndo(Exception):
    """The sentence says why."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def register_undo(action: str, undo: Undo) -> None:
    """Called from a room's AppConfig.ready(). `action` is what the service writes into the change log."""
    _table[action] = undo


def can_undo(entry: ChangeLog) -> bool:
    return entry.action in _table


@transaction.atomic
def undo(*, entry: ChangeLog, by: User) -> None:
    """Does the opposite of an entry, once. Whether the person may is the caller's question to access."""
    opposite = _table.get(entry.action)
    if opposite is None:
        raise CannotUndo(f"“{entry.action}” cannot be undone.")
    later = ChangeLog.objects.filter(object_type=entry.object_type, object_uuid=entry.object_uuid, id__gt=entry.pk)
    if later.exists():
        raise CannotUndo("This was changed again since. Look at it as it is now.")
    opposite(entry, by)


def _note(entry: ChangeLog) -> Note:
    return Note.everything.get(uuid=entry.object_uuid)


def _athlete(entry: ChangeLog) -> Athlete:
    return Athlete.everything.get(uuid=entry.object_uuid)


def _withdraw_note(entry: ChangeLog, by: User) -> None:
    withdraw_note(note=_note(entry), by=by, reason="undo")


def _restore_note(entry: ChangeLog, by: User) -> None:
    undo_withdraw_note(note=_note(entry), by=by)


def _withdraw_athlete(entry: ChangeLog, by: User) -> None:
    withdraw_athlete(athlete=_athlete(entry), by=by, reason="undo")


def _restore_athlete(entry: ChangeLog, by: User) -> None:
    restore_athlete(athlete=_athlete(entry), by=by)


def _part_again(entry: ChangeLog, by: User) -> None:
    part_again(entry=entry, by=by)


register_undo(MERGED, _part_again)
register_undo("note.added", _withdraw_note)
register_undo("note.withdrawn", _restore_note)
register_undo("note.restored", _withdraw_note)
register_undo("athlete.withdrawn", _restore_athlete)
register_undo("athlete.restored", _withdraw_athlete)
