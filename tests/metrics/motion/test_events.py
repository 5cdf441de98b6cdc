"""Events moved by a person: what is read at them follows, what was found can be taken again."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError

from athletes.models import BodySize, ChangeLog
from metrics.models import MotionReport, Reading
from metrics.selectors.motion import recorded_throws
from metrics.services.motion.arrays import ArraysLost, arrays_of, arrays_path
from metrics.services.motion.measuring import measure_again, measure_where_size_changed, move_event, restore_event
from sessions.formats.kept import KeptFileBroken, kept_bytes, read_kept
from sessions.models import EventTime, Throw
from sessions.services.inputs import ChangedMeanwhile

pytestmark = pytest.mark.django_db


@pytest.fixture
def throw(room, pitcher) -> Throw:
    return room.session(room.throw_of(pitcher)).throws.get()


def readings(throw: Throw) -> dict:
    return Reading.objects.get(throw=throw, source="markers").values


def report(throw: Throw) -> MotionReport:
    return MotionReport.objects.get(throw=throw)


def test_measuring_again_gives_the_same_numbers(throw):
    before = readings(throw)
    measure_again(throw)
    assert readings(throw) == before


def test_moved_contact_changes_what_is_read_at_contact_and_keeps_what_was_found(throw, coach):
    before, found = readings(throw), report(throw).automatic["fc"]
    move_event(throw=throw, event="fc", time_s=found - 0.015, by=coach)
    assert report(throw).events["fc"] == pytest.approx(found - 0.015)
    assert report(throw).automatic["fc"] == found
    after = readings(throw)
    assert after["elbow_flexion_fp@fc"] != before["elbow_flexion_fp@fc"]
    assert after["elbow_flexion_fp@fp"] == before["elbow_flexion_fp@fp"]
    assert after["fc_br_time@fc-br"]["value"] == pytest.approx(before["fc_br_time@fc-br"]["value"] + 0.015, abs=1e-6)


def test_throw_that_was_loaded_with_its_events_is_read_by_the_one_that_was_just_moved(throw, coach):
    (loaded,) = recorded_throws(throw.session)
    found = report(throw).automatic["fc"]
    move_event(throw=loaded, event="fc", time_s=found - 0.015, by=coach)
    assert report(throw).events["fc"] == pytest.approx(found - 0.015)


def test_restored_event_gives_the_first_numbers_back(throw, coach):
    before = readings(throw)
    move_event(throw=throw, event="br", time_s=report(throw).automatic["br"] + 0.004, by=coach)
    assert restore_event(throw=throw, event="br", by=coach)
    assert readings(throw) == before
    assert report(throw).events == report(throw).automatic
    assert not restore_event(throw=throw, event="br", by=coach)


def test_move_out_of_order_is_refused_and_changes_nothing(throw, coach):
    before, revision = readings(throw), throw.session.input_revision
    with pytest.raises(ValidationError) as refused:
        move_event(throw=throw, event="fc", time_s=report(throw).automatic["br"] + 0.05, by=coach)
    assert "order" in str(refused.value) or "before" in str(refused.value)
    assert readings(throw) == before
    assert not EventTime.objects.exists()
    throw.session.refresh_from_db()
    assert throw.session.input_revision == revision


@pytest.mark.parametrize(("event", "time_s"), [("fc", -1.0), ("fc", 99.0), ("fc", float("nan")), ("no", 1.0)])
def test_no_event_and_no_time_are_refused(throw, coach, event, time_s):
    with pytest.raises(ValidationError):
        move_event(throw=throw, event=event, time_s=time_s, by=coach)
    assert not EventTime.objects.exists()


def test_second_of_two_who_move_one_event_is_told(throw, coach):
    read_at, found = throw.session.input_revision, report(throw).automatic["fc"]
    move_event(throw=throw, event="fc", time_s=found - 0.010, by=coach, read_at=read_at)
    with pytest.raises(ChangedMeanwhile):
        move_event(throw=throw, event="fc", time_s=found - 0.020, by=coach, read_at=read_at)
    assert EventTime.objects.get().time_s == pytest.approx(found - 0.010)


def test_both_acts_stand_in_the_change_log(throw, coach):
    found = report(throw).automatic["fc"]
    move_event(throw=throw, event="fc", time_s=found - 0.010, by=coach)
    restore_event(throw=throw, event="fc", by=coach)
    acts = ChangeLog.objects.filter(object_uuid=throw.uuid).order_by("id").values_list("action", flat=True)
    assert list(acts) == ["event moved", "event restored"]


def test_corrected_mass_reads_the_loads_anew_and_nothing_else(throw):
    before = readings(throw)
    BodySize.objects.update(mass_kg=96.0)
    assert measure_where_size_changed(throw.session) == 1
    after = readings(throw)
    assert after["elbow_varus_torque_max@fc-br"]["value"] > 1.05 * before["elbow_varus_torque_max@fc-br"]["value"]
    assert after["elbow_flexion_fp@fc"] == before["elbow_flexion_fp@fc"]
    assert measure_where_size_changed(throw.session) == 0


def test_array_file_that_is_gone_is_made_again_from_the_original(throw):
    path = arrays_path(throw.recording)
    before = path.read_bytes()
    path.unlink()
    measure_again(throw)
    assert read_kept(path.read_bytes()).positions.tobytes() == read_kept(before).positions.tobytes()


@pytest.mark.parametrize("damage", [lambda data: data[:200], lambda data: b"", lambda data: data[:-30] + bytes(30)])
def test_damaged_array_file_is_made_again(throw, damage):
    path = arrays_path(throw.recording)
    before = readings(throw)
    path.write_bytes(damage(path.read_bytes()))
    measure_again(throw)
    assert readings(throw) == before


def test_lost_original_is_told(throw, settings):
    arrays_path(throw.recording).unlink()
    for file in settings.ORIGINALS_DIR.iterdir():
        file.unlink()
    with pytest.raises(ArraysLost):
        arrays_of(throw.recording)


def test_full_disk_costs_the_array_file_only(room, pitcher, monkeypatch):
    def full(path, data):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("metrics.services.motion.arrays.write_whole", full)
    capture = room.session(room.throw_of(pitcher))
    assert arrays_of(capture.throws.get().recording).positions.rate_hz == 240.0


def test_array_file_of_another_version_is_not_read(throw, monkeypatch):
    kept = arrays_of(throw.recording).positions
    monkeypatch.setattr("sessions.formats.kept.VERSION", 999)
    data = kept_bytes(kept)
    monkeypatch.undo()
    with pytest.raises(KeptFileBroken):
        read_kept(data)
