"""Recordings that were dropped together: one answer is for all of them, and one press accepts them."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse

from metrics.models import ImportUnit
from metrics.services.imports.answers import choose_athlete, set_date
from sessions.models import CaptureSession, CaptureSetup, Upload
from tests.factories import AthleteFactory
from tests.metrics.motion.conftest import DAY, throw_bytes

pytestmark = pytest.mark.django_db


@pytest.fixture
def drop(room) -> list[Upload]:
    return [room.upload(throw_bytes(number=number), f"take {number}.c3d") for number in (1, 2, 3)]


def test_one_answer_says_whose_all_of_them_are(room, drop, pitcher, coach):
    assert choose_athlete(unit=room.unit(drop[0]), athlete=pitcher, by=coach) == 3
    assert set_date(unit=room.unit(drop[2]), date=DAY) == 3
    assert [room.fresh(upload).state for upload in drop] == [Upload.State.READY] * 3


def test_what_was_answered_already_stays(room, drop, pitcher, coach):
    other = AthleteFactory()
    ImportUnit.objects.filter(draft__upload=drop[1]).update(athlete=other)
    assert choose_athlete(unit=room.unit(drop[0]), athlete=pitcher, by=coach) == 2
    assert room.unit(drop[1]).athlete == other


def test_files_of_another_hour_or_hand_are_not_answered_with_them(room, drop, pitcher, coach, admin):
    Upload.objects.filter(pk=drop[1].pk).update(uploaded_at=drop[0].uploaded_at - dt.timedelta(hours=1))
    Upload.objects.filter(pk=drop[2].pk).update(uploaded_by=admin)
    assert choose_athlete(unit=room.unit(drop[0]), athlete=pitcher, by=coach) == 1


def test_one_press_accepts_all_that_ask_nothing(room, drop, pitcher, coach, client_of):
    choose_athlete(unit=room.unit(drop[0]), athlete=pitcher, by=coach)
    set_date(unit=room.unit(drop[0]), date=DAY)
    ImportUnit.objects.filter(draft__upload=drop[2]).update(date=None)
    Upload.objects.filter(pk=drop[2].pk).update(state=Upload.State.NEEDS_ANSWER)
    client = client_of(coach)
    assert "Accept all 2 that ask nothing" in client.get(reverse("sessions:uploads")).content.decode()
    client.post(reverse("metrics:import-accept-ready"))
    states = [room.fresh(upload).state for upload in drop]
    assert states == [Upload.State.ACCEPTING, Upload.State.ACCEPTING, Upload.State.NEEDS_ANSWER]
    assert not CaptureSession.objects.exists()  # the worker has not been there yet


def test_only_coaching_staff_accepts(client_of, athlete_user):
    assert client_of(athlete_user).post(reverse("metrics:import-accept-ready")).status_code == 403


SETUP = {
    "name": "Marker hall", "home": "+X", "up": "+Z", "unit": "", "is_filtered": "on", "filter_hz": "13.4",
    "uses_plates": "on", "surface": "mound", "foot_marker_height_mm": "", "marker_names": "elbowOut_r = R_EL",
}  # fmt: skip


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"marker_names": "elbowOut_r"}, "is not of the form"),
        ({"marker_names": "elbowOut_r = ELBOW"}, "is not of the form"),
        ({"marker_names": "one = R_EL\ntwo = R_EL"}, "has another name already"),
        ({"up": "-X"}, "two different ones"),
        ({"up": ""}, "or neither"),
    ],
)
def test_admin_is_told_what_is_wrong_with_a_setup(client_of, admin, facility, wrong, said):
    answer = client_of(admin).post(reverse("admin:capture_sessions_capturesetup_add"), SETUP | wrong)
    assert said in answer.content.decode()
    assert not CaptureSetup.objects.exists()


def test_setup_that_an_admin_changes_reads_waiting_files_again(room, client_of, admin):
    setup = CaptureSetup.objects.create(name="Marker hall")
    upload = room.upload(throw_bytes(), "take.c3d", read_options={"setup": str(setup.uuid)})
    client_of(admin).post(
        reverse("admin:capture_sessions_capturesetup_change", args=[setup.pk]), SETUP | {"filter_hz": "20"}
    )
    setup.refresh_from_db()
    assert (setup.filter_hz, setup.names) == (20.0, {"elbowOut_r": "R_EL"})
    assert room.fresh(upload).state == Upload.State.RECEIVED
