"""From a recording's bytes to a session with its findings."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse

from metrics.models import Finding, ImportUnit, MotionReport, Reading
from metrics.services.imports.reading import read_upload
from sessions.models import CaptureSetup, Throw, Upload
from tests.metrics.motion.conftest import DAY, delivery, throw_bytes
from tests.synthesis import c3d_bytes, record

pytestmark = pytest.mark.django_db


def test_recording_waits_with_its_throw_measured_and_asks_whose_it_is(room):
    upload = room.upload(throw_bytes(), "2026-04-14 throw 7.c3d")
    assert upload.state == Upload.State.NEEDS_ANSWER
    unit = room.unit(upload)
    (throw,) = unit.payload["throws"]
    assert (unit.date, throw["number"]) == (DAY, 7)
    assert throw["values"]["elbow_flexion_fp@fc"]["value"] == pytest.approx(
        delivery().throw.metrics("fc")["elbow_flexion_fp"], abs=1.0
    )


def test_preview_says_when_each_throw_of_a_file_was_released(room, coach, client_of):
    """Counted from the file's first frame, as whoever recorded it would count."""
    recording = record([delivery().throw.delivery] * 2, delivery().room)
    upload = room.upload(c3d_bytes(recording), "bullpen.c3d")
    page = client_of(coach).get(reverse("metrics:import", args=[upload.uuid])).content.decode()
    said = [float(time) for time in re.findall(r"release at ([0-9.]+) s of the file", page)]
    assert said == pytest.approx([throw.events.br for throw in recording.throws], abs=0.01)
    assert "The recording does not say." in page


def test_accepted_recording_is_a_session_with_readings_and_findings(room, pitcher):
    upload = room.throw_of(pitcher)
    assert upload.state == Upload.State.ACCEPTED
    capture = room.session(upload)
    assert (capture.athlete, capture.date, capture.method) == (pitcher, DAY, "motion_capture")
    assert (capture.filter_hz, capture.frame_rate_hz, capture.throwing_side) == (13.4, 240.0, "right")
    reading = Reading.objects.get(throw__session=capture)
    assert reading.source == Reading.Source.MARKERS
    stride = reading.values["stride_length@fc"]
    assert stride["unit"] == "m"
    assert Finding.objects.get(session=capture, metric="stride_length").mean == pytest.approx(
        100 * stride["value"] / 1.86, abs=1.5
    )
    report = MotionReport.objects.get(throw__session=capture)
    assert report.events == report.automatic
    assert set(report.events) >= {"pkh", "fc", "fp", "mer", "br", "mir"}


def test_more_files_of_a_day_are_more_throws_of_one_session(room, pitcher):
    for number in range(3):
        room.throw_of(pitcher, throw_bytes(number=number), f"take{number}.c3d")
    numbers = Throw.objects.filter(session__athlete=pitcher).values_list("session", "number")
    assert len({session for session, _ in numbers}) == 1
    assert sorted(number for _, number in numbers) == [1, 2, 3]


def test_other_arm_than_the_athletes_is_told_and_nothing_is_stored(room, pitcher):
    upload = room.upload(throw_bytes(side="left"), "throw.c3d")
    ImportUnit.objects.filter(draft__upload=upload).update(athlete=pitcher, date=DAY)
    upload = room.accept(upload)
    assert upload.state == Upload.State.NEEDS_ANSWER
    assert any("left arm throws here" in one["sentence"] for one in room.draft(upload).problems)
    assert not Throw.objects.exists()


def test_accepted_recording_read_by_another_setup_changes_its_session_once_that_is_accepted(
    room, pitcher, coach, client_of
):
    capture = room.session(room.throw_of(pitcher))
    before = Reading.objects.get(throw__session=capture).values
    setup = CaptureSetup.objects.create(name="Marker hall", filter_hz=20.0)
    upload = capture.throws.get().source_upload
    address = reverse("metrics:import", args=[upload.uuid])
    assert "How it was read" in client_of(coach).get(address).content.decode()
    client_of(coach).post(reverse("metrics:import-setup", args=[upload.uuid]), {"setup": str(setup.uuid)})
    read_upload(upload.pk)
    assert Reading.objects.get(throw__session=capture).values == before
    assert "What reading it so changes" in client_of(coach).get(address).content.decode()
    room.accept(upload)
    capture.refresh_from_db()
    assert (capture.filter_hz, capture.capture_setup) == (20.0, setup)
    assert Reading.objects.get(throw__session=capture).values != before
    assert Throw.objects.count() == 1
    assert room.fresh(upload).state == Upload.State.ACCEPTED


def test_match_page_of_columns_is_no_page_of_a_recording(room, coach, client_of):
    upload = room.upload(throw_bytes(), "throw.c3d")
    sheet = room.draft(upload).layouts[0]["fingerprint"]
    address = f"{reverse('metrics:match', args=[upload.uuid])}?sheet={sheet}"
    assert client_of(coach).get(address).status_code == 404
