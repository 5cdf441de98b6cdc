"""Recordings that cannot be measured: what is wrong reaches the preview in words, and nothing is a session."""

from __future__ import annotations

import numpy as np
import pytest
from django.urls import reverse

from metrics.models import ImportUnit
from sessions.models import CaptureSession, Upload
from tests.metrics.motion.conftest import delivery, throw_bytes
from tests.synthesis import Room, RunningThrow, Standing, Windmill, c3d_bytes, cut, record, with_sides_swapped, without

pytestmark = pytest.mark.django_db


def of_motion(motion: object) -> bytes:
    return c3d_bytes(record(motion, Room(rate_hz=240.0, unit="mm")))


def in_wrong_unit() -> bytes:
    """Numbers of centimetres, nearly, under the word of millimetres."""
    recording = delivery()
    return c3d_bytes(recording.but(points=recording.points / 100.0))


def before_release() -> bytes:
    recording = delivery()
    return c3d_bytes(cut(recording, end=recording.throw.events.br - 0.02))


UNMEASURED = {
    "no throw": (lambda: of_motion(Standing()), "no throw"),
    "windmill": (lambda: of_motion(Windmill()), "underhand"),
    "running throw": (lambda: of_motion(RunningThrow()), "run"),
    "cut before release": (before_release, "release"),
    "wrong unit": (in_wrong_unit, "unit"),
}
UNREADABLE = {
    "cut short": (lambda: throw_bytes()[:200_000], "cut short"),
    "header alone": (lambda: throw_bytes()[:512], "damaged"),
    "text": (lambda: b"Throw;Elbow\n1;90\n", "not a motion capture recording"),
    "zeros": (lambda: bytes(4096), "not a motion capture recording"),
}


@pytest.mark.parametrize("kind", UNMEASURED)
def test_throw_that_cannot_be_measured_says_why_on_its_page(room, client_of, coach, kind):
    make, said = UNMEASURED[kind]
    upload = room.upload(make(), "2026-04-14 throw 1.c3d")
    assert upload.state == Upload.State.NEEDS_ANSWER
    html = client_of(coach).get(reverse("metrics:import", args=[upload.uuid])).content.decode()
    (problem, *_) = [one for one in room.draft(upload).problems if one["severity"] == "error"]
    assert said in problem["sentence"].lower()
    assert "No throw of this part could be read" in html
    assert not CaptureSession.objects.exists()


@pytest.mark.parametrize("kind", UNREADABLE)
def test_file_that_cannot_be_read_is_refused_with_its_sentence_and_kept(room, kind):
    make, said = UNREADABLE[kind]
    upload = room.upload(make(), "2026-04-14 throw 1.c3d")
    assert upload.state == Upload.State.REFUSED
    assert said in upload.error_sentence
    assert upload.original.size == len(make())
    assert not ImportUnit.objects.exists()


def test_missing_markers_are_asked_for_by_name(room):
    upload = room.upload(c3d_bytes(without(delivery(), ["R_EL", "L_LM"])), "throw.c3d")
    assert upload.state == Upload.State.NEEDS_MATCH
    (refusal,) = room.draft(upload).file_facts["captured"]["refusals"]
    assert "R_EL" in refusal["sentence"]
    assert "L_LM" in refusal["sentence"]


def test_labels_that_change_sides_are_put_right_and_said(room):
    recording = delivery()
    swapped = with_sides_swapped(recording, start=1.0, end=1.05)
    upload = room.upload(c3d_bytes(swapped), "throw.c3d")
    unit = room.unit(upload)
    assert unit.payload["throws"]
    assert any(one["code"] == "labels_flicker" for one in room.draft(upload).problems)


def test_doubted_throw_is_kept_out_until_a_person_takes_it_in(room, pitcher):
    """Its height was typed wrongly, so that the body in the file is not the one that is known."""
    pitcher.body_sizes.update(height_cm=140.0)
    capture = room.session(room.throw_of(pitcher))
    thrown = capture.throws.get()
    assert thrown.is_excluded
    assert thrown.excluded_reason.startswith("to confirm: ")
    assert capture.scoring.scored_throws == 0


def test_plain_text_named_otherwise_is_still_a_table(room):
    upload = room.upload(b"PP;Elbow\n" + b"1;2\n" * 200, "table.csv")
    assert room.draft(upload).file_facts["kind"] != "c3d"


def test_recording_named_otherwise_is_known_by_its_bytes(room):
    upload = room.upload(throw_bytes(), "throw.csv")
    assert room.draft(upload).file_facts["kind"] == "c3d"
    assert np.isfinite(room.draft(upload).file_facts["captured"]["rate_hz"])
