"""What the pages of an athlete share: the header that stands on each, and where one goes back to."""

from __future__ import annotations

import datetime as dt
from typing import Any
from uuid import UUID

from django.urls import NoReverseMatch, reverse

from athletes.facts import AthleteHeader, Stopped, header_of, is_minor, stopped_on
from athletes.models import Athlete, User
from athletes.policy import Action, role_may
from athletes.today import facility_today

HOME = "/"


def record_url(uuid: UUID) -> str:
    """The athlete's record, a page of the last room; the first page where that room is not there."""
    try:
        return reverse("desk:record", args=[uuid])
    except NoReverseMatch:
        return HOME


def back_url(athlete: Athlete, reader: User) -> str:
    """Where a form leads: to the record for those who may read it, to their own first page for the family."""
    return record_url(athlete.uuid) if role_may(reader, Action.SEE_RECORD) else HOME


NO_READER = "Nobody of the family has an account yet: invite them from the record."


def family_reader(athlete: Athlete) -> str:
    """Who of the family reads what is told them: the athlete by name, else “the family”; "" when nobody has an account.

    A guardian of somebody who came of age counts only where the athlete said so.
    """
    if athlete.account is not None and athlete.account.is_active:
        return athlete.given_name
    guardians = athlete.guardianships.filter(guardian__is_active=True)
    if not is_minor(athlete.birth_date, facility_today()):
        guardians = guardians.filter(kept_on__isnull=False)
    return "the family" if guardians.exists() else ""


def who_of(athlete: Athlete, today: dt.date, reader: User) -> dict[str, Any]:
    """The header on a date, as `_who.html` takes it."""
    return who_from(header_of(athlete, today), reader)


def who_from(header: AthleteHeader, reader: User) -> dict[str, Any]:
    availability, stopped = header.availability, header.stopped
    may_read = role_may(reader, Action.SEE_RECORD)
    return {
        "name": header.name,
        "url": record_url(header.uuid) if may_read else "",
        "birth_date": header.birth_date,
        "today": header.on,
        "level": header.level_word,
        "throws": header.throws,
        "role": header.playing_role,
        "coach": "you" if header.coach_uuid == reader.uuid else header.coach_name,
        "height_cm": header.height.value if header.height else None,
        "height_on": header.height.measured_on if header.height else None,
        "mass_kg": header.mass.value if header.mass else None,
        "mass_on": header.mass.measured_on if header.mass else None,
        "growing_fast": header.growing_fast,
        "availability": "stopped" if stopped else availability.words,
        "availability_note": _since(stopped.since if stopped else availability.since, availability.until),
        "stopped": stopped is not None,
        "consent_withdrawn_on": header.consent_withdrawn_on if may_read else None,
        **_stop_words(stopped, header.uuid, reader),
    }


def _since(since: dt.date | None, until: dt.date | None) -> str:
    words = f"since {since.day} {since:%b}" if since else ""
    return f"{words}, to {until.day} {until:%b}" if words and until else words


def stop_of(athlete: Athlete, today: dt.date, reader: User) -> dict[str, str]:
    """The stop alone, as `_stop.html` takes it, for pages of an athlete that have no header."""
    return _stop_words(stopped_on(athlete, today), athlete.uuid, reader)


def _stop_words(stopped: Stopped | None, uuid: UUID, reader: User) -> dict[str, str]:
    if stopped is None:
        return {"pain": "", "pain_note": "", "pain_url": ""}
    url = record_url(uuid) if role_may(reader, Action.SEE_RECORD) else ""
    return {"pain": stopped.headline, "pain_note": stopped.note, "pain_url": url}
