"""Parts of the athlete record that this room has the rows of."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.db.models import QuerySet

from athletes.facts import AthleteHeader, has_consent, header_of, open_pain_reports
from athletes.models import Athlete, Availability, BodySize, Consent, LevelPeriod, Note, PainReport, TrainingGroup, User
from athletes.policy import Action, role_may


@dataclass(frozen=True, slots=True)
class NotesPart:
    """For athletes/_notes.html."""

    notes: list[Note]
    may_write: bool


@dataclass(frozen=True, slots=True)
class FactsPart:
    """For athletes/_facts.html: newest first."""

    header: AthleteHeader
    sizes: list[BodySize]
    levels: list[LevelPeriod]
    groups: list[TrainingGroup]
    availabilities: list[Availability]
    open_pain: list[PainReport]
    consents: list[Consent]
    consent_is_missing: bool
    may_change: bool
    may_set_availability: bool
    may_clear: bool


def notes_of(athlete: Athlete, reader: User) -> QuerySet[Note]:
    """Staff read every note of the athlete; others only what was marked for the family."""
    return Note.objects.visible_to(reader).filter(athlete=athlete).select_related("author")


def notes_part(athlete: Athlete, reader: User) -> NotesPart:
    return NotesPart(list(notes_of(athlete, reader)), role_may(reader, Action.CHANGE))


def facts_part(athlete: Athlete, today: dt.date, reader: User) -> FactsPart:
    """`athlete` best loaded `with_facts()`."""
    return FactsPart(
        header=header_of(athlete, today),
        sizes=sorted(athlete.body_sizes.all(), key=lambda row: row.date, reverse=True),
        levels=sorted(athlete.levels.all(), key=lambda row: row.valid_from, reverse=True),
        groups=list(athlete.groups.all()),
        availabilities=sorted(athlete.availabilities.all(), key=lambda row: row.valid_from, reverse=True),
        open_pain=open_pain_reports(athlete),
        consents=list(athlete.consents.all()),
        consent_is_missing=not has_consent(athlete, today),
        may_change=role_may(reader, Action.CHANGE),
        may_set_availability=role_may(reader, Action.SET_AVAILABILITY),
        may_clear=role_may(reader, Action.RECORD_CLEARANCE),
    )
