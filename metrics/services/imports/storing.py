"""A part of a file as rows: the session, its throws and their readings."""

from __future__ import annotations

from django.db.models import Max

from athletes.models import User
from metrics.models import ImportUnit, Reading
from metrics.services.imports.payloads import Payload, PayloadThrow
from metrics.services.imports.targets import checksum_of, same_day_sessions, target_session
from sessions.models import CaptureSession, Throw, Upload
from sessions.services.inputs import input_service, raise_input_revision

ALGORITHM = "metric table 1"
"""How values of a table become readings; rises when the same table would give other readings."""

SESSION_FIELDS = ("setup", "landing", "filter_knowledge", "filter_hz", "frame_rate_hz", "definitions")
"""What a recipe says of a whole session."""


@input_service
def store_session(unit: ImportUnit, payload: Payload, by: User | None) -> CaptureSession:
    """The unit's throws and readings in a session of its own, or added to the one of that day."""
    capture = target_session(unit) or _new_session(unit, payload)
    numbers = set(capture.throws.values_list("number", flat=True))
    fresh = [throw for throw in payload.throws if throw.number not in numbers]
    made = Throw.objects.bulk_create([new_throw(capture, one, unit.draft.upload, by) for one in fresh])
    Reading.objects.bulk_create([new_reading(throw, one) for throw, one in zip(made, fresh, strict=True) if one.values])
    raise_input_revision(capture)
    return capture


def _new_session(unit: ImportUnit, payload: Payload) -> CaptureSession:
    last = same_day_sessions(unit).aggregate(last=Max("ordinal"))["last"] or 0
    assert unit.athlete is not None
    assert unit.date is not None
    return CaptureSession.objects.create(
        athlete=unit.athlete,
        date=unit.date,
        ordinal=last + 1,
        method=unit.method,
        throwing_side="left" if unit.athlete.throws == "left" else "right",
        **{name: getattr(payload, name) for name in SESSION_FIELDS},
    )


def new_throw(capture: CaptureSession, one: PayloadThrow, upload: Upload, by: User | None) -> Throw:
    """The row of a throw, not saved."""
    return Throw(
        session=capture,
        number=one.number,
        source_upload=upload,
        ball_speed_m_s=one.ball_speed_m_s,
        excluded_at=upload.uploaded_at if one.excluded_reason else None,
        excluded_by=by if one.excluded_reason else None,
        excluded_reason=one.excluded_reason[:200],
        **one.conditions,
    )


def new_reading(throw: Throw, one: PayloadThrow) -> Reading:
    """The row of a throw's readings, not saved."""
    return Reading(
        throw=throw,
        source=Reading.Source.TABLE,
        algorithm=ALGORITHM,
        checksum=checksum_of(one.values),
        values=one.values,
    )
