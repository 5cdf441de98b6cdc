"""From bytes to findings: upload → match → preview → accept."""

from typing import Any

import pytest

from metrics.models import Finding, ImportUnit, Reading
from metrics.services.scoring import StoredReadings, rescore_together
from sessions.models import CaptureSession, Throw, Upload
from tests.metrics.imports.conftest import HEADER, UNITS, rows


def test_unknown_header_waits_for_a_match(room, pair):
    upload = room.upload(HEADER + UNITS + rows("Tove Marrin", "TM-1", "2026-03-02"))

    assert upload.state == Upload.State.NEEDS_MATCH
    assert room.units(upload) == []


def test_matched_file_shows_its_sessions_and_makes_none(room, pair):
    upload = room.match(room.upload(HEADER + UNITS + rows("Tove Marrin", "TM-1", "2026-03-02")))

    assert upload.state == Upload.State.READY
    assert [unit.athlete for unit in room.units(upload)] == [pair[0]]
    assert not CaptureSession.objects.exists()


def test_accepted_file_becomes_sessions_with_findings(room, pair):
    text = HEADER + UNITS + rows("Tove Marrin", "TM-1", "2026-03-02") + rows("Ikem Doull", "ID-2", "2026-03-02", 4)
    upload = room.accept(room.match(room.upload(text)))

    assert upload.state == Upload.State.ACCEPTED
    assert CaptureSession.objects.count() == 2
    assert Throw.objects.count() == Reading.objects.count() == 10
    finding = Finding.objects.get(session__athlete=pair[0], metric="elbow_flexion_fp")
    assert finding.n == 6
    assert finding.mean == 92 + (1 + 2 + 3 + 4 + 5 + 6) / 6 / 2


def _findings() -> list[dict[str, Any]]:
    return [{**row, "id": None} for row in Finding.objects.order_by("session", "metric", "moment").values()]


def test_findings_of_what_was_just_stored_are_those_of_reading_it_back(room, pair):
    text = HEADER + UNITS + rows("Tove Marrin", "TM-1", "2026-03-02") + rows("Ikem Doull", "ID-2", "2026-03-02", 4)
    room.accept(room.match(room.upload(text)))
    at_once = _findings()
    rescore_together(CaptureSession.objects.select_related("athlete"))

    assert at_once
    assert _findings() == at_once


@pytest.mark.parametrize(("age", "is_read_back"), [(0, False), (1, True)], ids=["unchanged", "changed since"])
def test_readings_are_taken_from_memory_only_while_nobody_changed_the_session(room, pair, age, is_read_back):
    room.accept(room.match(room.upload(HEADER + UNITS + rows("Tove Marrin", "TM-1", "2026-03-02"))))
    (capture,) = CaptureSession.objects.select_related("athlete")
    rescore_together([capture], stored={capture.pk: StoredReadings(capture.input_revision - age, {})})

    assert Finding.objects.filter(metric="elbow_flexion_fp", n=6).exists() is is_read_back


def test_same_header_again_takes_one_tap(room, pair):
    room.match(room.upload(HEADER + UNITS + rows("Tove Marrin", "TM-1", "2026-03-02")))
    second = room.upload(HEADER + UNITS + rows("Ikem Doull", "ID-2", "2026-03-09"))

    assert second.state == Upload.State.READY


def test_accepting_twice_changes_nothing(room, pair):
    upload = room.accept(room.match(room.upload(HEADER + UNITS + rows("Tove Marrin", "TM-1", "2026-03-02"))))
    before = list(Throw.objects.values_list("pk", "uuid"))
    room.accept(upload)

    assert list(Throw.objects.values_list("pk", "uuid")) == before
    assert [unit.state for unit in room.units(upload)] == [ImportUnit.State.ACCEPTED]
