"""Notes and cues."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from athletes.models import Athlete, Note, User
from athletes.services.change_log import record_change
from athletes.services.validation import require_text, save_valid
from athletes.services.withdrawal import restore, withdraw

LONGEST = 4000


@transaction.atomic
def add_note(*, athlete: Athlete, text: str, by: User, is_cue: bool = False, for_family: bool = False) -> Note:
    """Staff only unless `for_family`. Raises ValidationError for an empty or endless text."""
    words = require_text(text, "text", "The text")
    if len(words) > LONGEST:
        raise ValidationError({"text": f"A note holds {LONGEST:,} characters; this has {len(words):,}."})
    note = Note(
        athlete=athlete,
        text=words,
        is_cue=is_cue,
        for_family=for_family,
        author=by,
        written_at=timezone.now(),
    )
    save_valid(note)
    after = {"is_cue": is_cue, "for_family": for_family}
    # The words stay in the note alone: a log that cannot be changed is no place for them.
    record_change(by=by, action="note.added", row=note, athlete_uuid=athlete.uuid, after=after)
    return note


def withdraw_note(*, note: Note, by: User, reason: str = "") -> Note:
    return withdraw(row=note, athlete=note.athlete, by=by, reason=reason)


def undo_withdraw_note(*, note: Note, by: User) -> Note:
    return restore(row=note, athlete=note.athlete, by=by)
