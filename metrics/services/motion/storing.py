"""A recording's throws as rows, with their readings and reports, in a session of their own or in that of their day."""

from __future__ import annotations

import base64
from collections.abc import Iterator

from django.db import transaction

from athletes.models import Athlete, User
from metrics.measuring.captured import CapturedFile, CapturedThrow
from metrics.models import ImportUnit
from metrics.services.imports.payloads import Payload, PayloadThrow
from metrics.services.imports.storing import new_session, throw_fields
from metrics.services.imports.targets import target_session
from metrics.services.motion.arrays import keep_arrays
from metrics.services.motion.reading import as_plain
from metrics.services.motion.readings import write_readings
from metrics.services.motion.rooms import room_of, thrower_now
from sessions.models import CaptureSession, CaptureSetup, FilterKnowledge, Landing, Throw, ThrowRecording, Upload
from sessions.services.inputs import input_service, raise_input_revision

GONE = "Not a throw of its file as that is read now."
WITHDRAWN_FIELDS = ["withdrawn_at", "withdrawn_by", "withdrawn_reason"]


@input_service
@transaction.atomic
def store_recording(
    unit: ImportUnit, payload: Payload, file: CapturedFile, setup: CaptureSetup | None, by: User | None
) -> CaptureSession:
    """The file's throws as rows, with what they were read from."""
    assert unit.athlete is not None
    list(Athlete.everything.select_for_update().filter(pk=unit.athlete.pk).values_list("pk"))
    capture = unit.session or _opened(unit) or target_session(unit, payload) or new_session(unit, payload)
    _settle_session(capture, setup, file)
    before = {throw.recording.first_frame: throw for throw in _throws_of(capture, unit.draft.upload)}
    taken = set(capture.throws.values_list("number", flat=True))
    for one, captured in zip(payload.throws, file.throws, strict=True):
        throw = before.pop(captured.first_frame, None)
        if throw is None:
            throw = _new_throw(capture, one, unit.draft.upload, by, taken)
        _write(throw, captured, unit, setup, file.rate_hz)
    for throw in before.values():
        throw.mark_withdrawn(by, GONE)
        throw.save(update_fields=WITHDRAWN_FIELDS)
    raise_input_revision(capture)
    return capture


def _opened(unit: ImportUnit) -> CaptureSession | None:
    """The session that the file was sent to, as long as it is that athlete's and that day's."""
    session = unit.draft.upload.for_session
    fits = (
        session and session.withdrawn_at is None and (session.athlete_id, session.date) == (unit.athlete_id, unit.date)
    )
    return session if fits else None


def _throws_of(capture: CaptureSession, upload: Upload) -> Iterator[Throw]:
    return iter(capture.throws.filter(source_upload=upload, recording__isnull=False).select_related("recording"))


def _settle_session(capture: CaptureSession, setup: CaptureSetup | None, file: CapturedFile) -> None:
    """A session that was opened before its first file learns from it what its numbers were made by."""
    room = room_of(setup)
    capture.capture_setup = setup
    capture.filter_hz = room.filter_hz
    capture.filter_knowledge = FilterKnowledge.NONE if room.filter_hz is None else FilterKnowledge.KNOWN
    capture.frame_rate_hz = min(capture.frame_rate_hz or file.rate_hz, file.rate_hz)
    capture.throwing_side = file.throws[0].side
    capture.landing = Landing.FIRST_TOUCH
    capture.save(
        update_fields=[
            "capture_setup", "filter_hz", "filter_knowledge", "frame_rate_hz", "throwing_side", "landing",
        ]
    )  # fmt: skip


def _new_throw(capture: CaptureSession, one: PayloadThrow, upload: Upload, by: User | None, taken: set[int]) -> Throw:
    """With its own number where that is free, else with the next."""
    number = one.number if one.number not in taken else max(taken) + 1
    taken.add(number)
    return Throw.objects.create(session=capture, **{**throw_fields(one, upload, by), "number": number})


def _write(throw: Throw, captured: CapturedThrow, unit: ImportUnit, setup: CaptureSetup | None, rate_hz: float) -> None:
    """Where the throw is, its readings and its report; times that a person set belong to what was there before."""
    upload = unit.draft.upload
    recording, _ = ThrowRecording.objects.update_or_create(
        throw=throw,
        defaults={
            "original": upload.original,
            "filename": upload.filename,
            "setup": setup,
            "room": room_of(setup, upload.read_options.get("person", "")).to_json(),
            "found": as_plain(captured),
            "first_frame": captured.first_frame,
            "rate_hz": rate_hz,
        },
    )
    keep_arrays(recording, base64.b64decode(captured.kept))
    throw.event_times.all().delete()
    write_readings(throw, captured, thrower_now(throw))
