"""A part of a file as rows: the session, its throws and their readings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db.models import F, Max

from athletes.models import User
from metrics.models import ImportUnit, Reading
from metrics.services.imports.payloads import Payload, PayloadThrow
from metrics.services.imports.targets import checksum_of_text, last_ordinals, same_day_sessions, target_session
from metrics.services.scoring import StoredReadings
from sessions.bulk_rows import insert_rows
from sessions.models import CaptureSession, Throw, Upload
from sessions.quick_json import sorted_text
from sessions.services.inputs import input_service, raise_input_revision

ALGORITHM = "metric table 2"
"""How values of a table become readings; rises when the same table would give other readings."""

SESSION_FIELDS = ("setup", "landing", "filter_knowledge", "filter_hz", "frame_rate_hz", "definitions")
"""What a recipe says of a whole session."""


@input_service
def store_session(unit: ImportUnit, payload: Payload, by: User | None) -> CaptureSession:
    """The unit's throws and readings in a session of its own, or added to the one of that day."""
    capture = target_session(unit, payload) or new_session(unit, payload)
    numbers = set(capture.throws.values_list("number", flat=True))
    fresh = [throw for throw in payload.throws if throw.number not in numbers]
    made = Throw.objects.bulk_create([new_throw(capture, one, unit.draft.upload, by) for one in fresh])
    Reading.objects.bulk_create([new_reading(throw, one) for throw, one in zip(made, fresh, strict=True) if one.values])
    raise_input_revision(capture)
    return capture


def store_sessions(
    parts: Sequence[tuple[ImportUnit, Payload]], upload: Upload, by: User | None
) -> tuple[list[CaptureSession], dict[int, StoredReadings]]:
    """A new session for each part, in order, with its throws and readings; few statements for any number of parts.

    Gives the readings by session beside it, for those who would load them next.
    """
    days = [(unit.athlete_id, unit.date, unit.method, payload.setup) for unit, payload in parts]
    last, rows = last_ordinals(days), []
    for day, (unit, payload) in zip(days, parts, strict=True):
        last[day] += 1
        rows.append(_session_row(unit, payload, last[day]))
    captures = CaptureSession.objects.bulk_create(rows)
    throws = [
        (capture.pk, one) for capture, (_, payload) in zip(captures, parts, strict=True) for one in payload.throws
    ]
    insert_rows(Throw, ({"session_id": key, **throw_fields(one, upload, by)} for key, one in throws))
    made = Throw.objects.filter(session__in=captures).order_by().values_list("session_id", "number", "pk")
    keys = {(session_id, number): pk for session_id, number, pk in made}
    insert_rows(
        Reading,
        ({"throw_id": keys[key, one.number], **reading_fields(one)} for key, one in throws if one.values),
    )
    for capture in captures:
        capture.input_revision += 1
    CaptureSession.objects.filter(pk__in=[capture.pk for capture in captures]).update(
        input_revision=F("input_revision") + 1
    )
    return captures, {
        capture.pk: StoredReadings(
            capture.input_revision, {keys[capture.pk, one.number]: one.values for one in payload.throws}
        )
        for capture, (_, payload) in zip(captures, parts, strict=True)
    }


def new_session(unit: ImportUnit, payload: Payload) -> CaptureSession:
    """The unit's own session, saved: the next of its day."""
    last = same_day_sessions(unit, payload.setup).aggregate(last=Max("ordinal"))["last"] or 0
    capture = _session_row(unit, payload, last + 1)
    capture.save(force_insert=True)
    return capture


def _session_row(unit: ImportUnit, payload: Payload, ordinal: int) -> CaptureSession:
    assert unit.athlete is not None
    assert unit.date is not None
    return CaptureSession(
        athlete=unit.athlete,
        date=unit.date,
        ordinal=ordinal,
        method=unit.method,
        throwing_side="left" if unit.athlete.throws == "left" else "right",
        **{name: getattr(payload, name) for name in SESSION_FIELDS},
    )


def new_throw(capture: CaptureSession, one: PayloadThrow, upload: Upload, by: User | None) -> Throw:
    """The row of a throw, not saved."""
    return Throw(session=capture, **throw_fields(one, upload, by))


def throw_fields(one: PayloadThrow, upload: Upload, by: User | None) -> dict[str, Any]:
    """The row of a throw by attribute, without its session."""
    fields = {
        "number": one.number,
        "source_upload_id": upload.pk,
        "ball_speed_m_s": one.ball_speed_m_s,
        **one.conditions,
    }
    if not one.excluded_reason:
        return fields
    return fields | {
        "excluded_at": upload.uploaded_at,
        "excluded_by_id": by.pk if by else None,
        "excluded_reason": one.excluded_reason[:200],
    }


def new_reading(throw: Throw, one: PayloadThrow) -> Reading:
    """The row of a throw's readings, not saved."""
    return Reading(throw=throw, **{**reading_fields(one), "values": one.values})


def reading_fields(one: PayloadThrow) -> dict[str, Any]:
    """The row of a throw's readings by attribute, without its throw; the values as text, which is written once."""
    text = sorted_text(one.values)
    return {
        "source": Reading.Source.TABLE,
        "algorithm": ALGORITHM,
        "checksum": checksum_of_text(text),
        "values": text,
    }
