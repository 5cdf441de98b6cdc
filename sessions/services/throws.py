"""A person's word on throws: leave one out, take it back, say under which conditions it was thrown."""

from __future__ import annotations

from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from athletes.models import User
from athletes.services.change_log import record_change
from sessions.models import Ball, Intent, PitchType, Surface, Throw
from sessions.services.inputs import input_service, raise_input_revision


@dataclass(frozen=True, slots=True)
class Conditions:
    """None leaves a condition as it is."""

    pitch_type: str | None = None
    intent: str | None = None
    surface: str | None = None
    ball: str | None = None


ALLOWED = {"pitch_type": PitchType, "intent": Intent, "surface": Surface, "ball": Ball}


@input_service
@transaction.atomic
def exclude_throw(*, throw: Throw, by: User, reason: str, read_at: int | None = None) -> Throw:
    """Leaves a throw out of the findings; its readings stay. Raises ValidationError without a reason."""
    reason = reason.strip()
    if not reason:
        raise ValidationError("Say in a word why this throw is left out, for example: slipped.")
    if throw.is_excluded:
        return throw
    raise_input_revision(throw.session, read_at=read_at)
    throw.excluded_at, throw.excluded_by, throw.excluded_reason = timezone.now(), by, reason[:200]
    throw.save(update_fields=["excluded_at", "excluded_by", "excluded_reason"])
    _log(by, "throw excluded", throw, after={"reason": reason})
    return throw


@input_service
@transaction.atomic
def include_throw(*, throw: Throw, by: User, read_at: int | None = None) -> Throw:
    """Takes an excluded throw back."""
    if not throw.is_excluded:
        return throw
    raise_input_revision(throw.session, read_at=read_at)
    before = {"reason": throw.excluded_reason}
    throw.excluded_at, throw.excluded_by, throw.excluded_reason = None, None, ""
    throw.save(update_fields=["excluded_at", "excluded_by", "excluded_reason"])
    _log(by, "throw included", throw, before=before)
    return throw


@input_service
@transaction.atomic
def set_conditions(*, throw: Throw, by: User, conditions: Conditions, read_at: int | None = None) -> Throw:
    """Says what kind of throw it was. Raises ValidationError for a word that is no condition."""
    given = {name: getattr(conditions, name) for name in ALLOWED if getattr(conditions, name) is not None}
    for name, value in given.items():
        if value not in ALLOWED[name].values:
            raise ValidationError(f"“{value}” is no {name.replace('_', ' ')}. Choose one of the list.")
    before = {name: getattr(throw, name) for name in given}
    if before == given:
        return throw
    raise_input_revision(throw.session, read_at=read_at)
    for name, value in given.items():
        setattr(throw, name, value)
    throw.save(update_fields=list(given))
    _log(by, "throw conditions set", throw, before=before, after=given)
    return throw


def _log(by: User, action: str, throw: Throw, *, before: dict | None = None, after: dict | None = None) -> None:
    record_change(by=by, action=action, row=throw, athlete_uuid=throw.session.athlete.uuid, before=before, after=after)
