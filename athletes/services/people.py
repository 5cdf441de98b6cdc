"""Athletes, their levels and ids."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from athletes.models import Athlete, ExternalId, LevelPeriod, User
from athletes.services.change_log import record_change
from athletes.services.facts_revision import raise_facts_revision
from athletes.services.sizes import record_body_size
from athletes.services.validation import logged, require_not_future, require_text, save_valid
from athletes.today import facility_today
from athletes.words import date_words

DETAILS = ("given_name", "family_name", "birth_date", "throws", "sex", "playing_role", "responsible_coach")
YOUNGEST_YEARS, OLDEST_YEARS = 4, 80  # outside, the birth date is a typing error


@transaction.atomic
def create_athlete(
    *,
    given_name: str,
    family_name: str,
    birth_date: dt.date,
    throws: str,
    level: str,
    level_from: dt.date,
    by: User | None,
    sex: str = "",
    playing_role: str = "",
    responsible_coach: User | None = None,
    measured_on: dt.date | None = None,
    height_cm: float | None = None,
    mass_kg: float | None = None,
    arm_span_cm: float | None = None,
    external_id: str = "",
    external_source: str = "",
) -> Athlete:
    """A new athlete with a level from a date on and, when any is given, a body size of `measured_on` (today).

    Sessions before `level_from` have no level. Raises ValidationError, also when somebody of that name and
    birth date is already here.
    """
    athlete = Athlete(
        given_name=given_name,
        family_name=family_name,
        birth_date=birth_date,
        throws=throws,
        sex=sex,
        playing_role=playing_role,
        responsible_coach=responsible_coach,
    )
    _check_person(athlete)
    save_valid(athlete)
    record_change(
        by=by, action="athlete.created", row=athlete, athlete_uuid=athlete.uuid, after=logged(athlete, DETAILS)
    )
    set_level(athlete=athlete, level=level, valid_from=level_from, by=by)
    if (height_cm, mass_kg, arm_span_cm) != (None, None, None):
        on = measured_on or facility_today()
        record_body_size(athlete=athlete, on=on, by=by, height_cm=height_cm, mass_kg=mass_kg, arm_span_cm=arm_span_cm)
    if external_id.strip():
        add_external_id(athlete=athlete, value=external_id, source=external_source, by=by)
    return athlete


@transaction.atomic
def change_athlete(*, athlete: Athlete, changes: Mapping[str, Any], by: User, reason: str = "") -> Athlete:
    """Changes details by name (see DETAILS). Raises ValidationError; without a difference nothing is written."""
    unknown = set(changes) - set(DETAILS)
    if unknown:
        raise ValueError(f"No such details: {', '.join(sorted(unknown))}.")
    row = Athlete.objects.select_for_update().get(pk=athlete.pk)
    before = logged(row, changes)
    for name, value in changes.items():
        setattr(row, name, value)
    _check_person(row)
    after = logged(row, changes)
    if after == before:
        return row
    save_valid(row, fields=changes)
    record_change(
        by=by, action="athlete.changed", row=row, athlete_uuid=row.uuid, before=before, after=after, reason=reason
    )
    if before.get("birth_date") != after.get("birth_date"):
        raise_facts_revision(row)
    return row


@transaction.atomic
def set_level(*, athlete: Athlete, level: str, valid_from: dt.date, by: User | None, reason: str = "") -> LevelPeriod:
    """The level from a date on; a level that began on the same date is replaced and kept in the change log."""
    row = LevelPeriod.objects.filter(athlete=athlete, valid_from=valid_from).first()
    before = logged(row, ("level", "valid_from"))
    row = row or LevelPeriod(athlete=athlete, valid_from=valid_from)
    if row.level == level:
        return row
    row.level = level
    if valid_from < athlete.birth_date:
        raise ValidationError({"valid_from": "A level cannot begin before the birth."})
    save_valid(row)
    record_change(
        by=by,
        action="level.set",
        row=athlete,
        athlete_uuid=athlete.uuid,
        before=before,
        after=logged(row, ("level", "valid_from")),
        reason=reason,
    )
    raise_facts_revision(athlete)
    return row


@transaction.atomic
def add_external_id(*, athlete: Athlete, value: str, by: User | None, source: str = "") -> ExternalId:
    """What another system calls this athlete. Raises ValidationError when it names somebody else already."""
    text = require_text(value, "value", "The id")
    row = ExternalId.objects.filter(source=source.strip(), value=text).first()
    if row is not None and row.athlete_id == athlete.pk:
        return row
    if row is not None:
        raise ValidationError({"value": f"The id {text} already belongs to {row.athlete.name}."})
    row = ExternalId(athlete=athlete, source=source.strip(), value=text)
    save_valid(row)
    record_change(
        by=by,
        action="external_id.added",
        row=athlete,
        athlete_uuid=athlete.uuid,
        after=logged(row, ("source", "value")),
    )
    return row


def _check_person(athlete: Athlete) -> None:
    athlete.given_name = require_text(athlete.given_name, "given_name", "The given name")
    athlete.family_name = require_text(athlete.family_name, "family_name", "The family name")
    today = facility_today()
    require_not_future(athlete.birth_date, today, "birth_date", "A birth date")
    years = (today - athlete.birth_date).days / 365.2425
    if not YOUNGEST_YEARS <= years <= OLDEST_YEARS:
        raise ValidationError({"birth_date": f"Born {date_words(athlete.birth_date)} makes an age of {years:.0f}."})
    twin = Athlete.everything.filter(
        given_name__iexact=athlete.given_name,
        family_name__iexact=athlete.family_name,
        birth_date=athlete.birth_date,
        merged_into=None,  # a record that was put aside as the same person is no twin
    ).exclude(pk=athlete.pk)
    if twin.exists():
        raise ValidationError(
            f"{athlete.name}, born {date_words(athlete.birth_date)}, is already here (perhaps withdrawn)."
        )
