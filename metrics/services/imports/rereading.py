"""A file that became sessions, read again with another recipe: its readings change, what people did to throws stays."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils import timezone

from athletes.models import User
from athletes.services.change_log import record_change
from metrics.models import ImportUnit, Reading
from metrics.services.imports.payloads import Payload, PayloadThrow, with_answers
from metrics.services.imports.storing import SESSION_FIELDS, new_reading, new_throw
from metrics.services.imports.targets import checksum_of
from sessions.models import CaptureSession, Throw, Upload
from sessions.services.inputs import input_service, raise_input_revision

GONE = "Not a throw of its file as that is read now."
WITHDRAWN_FIELDS = ["withdrawn_at", "withdrawn_by", "withdrawn_reason"]


@dataclass(frozen=True, slots=True)
class Difference:
    """What another reading of a file changes, in values: `changed`, `come`, `gone`; and in throws."""

    changed: int
    come: int
    gone: int
    throws_come: int
    throws_gone: int


def difference(before: Payload, after: Payload) -> Difference:
    """How the two readings of one part of a file differ."""
    old, new = _values_of(before), _values_of(after)
    was, now = {throw.number for throw in before.throws}, {throw.number for throw in after.throws}
    return Difference(
        changed=sum(old[key] != new[key] for key in old.keys() & new.keys()),
        come=len(new.keys() - old.keys()),
        gone=len(old.keys() - new.keys()),
        throws_come=len(now - was),
        throws_gone=len(was - now),
    )


def _values_of(payload: Payload) -> dict[tuple[int, str], Mapping[str, Any]]:
    return {(throw.number, key): value for throw in payload.throws for key, value in throw.values.items()}


def accepted_before(unit: ImportUnit) -> ImportUnit:
    """The part that made the session whose readings this one would replace."""
    made = unit.draft.units.filter(state=ImportUnit.State.ACCEPTED, session=unit.session, sheet=unit.sheet)
    return next(one for one in made.exclude(pk=unit.pk) if one.athlete_reference == unit.athlete_reference)


@input_service
def replace_readings(unit: ImportUnit, payload: Payload, by: User | None) -> CaptureSession:
    """Puts what the file says now in place of what it said, throw by throw; the part that said it before goes.

    Conditions and exclusions that stand as the file gave them follow the file; those that a person changed stay.
    """
    capture, before = unit.session, accepted_before(unit)
    assert capture is not None
    said = with_answers(Payload.from_json(before.payload), unit.draft.answers)
    difference_made = difference(said, payload)
    said_of = {throw.number: throw for throw in said.throws}
    of_file = capture.throws.filter(source_upload=unit.draft.upload, number__in=said_of)
    stored = {throw.number: throw for throw in of_file}
    taken = set(capture.throws.values_list("number", flat=True)) | _moved_away(capture, unit.draft.upload, said_of)
    for one in payload.throws:
        if one.number in stored:
            _follow_file(stored[one.number], said_of.get(one.number), one, unit.draft.upload, by)
        elif one.number not in taken:
            _add(capture, one, unit.draft.upload, by)
    for number in stored.keys() - {one.number for one in payload.throws}:
        stored[number].mark_withdrawn(by, GONE)
        stored[number].save(update_fields=WITHDRAWN_FIELDS)
    for name in SESSION_FIELDS:
        setattr(capture, name, getattr(payload, name))
    capture.method = unit.method
    capture.save(update_fields=[*SESSION_FIELDS, "method"])
    raise_input_revision(capture)
    before.delete()
    record_change(
        by=by,
        action="session read again from its file",
        row=capture,
        athlete_uuid=capture.athlete.uuid,
        after={"upload": str(unit.draft.upload.uuid), "changed": difference_made.changed},
    )
    return capture


def _moved_away(capture: CaptureSession, upload: Upload, said: Iterable[int]) -> set[int]:
    """Numbers that this file gave the session and that are somebody else’s now: reading again brings none back."""
    here = Throw.everything.filter(session=capture, source_upload=upload).values_list("number", flat=True)
    return set(said) - set(here)


def _add(capture: CaptureSession, one: PayloadThrow, upload: Upload, by: User | None) -> None:
    throw = new_throw(capture, one, upload, by)
    throw.save()
    if one.values:
        new_reading(throw, one).save()


def _follow_file(throw: Throw, said: PayloadThrow | None, now: PayloadThrow, upload: Upload, by: User | None) -> None:
    """One throw that the session has: its readings are the file's, its conditions too where nobody changed them."""
    fresh = new_reading(throw, now)
    stored = throw.readings.filter(source=Reading.Source.TABLE).first()
    if not now.values:
        throw.readings.filter(source=Reading.Source.TABLE).delete()
    elif stored is None:
        fresh.save()
    elif stored.checksum != checksum_of(now.values):
        stored.values, stored.checksum, stored.algorithm = fresh.values, fresh.checksum, fresh.algorithm
        stored.save()
    usual = Throw()
    for name, value in now.conditions.items():
        if said is None or getattr(throw, name) == said.conditions.get(name, getattr(usual, name)):
            setattr(throw, name, value)
    throw.ball_speed_m_s = now.ball_speed_m_s if now.ball_speed_m_s is not None else throw.ball_speed_m_s
    if said is not None and throw.excluded_reason == said.excluded_reason[:200] != now.excluded_reason[:200]:
        throw.excluded_at = timezone.now() if now.excluded_reason else None
        throw.excluded_by = by if now.excluded_reason else None
        throw.excluded_reason = now.excluded_reason[:200]
    throw.save()
