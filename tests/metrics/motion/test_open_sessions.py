"""Sessions that take files as they come, and sessions that were somebody else's."""

from __future__ import annotations

import datetime as dt
import io

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from athletes.models import Consent
from metrics.models import Finding, Reading, Standing
from metrics.services.imports.accepting import accept_upload
from metrics.services.moving import move_with_findings
from sessions.models import CaptureSession, Upload
from sessions.services.open_sessions import close_session, open_session
from tests.factories import AthleteFactory
from tests.metrics.motion.conftest import DAY, throw_bytes

pytestmark = pytest.mark.django_db


@pytest.fixture
def opened(room, pitcher, coach) -> CaptureSession:
    return open_session(athlete=pitcher, date=DAY, setup=None, by=coach)


def sent(room, capture: CaptureSession, data: bytes | None = None, name: str = "take.c3d") -> Upload:
    """A file that was sent to the session, and the worker's two steps."""
    upload = room.upload(data or throw_bytes(), name, for_session=capture)
    accept_upload(upload.pk)
    return room.fresh(upload)


def findings(capture: CaptureSession) -> list[tuple]:
    rows = Finding.objects.filter(session=capture).order_by("metric")
    return list(rows.values_list("metric", "zone", "side", "sure", "mean", "target_low", "u"))


def test_clean_file_becomes_a_throw_without_a_press(room, opened):
    assert sent(room, opened).state == Upload.State.ACCEPTED
    assert opened.throws.count() == 1
    assert Finding.objects.filter(session=opened, metric="elbow_flexion_fp").exists()
    sent(room, opened, throw_bytes(number=1), "second.c3d")
    assert opened.throws.count() == 2
    assert Finding.objects.get(session=opened, metric="elbow_flexion_fp").n == 2


def test_same_day_and_room_is_one_open_session(opened, pitcher, coach):
    assert open_session(athlete=pitcher, date=DAY, setup=None, by=coach) == opened


def test_file_of_the_other_arm_waits_with_its_sentence(room, opened):
    upload = sent(room, opened, throw_bytes(side="left"))
    assert upload.state == Upload.State.NEEDS_ANSWER
    assert any("left arm throws here" in one["sentence"] for one in room.draft(upload).problems)
    assert not opened.throws.exists()


def test_doubted_throw_comes_in_left_out(room, opened, pitcher):
    pitcher.body_sizes.update(height_cm=140.0)
    sent(room, opened)
    assert opened.throws.get().is_excluded


def test_file_without_consent_waits(room, opened, pitcher):
    Consent.objects.filter(athlete=pitcher).delete()
    type(pitcher).objects.filter(pk=pitcher.pk).update(birth_date="2012-01-01")
    assert sent(room, opened).state == Upload.State.NEEDS_ANSWER
    assert not opened.throws.exists()


def test_file_that_comes_after_closing_waits_for_a_look(room, opened, coach):
    close_session(capture=opened, by=coach)
    upload = sent(room, opened)
    assert upload.state == Upload.State.READY
    assert not opened.throws.exists()


def test_file_for_a_closed_session_is_not_taken_at_the_door(opened, coach, client_of):
    close_session(capture=opened, by=coach)
    with_file = {"table_files": [io.BytesIO(throw_bytes())], "for_session": str(opened.uuid)}
    answer = client_of(coach).post(reverse("sessions:upload-receive"), with_file, headers={"X-Requested-With": "fetch"})
    assert answer.status_code == 400
    assert "no longer open" in answer.json()["error"]
    assert not Upload.objects.exists()


def test_day_in_the_future_is_refused(pitcher, coach):
    with pytest.raises(ValidationError):
        open_session(athlete=pitcher, date=DAY.replace(year=2099), setup=None, by=coach)


# ---- somebody else's ----------------------------------------------------------------------------------------


@pytest.fixture
def other(pitcher):
    return AthleteFactory(
        level="college", birth_date=dt.date(2004, 1, 1), body_size={"height_cm": 186.0, "mass_kg": 110.0}
    )


def test_moved_session_is_measured_and_judged_for_the_other_and_back(room, pitcher, other, coach):
    capture = room.session(room.throw_of(pitcher))
    before, loads = findings(capture), _torque(capture)
    assert move_with_findings(capture=capture, to=other, by=coach) == pitcher
    assert _torque(capture) > 1.1 * loads
    assert Standing.objects.get(athlete=other).last_session == capture
    assert Standing.objects.get(athlete=pitcher).last_session is None
    move_with_findings(capture=capture, to=pitcher, by=coach)
    assert findings(capture) == before


def _torque(capture: CaptureSession) -> float:
    return Reading.objects.get(throw__session=capture).values["elbow_varus_torque_max@fc-br"]["value"]


def test_session_of_the_other_arm_cannot_be_theirs(room, pitcher, coach):
    capture = room.session(room.throw_of(pitcher))
    left = AthleteFactory(throws="left")
    with pytest.raises(ValidationError, match="throws with the left"):
        move_with_findings(capture=capture, to=left, by=coach)
    capture.refresh_from_db()
    assert capture.athlete == pitcher


def test_one_press_undoes_the_move(room, pitcher, other, coach, client_of):
    capture = room.session(room.throw_of(pitcher))
    client, url = client_of(coach), reverse("metrics:session-move", args=[capture.uuid])
    page = client.post(url, {"athlete": str(other.uuid)}, follow=True).content.decode()
    assert f"{url}?athlete={pitcher.uuid}" in page
    client.post(f"{url}?athlete={pitcher.uuid}")
    capture.refresh_from_db()
    assert capture.athlete == pitcher


def test_move_to_nobody_is_told(room, pitcher, coach, client_of):
    capture = room.session(room.throw_of(pitcher))
    answer = client_of(coach).post(reverse("metrics:session-move", args=[capture.uuid]), {"athlete": "x"})
    assert answer.status_code == 422
    assert "Choose the athlete" in answer.content.decode()
