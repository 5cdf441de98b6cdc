"""Rooms: marker names matched once, setups that are kept with a session, and several people in one file."""

from __future__ import annotations

import numpy as np
import pytest
from django.core.exceptions import ValidationError

from metrics.measuring.room import Room
from metrics.models import Finding
from metrics.services.imports.reading import read_upload
from metrics.services.motion.setups import save_names
from sessions.models import CaptureSetup, Upload
from tests.metrics.motion.conftest import delivery, renamed_bytes, throw_bytes
from tests.synthesis import REQUIRED, c3d_bytes, with_names

pytestmark = pytest.mark.django_db
STRANGE = {label: f"m{number:02d}" for number, label in enumerate(REQUIRED)}
MEANT = {name: label for label, name in STRANGE.items()}


@pytest.fixture
def strange(room) -> Upload:
    return room.upload(renamed_bytes(STRANGE), "take 1.c3d")


def kept(upload: Upload, coach, names=MEANT, setup=None, new_name="Upstairs") -> CaptureSetup:
    return save_names(upload=upload, names=names, setup=setup, new_name=new_name, by=coach)


def test_names_that_nobody_knows_wait_for_a_match(room, strange):
    assert strange.state == Upload.State.NEEDS_MATCH
    assert len(room.draft(strange).file_facts["captured"]["suggestions"]) == len(REQUIRED)


def test_match_is_kept_and_the_next_file_is_read_by_it(room, strange, coach, pitcher):
    waiting = room.upload(renamed_bytes(STRANGE) + bytes(512), "take 2.c3d")
    setup = kept(strange, coach)
    assert room.fresh(waiting).state == Upload.State.RECEIVED  # it is read again, too
    after = room.upload(renamed_bytes(STRANGE) + bytes(1024), "take 3.c3d")
    assert after.state == Upload.State.NEEDS_ANSWER
    assert room.draft(after).layouts[0]["recipe_name"] == setup.name
    capture = room.session(room.throw_of(pitcher, renamed_bytes(STRANGE) + bytes(1536), "take 4.c3d"))
    assert capture.capture_setup == setup


def test_names_of_two_athletes_in_one_room_are_one_match(room, strange, coach):
    kept(strange, coach)
    recording = delivery()
    renamed = recording.but(labels=tuple(STRANGE[label] for label in recording.labels))
    other = room.upload(c3d_bytes(with_names(renamed, "somebody")), "take 9.c3d")
    assert other.state == Upload.State.NEEDS_ANSWER


def test_corrected_match_leaves_nothing_of_the_wrong_one(room, strange, coach):
    """The outer marker was taken for another one of the file: what is not used any more is no landmark any more."""
    swapped = MEANT | {STRANGE["R_EL"]: "R_EM", STRANGE["R_EM"]: "R_EL"}
    setup = kept(strange, coach, swapped)
    without_inner = {name: label for name, label in MEANT.items() if label != "R_EM"}
    save_names(upload=strange, names=without_inner, setup=setup, new_name="", by=coach)
    setup.refresh_from_db()
    assert setup.names == without_inner


def test_names_that_are_kept_elsewhere_are_read_from_there(room, strange, coach):
    other = CaptureSetup.objects.create(name="Hall")
    Upload.objects.filter(pk=strange.pk).update(read_options={"setup": str(other.uuid)})
    kept(room.fresh(strange), coach)
    read_upload(strange.pk)
    assert room.draft(strange).layouts[0]["recipe_name"] == "Upstairs"


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"names": MEANT | {"m00": "R_EL"}}, "Several markers are the"),
        ({"names": {name: label for name, label in MEANT.items() if label != "R_EL"}}, "Without these no throw"),
        ({"names": MEANT | {"m99": "NOSE"}}, "is no landmark"),
        ({"new_name": "  "}, "Give the capture setup a name"),
    ],
)
def test_wrong_match_is_told_and_not_kept(strange, coach, change, said):
    with pytest.raises(ValidationError) as wrong:
        kept(strange, coach, **change)
    assert said in " ".join(wrong.value.messages)
    assert not CaptureSetup.objects.exists()


def test_second_setup_of_one_name_is_refused(strange, coach):
    CaptureSetup.objects.create(name="Upstairs")
    with pytest.raises(ValidationError, match="there already"):
        kept(strange, coach)


def test_set_of_names_belongs_to_one_room(strange, coach):
    first = kept(strange, coach)
    second = kept(strange, coach, new_name="Downstairs")
    first.refresh_from_db()
    assert (first.label_sets, len(second.label_sets)) == ([], 1)


def test_axes_that_are_set_give_what_is_found(room, pitcher):
    found = room.session(room.throw_of(pitcher)).throws.get().readings.get().values
    setup = CaptureSetup.objects.create(name="Hall", home="+X", up="+Z", unit="mm")
    upload = room.upload(throw_bytes(number=1), "b.c3d", read_options={"setup": str(setup.uuid)})
    assert room.unit(upload).payload["throws"][0]["values"]["elbow_flexion_fp@fc"] == found["elbow_flexion_fp@fc"]
    assert not any(one["code"] == "axes_found" for one in room.draft(upload).problems)


def test_setup_that_is_chosen_after_the_preview_decides_whose_session_it_is(room, pitcher):
    """The draft was read by no setup; on acceptance the file is measured by the one that was chosen meanwhile."""
    chosen = {"setup": str(CaptureSetup.objects.create(name="Hall", home="+X", up="+Z", unit="mm").uuid)}
    sessions = set()
    for number in (1, 2):
        upload = room.upload(throw_bytes(number=number), f"{number}.c3d")
        room.unit(upload).__class__.objects.filter(draft__upload=upload).update(athlete=pitcher, date="2026-04-14")
        Upload.objects.filter(pk=upload.pk).update(read_options=chosen)
        sessions.add(room.session(room.accept(upload)))
    (session,) = sessions
    assert (session.setup, session.throws.count()) == ("Hall", 2)


def test_wrong_axes_of_a_room_are_told(room):
    setup = CaptureSetup.objects.create(name="Hall", home="-X", up="+Z")
    upload = room.upload(throw_bytes(), "b.c3d", read_options={"setup": str(setup.uuid)})
    assert any("Choose the setup of this room" in one["sentence"] for one in room.draft(upload).problems)


def test_arm_speeds_through_another_filter_are_not_judged(room, pitcher):
    setup = CaptureSetup.objects.create(name="Hall", filter_hz=20.0)
    upload = room.upload(throw_bytes(), "b.c3d", read_options={"setup": str(setup.uuid)})
    room.unit(upload).__class__.objects.filter(draft__upload=upload).update(athlete=pitcher, date="2026-04-14")
    capture = room.session(room.accept(upload))
    assert capture.filter_hz == 20.0
    speed = Finding.objects.get(session=capture, metric="elbow_extension_velocity_max")
    assert (speed.zone, speed.reason_code) == ("not_scored", "other_filter")
    assert Finding.objects.get(session=capture, metric="stride_length").zone != "not_scored"


def test_filter_above_what_the_frame_rate_allows_is_told(room):
    setup = CaptureSetup.objects.create(name="Hall", filter_hz=200.0)
    upload = room.upload(throw_bytes(), "b.c3d", read_options={"setup": str(setup.uuid)})
    assert any("needs more than the file" in one["sentence"] for one in room.draft(upload).problems)


def test_one_of_several_people_is_chosen(room):
    recording = delivery()
    ours, other = with_names(recording, "anna"), with_names(recording, "ben")
    points = np.concatenate([ours.points, other.points + 3000.0], axis=1)
    both = recording.but(labels=(*ours.labels, *other.labels), points=points)
    upload = room.upload(c3d_bytes(both), "two.c3d")
    assert any("several people: anna, ben" in one["sentence"] for one in room.draft(upload).problems)
    Upload.objects.filter(pk=upload.pk).update(state="received", read_options={"person": "anna"})
    read_upload(upload.pk)
    assert room.unit(upload).payload["throws"]
    assert room.unit(upload).athlete_reference["name"] == "anna"


@pytest.mark.parametrize(
    "wrong", [{"home": "+X"}, {"up": "+Z"}, {"home": "+X", "up": "-X"}, {"home": "X", "up": "+Z"}, {"unit": "yd"}]
)
def test_room_refuses_what_is_no_axis_and_no_unit(wrong):
    with pytest.raises(ValueError, match=r"[Aa]x|unit"):
        Room(**wrong)
