"""Notes that a coach marked for the family, as the progress page says them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.db.models import QuerySet
from django.utils import timezone

from athletes.models import Athlete, Note
from athletes.models.accounts import account_name
from athletes.worded import Keys, worded_once

FIRST_SHOWN, MOST = 2, 20
GONE = "your coach"


@dataclass(frozen=True, slots=True)
class FamilyNote:
    text: str
    by: str
    on: dt.date


@dataclass(frozen=True, slots=True)
class FamilyNotes:
    """The newest first; `earlier` are folded away."""

    newest: tuple[FamilyNote, ...]
    earlier: tuple[FamilyNote, ...]


def family_notes(athlete: Athlete) -> FamilyNotes:
    """The same for whoever reads the page: a coach sees here what the family sees. `athlete`: as an access gave it."""
    found = tuple(_note(*row) for row in _for_family(Keys.of([athlete.pk])))
    return FamilyNotes(found[:FIRST_SHOWN], found[FIRST_SHOWN:])


@worded_once
def _for_family(athletes: Keys) -> QuerySet:
    marked = Note.objects.filter(athlete__in=athletes.places, for_family=True)
    author = (f"author__{name}" for name in ("first_name", "last_name", "username"))
    return marked.values_list("text", "written_at", *author)[:MOST]


def _note(text: str, written_at: dt.datetime, *author: str | None) -> FamilyNote:
    names = tuple(name for name in author if name is not None)
    by = account_name(*names) if len(names) == len(author) else GONE
    return FamilyNote(text, by, timezone.localtime(written_at).date())
