"""The table of services that change an input of findings: each raises the session's revision, once."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.core.exceptions import ValidationError

from athletes.models import User
from metrics.kinematics import FoundThrow
from metrics.measuring.captured import CapturedFile, CapturedThrow, Trace
from metrics.models import ImportUnit, ScreenEntry, UnitPayload
from metrics.services.imports.payloads import Payload, PayloadThrow
from metrics.services.imports.rereading import replace_readings
from metrics.services.imports.storing import store_session
from metrics.services.imports.undoing import throws_came_or_went
from metrics.services.motion.storing import store_recording
from metrics.services.screens.storing import remove_screens, store_screens
from sessions.models import CaptureSession, EventTime, Throw
from sessions.services.events import clear_event_time, set_event_time
from sessions.services.inputs import INPUT_SERVICES, ChangedMeanwhile
from sessions.services.moving import move_session
from sessions.services.moving_throws import move_throws
from sessions.services.throws import Conditions, exclude_throw, include_throw, set_conditions
from tests import factories

pytestmark = pytest.mark.django_db


def _store_more(throw: Throw, by: User) -> None:
    capture = throw.session
    unit = ImportUnit(
        draft=factories.ImportDraftFactory(), athlete=capture.athlete, date=capture.date, method=capture.method,
        payload={"setup": capture.setup}, target=ImportUnit.Target.ADD,
    )  # fmt: skip
    more = PayloadThrow(number=99, rows=[9], conditions={}, ball_speed_m_s=None, values={})
    store_session(unit, Payload(throws=[more], setup=capture.setup), by)


def _read_again(throw: Throw, by: User) -> None:
    capture, draft = throw.session, factories.ImportDraftFactory()
    Throw.objects.filter(pk=throw.pk).update(source_upload=draft.upload)
    said = Payload(throws=[PayloadThrow(throw.number, [2], {}, None, {})], setup=capture.setup).to_json()
    both = {"draft": draft, "athlete": capture.athlete, "date": capture.date, "method": capture.method}
    made = ImportUnit.objects.create(ordinal=1, session=capture, state=ImportUnit.State.ACCEPTED, **both)
    UnitPayload.objects.create(unit=made, content=said)
    again = ImportUnit.objects.create(ordinal=2, session=capture, target=ImportUnit.Target.REPLACE, **both)
    values = {"elbow_flexion_fp@fc": {"value": 91.0}}
    replace_readings(again, Payload(throws=[PayloadThrow(throw.number, [2], {}, None, values)]), by)


def _include(throw: Throw, by: User) -> None:
    Throw.objects.filter(pk=throw.pk).update(excluded_at=factories.NOON, excluded_reason="slipped")
    throw.refresh_from_db()
    include_throw(throw=throw, by=by)


def _store_recording(throw: Throw, by: User) -> None:
    capture = throw.session
    unit = ImportUnit(
        draft=factories.ImportDraftFactory(), athlete=capture.athlete, date=capture.date, method=capture.method,
        payload={"setup": capture.setup}, session=capture,
    )  # fmt: skip
    captured = CapturedThrow(
        FoundThrow(0, 700, 2.4, "R", 18.0), 0, "right", {}, {}, 0.9, 0.1, {}, {}, {}, {}, (), (), Trace(40.0, (), ()),
        "eA==",
    )  # fmt: skip
    file = CapturedFile((), "", {}, (), {}, (), "mm", 240.0, 700, 0, throws=(captured,))
    store_recording(unit, Payload(throws=[PayloadThrow(98, [1], {}, None, {})]), file, None, by)


def _clear_event_time(throw: Throw, by: User) -> None:
    EventTime.objects.create(throw=throw, event="fc", time_s=2.1, set_by=by, set_at=factories.NOON)
    clear_event_time(throw=throw, event="fc", by=by)


USES: dict[str, Callable[[Throw, User], object]] = {
    "exclude_throw": lambda throw, by: exclude_throw(throw=throw, by=by, reason="slipped"),
    "include_throw": _include,
    "set_conditions": lambda throw, by: set_conditions(
        throw=throw, by=by, conditions=Conditions(surface="flat_ground")
    ),
    "store_session": _store_more,
    "replace_readings": _read_again,
    "store_recording": _store_recording,
    "set_event_time": lambda throw, by: set_event_time(throw=throw, event="br", time_s=2.44, by=by),
    "clear_event_time": _clear_event_time,
    "move_throws": lambda throw, by: move_throws(
        capture=throw.session, numbers=[throw.number], to=factories.AthleteFactory(), by=by
    ),
    "move_session": lambda throw, by: move_session(capture=throw.session, to=factories.AthleteFactory(), by=by),
    "store_screens": lambda throw, by: store_screens(
        capture=throw.session, rounds=[{"hip_ir_front@screen": {"value": 31.0}}]
    ),
    "remove_screens": lambda throw, by: remove_screens(capture=throw.session, entry=ScreenEntry(placed=[]), by=by),
    "throws_came_or_went": lambda throw, by: throws_came_or_went(capture=throw.session),
}


@pytest.fixture(autouse=True)
def recordings(settings, tmp_path):
    settings.RECORDINGS_DIR = tmp_path / "recordings"


@pytest.fixture
def throw(athlete):
    capture = factories.CaptureSessionFactory(athlete=athlete)
    first = factories.ThrowFactory(session=capture)
    factories.ThrowFactory(session=capture)
    return first


def revision(throw: Throw) -> int:
    return CaptureSession.objects.get(pk=throw.session_id).input_revision


def test_every_service_of_the_table_is_tried_here():
    assert set(USES) == set(INPUT_SERVICES)


@pytest.mark.parametrize("name", sorted(USES))
def test_it_raises_the_revision_by_one(name, throw, coach):
    before = revision(throw)
    USES[name](throw, coach)
    assert revision(throw) == before + 1


def test_what_changes_nothing_raises_nothing(throw, coach):
    before = revision(throw)
    include_throw(throw=throw, by=coach)
    set_conditions(throw=throw, by=coach, conditions=Conditions(surface=throw.surface))
    assert revision(throw) == before


def test_a_form_that_was_read_before_somebody_elses_change_is_refused(throw, coach):
    seen = revision(throw)
    exclude_throw(throw=throw, by=coach, reason="slipped", read_at=seen)
    other = factories.ThrowFactory(session=throw.session)
    with pytest.raises(ChangedMeanwhile):
        exclude_throw(throw=other, by=coach, reason="slipped", read_at=seen)
    assert not Throw.objects.get(pk=other.pk).is_excluded


def test_a_refused_change_leaves_the_revision(throw, coach):
    before = revision(throw)
    with pytest.raises(ValidationError):
        exclude_throw(throw=throw, by=coach, reason="  ")
    assert revision(throw) == before
