"""A worker that dies at any database call leaves nothing half stored, and its next run ends in the same rows."""

from __future__ import annotations

from typing import Any

import pytest

from metrics.models import Finding, ImportUnit, MotionReport, Reading
from metrics.services.imports.accepting import accept, accept_upload
from metrics.services.motion.measuring import move_event
from sessions.models import CaptureSession, EventTime, Throw, ThrowRecording, Upload
from tests.metrics.imports.dying import Killed, calls_of, dying_at, undone
from tests.metrics.motion.conftest import DAY, throw_bytes

pytestmark = pytest.mark.django_db


def everything_stored() -> dict[str, list[Any]]:
    return {
        "uploads": list(Upload.objects.values_list("state")),
        "units": list(ImportUnit.objects.values_list("state", "session__date")),
        "sessions": list(CaptureSession.objects.values_list("date", "ordinal", "input_revision", "filter_hz")),
        "throws": list(Throw.objects.values_list("number", "excluded_reason")),
        "recordings": list(ThrowRecording.objects.values_list("first_frame", "rate_hz")),
        "readings": [repr(values) for values in Reading.objects.values_list("values", flat=True)],
        "reports": [repr(events) for events in MotionReport.objects.values_list("events", flat=True)],
        "events": list(EventTime.objects.values_list("event", "time_s")),
        "findings": list(Finding.objects.order_by("metric").values_list("metric", "n", "mean", "zone")),
    }


def test_accepting_that_dies_at_any_database_call_ends_in_the_same_rows(room, pitcher, clock):
    upload = room.upload(throw_bytes(), "throw.c3d")
    ImportUnit.objects.filter(draft__upload=upload).update(athlete=pitcher, date=DAY)
    accept(upload=upload, by=room.coach)
    with undone():
        accept_upload(upload.pk)
        expected = everything_stored()
    assert len(expected["throws"]) == len(expected["recordings"]) == 1
    for call in range(1, calls_of(lambda: accept_upload(upload.pk)) + 1):
        with undone():
            with dying_at(call), pytest.raises(Killed):
                accept_upload(upload.pk)
            assert Throw.objects.count() == Reading.objects.count() == MotionReport.objects.count()
            clock.move(minutes=5)
            accept_upload(upload.pk)
            assert everything_stored() == expected, f"after dying at database call {call}"


def test_move_that_dies_at_any_database_call_has_happened_whole_or_not_at_all(room, pitcher, coach):
    throw = room.session(room.throw_of(pitcher)).throws.get()
    before = everything_stored()
    time_s = MotionReport.objects.get().automatic["fc"] - 0.010

    def move() -> None:
        move_event(throw=Throw.objects.get(pk=throw.pk), event="fc", time_s=time_s, by=coach)

    with undone():
        move()
        after = everything_stored()
    calls = calls_of(move)
    for call in range(1, calls + 1):
        with undone():
            with dying_at(call), pytest.raises(Killed):
                move()
            stored = everything_stored()
            assert stored == before or (call == calls and stored == after), f"after dying at database call {call}"
