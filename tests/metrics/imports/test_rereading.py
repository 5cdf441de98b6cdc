"""A file that has become sessions, read again by another recipe."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from athletes.models import ChangeLog
from metrics.models import Finding, ImportUnit, Reading
from metrics.services.imports.answers import choose_athlete
from metrics.services.imports.undoing import undo_import
from sessions.models import CaptureSession, Throw, Upload
from sessions.services.moving_throws import move_throws
from sessions.services.throws import Conditions, exclude_throw, set_conditions
from tests.factories import AthleteFactory
from tests.metrics.imports.conftest import HEADER, UNITS, rows

TABLE = HEADER + UNITS + rows("Tove Marrin", "TM-1", "2026-03-02")


@pytest.fixture
def accepted(room, pair):
    return room.accept(room.match(room.upload(TABLE)))


def with_columns(room, upload, **changes):
    """The stored recipe with other targets: key → fields of the target."""
    recipe = room.draft(upload).layouts[0]["first_recipe"]
    return [{**target, **changes.get(target["header"].replace(" ", "_"), {})} for target in recipe["columns"]]


def read_anew(room, upload, **changes):
    return room.match(upload, columns=with_columns(room, upload, **changes))


def elbow_of(number):
    return Reading.objects.get(throw__number=number).values["elbow_flexion_fp@fc"]


INNER = {"elbow_flexion_at_foot_contact": {"factor": -1.0, "offset": 180.0}}


def test_another_recipe_waits_with_what_it_changes_and_changes_nothing_by_itself(room, accepted):
    upload = read_anew(room, accepted, **INNER)

    assert upload.state == Upload.State.READY
    assert elbow_of(1) == {"value": 92.5}
    made, again = room.units(upload)
    assert (made.state, again.state, again.target) == ("accepted", "waiting", ImportUnit.Target.REPLACE)
    assert again.session == made.session


def test_accepted_it_changes_readings_and_findings_in_the_same_session(room, accepted):
    before = CaptureSession.objects.get()
    room.accept(read_anew(room, accepted, **INNER))

    assert elbow_of(1) == {"value": 87.5}
    after = CaptureSession.objects.get()
    assert (after.pk, after.input_revision) == (before.pk, before.input_revision + 1)
    assert Finding.objects.get(metric="elbow_flexion_fp").mean == pytest.approx(180 - 93.75)
    assert [unit.state for unit in room.units(accepted)] == ["accepted"]
    assert ChangeLog.objects.filter(action="session read again from its file", object_uuid=after.uuid).count() == 1


def test_what_people_did_to_throws_stays(room, accepted, coach):
    exclude_throw(throw=Throw.objects.get(number=2), by=coach, reason="slipped")
    set_conditions(throw=Throw.objects.get(number=3), by=coach, conditions=Conditions(pitch_type="curveball"))
    room.accept(read_anew(room, accepted, **INNER))

    assert Throw.objects.get(number=2).excluded_reason == "slipped"
    assert Throw.objects.get(number=3).pitch_type == "curveball"
    assert elbow_of(2) == {"value": 87.0}
    assert Finding.objects.get(metric="elbow_flexion_fp").n == 4


def test_conditions_of_the_recipe_reach_throws_that_nobody_changed(room, accepted, coach):
    set_conditions(throw=Throw.objects.get(number=3), by=coach, conditions=Conditions(surface="flat_ground"))
    recipe = room.draft(accepted).layouts[0]["first_recipe"]
    conditions = {**recipe["conditions"], "surface": "other"}
    room.accept(room.match(accepted, conditions=conditions))

    surfaces = dict(Throw.objects.values_list("number", "surface"))
    assert surfaces == {1: "other", 2: "other", 3: "flat_ground", 4: "other", 5: "other", 6: "other"}


def test_a_column_less_takes_its_readings_away(room, accepted):
    room.accept(read_anew(room, accepted, max_layback={"role": "ignore", "metric": ""}))
    assert "shoulder_external_rotation_max@mer" not in Reading.objects.get(throw__number=1).values
    assert not Finding.objects.filter(metric="shoulder_external_rotation_max", n__gt=0).exists()


def test_throws_that_the_file_no_longer_has_are_withdrawn_and_new_ones_come(room, accepted):
    draft = room.draft(accepted)
    unit = draft.units.get()
    for throw in unit.payload["throws"]:
        throw["number"] += 1
    unit.held.save()
    for throw in Throw.objects.order_by("-number"):
        throw.number += 1
        throw.save()

    room.accept(read_anew(room, accepted))

    assert sorted(Throw.objects.values_list("number", flat=True)) == [1, 2, 3, 4, 5, 6]
    assert Throw.everything.get(number=7).withdrawn_reason == "Not a throw of its file as that is read now."
    assert elbow_of(1) == {"value": 92.5}


def test_a_throw_that_turned_out_to_be_somebody_elses_does_not_come_back_with_its_file(room, accepted, coach):
    capture = CaptureSession.objects.get()
    other = AthleteFactory(throws="both")
    move_throws(capture=capture, numbers=[2], to=other, by=coach)
    room.accept(read_anew(room, accepted, **INNER))

    assert sorted(capture.throws.values_list("number", flat=True)) == [1, 3, 4, 5, 6]
    assert CaptureSession.objects.get(athlete=other).throws.get().number == 2


def test_the_same_reading_again_asks_for_nothing(room, accepted):
    upload = read_anew(room, accepted)
    assert upload.state == Upload.State.ACCEPTED
    assert len(room.units(upload)) == 1


def test_what_is_left_out_leaves_the_session_as_it_was(room, accepted, coach, client):
    client.force_login(coach)
    upload = read_anew(room, accepted, **INNER)
    again = room.units(upload)[1]
    client.post(reverse("metrics:unit-leave-out", args=[upload.uuid, again.uuid]))
    assert room.fresh(upload).state == Upload.State.ACCEPTED
    assert elbow_of(1) == {"value": 92.5}


def test_the_page_says_what_changes_and_offers_no_other_athlete(room, accepted, coach, client):
    client.force_login(coach)
    done = client.get(reverse("metrics:import", args=[accepted.uuid])).content.decode()
    assert "match anew" in done

    upload = read_anew(room, accepted, **INNER)
    page = client.get(reverse("metrics:import", args=[upload.uuid])).content.decode()
    assert "6 values change, 0 come and 0 go" in page
    assert "What reading it so changes" in page

    again = room.units(upload)[1]
    with pytest.raises(ValidationError, match="a session already"):
        choose_athlete(unit=again, athlete=again.athlete, by=coach)


def test_undoing_the_import_takes_the_open_change_with_it(room, accepted, coach):
    upload = read_anew(room, accepted, **INNER)
    undo_import(upload=upload, by=coach)
    assert [unit.target for unit in room.units(upload)] == [ImportUnit.Target.NEW]
    assert not CaptureSession.objects.exists()


def test_a_day_that_a_person_gave_is_remembered_when_the_file_is_read_again(room, pair, coach, client):
    client.force_login(coach)
    text = TABLE.replace("2026-03-02", "").replace(",Date,", ",Room,")
    upload = room.match(room.upload(text))
    url = reverse("metrics:unit-date", args=[upload.uuid, room.units(upload)[0].uuid])
    client.post(url, {"date": "2026-03-02"})
    room.accept(upload)

    again = read_anew(room, upload, **INNER)

    assert [unit.target for unit in room.units(again)] == [ImportUnit.Target.NEW, ImportUnit.Target.REPLACE]
    assert CaptureSession.objects.count() == 1


def test_parts_that_wait_between_accepted_ones_can_be_read_again(room, pair):
    text = TABLE + rows("Nobody Here", "X-9", "2026-03-02") + rows("Ikem Doull", "ID-2", "2026-03-02")
    upload = room.accept(room.match(room.upload(text)))
    assert upload.state == Upload.State.NEEDS_ANSWER
    assert [unit.state for unit in room.units(read_anew(room, upload))].count("waiting") == 1


def test_a_recipe_that_changes_is_used_for_files_that_wait_under_the_old_one(room, pair):
    first = room.match(room.upload(TABLE))
    second = room.upload(TABLE.replace("2026-03-02", "2026-03-09"))
    assert second.state == Upload.State.READY

    read_anew(room, first, **INNER)

    assert room.fresh(second).state == Upload.State.RECEIVED
