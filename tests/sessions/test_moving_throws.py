"""Throws that somebody else threw: moved to that athlete, and moved back exactly."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from athletes.models import ChangeLog, ViewLog
from metrics.models import Finding, Reading, Scoring, Share, Standing
from metrics.services.moving import move_throws_back_with_findings, move_throws_with_findings, move_with_findings
from metrics.services.scoring import rescore
from sessions.models import CaptureSession, EventTime, Throw, ThrowRecording
from sessions.services.moving_throws import last_moving
from sessions.services.throws import exclude_throw
from tests import factories
from tests.metrics.imports.dying import Killed, calls_of, dying_at, undone

pytestmark = pytest.mark.django_db

ELBOW = "elbow_flexion_fp"


@pytest.fixture(autouse=True)
def profile(facility):
    """Elbow flexion at first touch: target 85 to 100, flags 80 and 105."""
    made = factories.RangeProfileVersionFactory(profile__in_use=True)
    factories.RangeRuleFactory(
        version=made, metric=ELBOW, landing="fc",
        target_low=85, target_high=100, flag_low=80, flag_high=105, source="Test source",
    )  # fmt: skip
    return factories.publish(made)


@pytest.fixture
def receiver():
    return factories.AthleteFactory(given_name="Sione", family_name="Sørlie")


def captured(athlete, values: list[float], **changes: Any) -> CaptureSession:
    capture = factories.CaptureSessionFactory(athlete=athlete, **changes)
    for value in values:
        throw = factories.ThrowFactory(session=capture)
        factories.ReadingFactory(throw=throw, values={f"{ELBOW}@fc": {"value": value}})
    rescore(capture)
    return capture


@pytest.fixture
def capture(athlete):
    """Three throws of the athlete at 90°, then two at 60° that somebody else threw."""
    return captured(athlete, [90, 90, 90, 60, 60])


def move(capture: CaptureSession, to, by, numbers=(4, 5)):
    return move_throws_with_findings(capture=capture, numbers=list(numbers), to=to, by=by)


def elbow(capture: CaptureSession) -> tuple[int, float]:
    found = Finding.objects.get(session=capture, metric=ELBOW)
    return found.n, found.mean


def stored() -> dict[str, list[Any]]:
    """All that moving touches, but the log and the count of changes."""
    return {
        "sessions": list(CaptureSession.objects.order_by("id").values_list("athlete__uuid", "date", "ordinal")),
        "throws": list(Throw.objects.order_by("uuid").values_list("uuid", "session__athlete__uuid", "number")),
        "readings": list(Reading.objects.order_by("throw__uuid").values_list("throw__uuid", "values")),
        "recordings": list(ThrowRecording.objects.values_list("throw__uuid", "filename")),
        "events": list(EventTime.objects.values_list("throw__uuid", "event", "time_s")),
        "findings": list(
            Finding.objects.filter(session__withdrawn_at=None)
            .order_by("session__athlete__uuid", "metric")
            .values_list("session__athlete__uuid", "metric", "n", "mean", "zone")
        ),
    }


# ---- where they go ------------------------------------------------------------------------------------------


def test_throws_go_to_a_new_session_measured_in_the_same_way(capture, receiver, coach):
    moved = move(capture, receiver, coach)
    assert moved.made
    assert (moved.target.athlete, moved.target.date, moved.target.method, moved.target.setup, moved.target.landing) == (
        receiver, capture.date, capture.method, capture.setup, capture.landing,
    )  # fmt: skip
    assert list(moved.target.throws.values_list("number", flat=True)) == [4, 5]
    assert list(capture.throws.values_list("number", flat=True)) == [1, 2, 3]


def test_throws_join_the_session_that_the_other_has_of_that_day(capture, receiver, coach):
    theirs = captured(receiver, [70, 70, 70, 70])
    moved = move(capture, receiver, coach)
    assert (moved.made, moved.target) == (False, theirs)
    # Number 4 is taken there, and 5 is the next free one; the other follows it.
    assert list(theirs.throws.values_list("number", flat=True)) == [1, 2, 3, 4, 5, 6]


@pytest.mark.parametrize(
    "difference",
    [{"landing": "fp"}, {"setup": "room 2"}, {"date": factories.DAY - dt.timedelta(days=1)}, {"method": "video"}],
    ids=lambda one: next(iter(one)),
)
def test_throws_do_not_join_a_session_that_was_measured_otherwise(capture, receiver, coach, difference):
    theirs = captured(receiver, [70, 70], **difference)
    moved = move(capture, receiver, coach)
    assert moved.made
    assert theirs.throws.count() == 2


def test_readings_recordings_and_set_event_times_go_along(capture, receiver, coach):
    throw = capture.throws.get(number=5)
    ThrowRecording.objects.create(
        throw=throw, original=factories.OriginalFileFactory(), filename="five.c3d", room={}, found={},
        first_frame=0, rate_hz=240,
    )  # fmt: skip
    EventTime.objects.create(throw=throw, event="fc", time_s=2.1, set_by=coach, set_at=factories.NOON)
    before = stored()
    target = move(capture, receiver, coach).target
    assert target.throws.get(number=5).recording.filename == "five.c3d"
    assert target.throws.get(number=5).event_times.get().time_s == 2.1
    assert (stored()["readings"], stored()["recordings"], stored()["events"]) == (
        before["readings"], before["recordings"], before["events"],
    )  # fmt: skip


# ---- what follows -------------------------------------------------------------------------------------------


def test_both_sessions_are_judged_again_and_both_standings_follow(capture, athlete, receiver, coach):
    assert elbow(capture) == (5, 78.0)
    target = move(capture, receiver, coach).target
    assert (elbow(capture), elbow(target)) == ((3, 90.0), (2, 60.0))
    assert Standing.objects.get(athlete=receiver).last_session == target
    for one in (capture, target):
        one.refresh_from_db()
        assert one.scoring.scored_revision == one.input_revision


def test_a_session_is_judged_by_its_new_athletes_facts_however_often_the_old_ones_changed(athlete, receiver, coach):
    type(athlete).objects.filter(pk=athlete.pk).update(facts_revision=9)
    capture = captured(type(athlete).objects.get(pk=athlete.pk), [90, 90, 90])
    move_with_findings(capture=capture, to=receiver, by=coach)
    scoring = Scoring.objects.get(session=capture)
    capture.refresh_from_db()
    assert (scoring.scored_revision, scoring.scored_facts_revision) == (capture.input_revision, receiver.facts_revision)


def test_a_moved_session_takes_no_share_along(athlete, athlete_user, guardian, receiver, coach):
    capture = captured(athlete, [90, 90, 90])
    share = Share.objects.create(
        session=capture, athlete=athlete, shared_by=coach, shared_at=factories.NOON, findings_digest="-"
    )
    assert list(Share.objects.visible_to(guardian)) == [share]
    move_with_findings(capture=capture, to=receiver, by=coach)
    for reader in (guardian, athlete_user, coach):
        assert not Share.objects.visible_to(reader).exists()
    move_with_findings(capture=capture, to=athlete, by=coach)
    assert list(Share.objects.visible_to(guardian)) == [share]


# ---- undo ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("has_session", [True, False], ids=["joined", "made"])
def test_undo_is_exact(capture, receiver, coach, has_session):
    if has_session:
        captured(receiver, [70, 70, 70, 70])
    before = stored()
    move(capture, receiver, coach)
    assert stored() != before
    move_throws_back_with_findings(entry=last_moving(capture), by=coach)
    assert stored() == before


def test_undo_keeps_a_made_session_that_holds_other_throws_meanwhile(capture, receiver, coach):
    target = move(capture, receiver, coach).target
    theirs = factories.ThrowFactory(session=target)
    move_throws_back_with_findings(entry=last_moving(capture), by=coach)
    assert list(CaptureSession.objects.get(pk=target.pk).throws.all()) == [theirs]


def test_undo_tells_when_a_throw_is_elsewhere_since(capture, receiver, coach, athlete):
    target = move(capture, receiver, coach).target
    entry = last_moving(capture)
    third = factories.AthleteFactory()
    move(target, third, coach, numbers=[5])
    before = stored()
    with pytest.raises(ValidationError, match="moved or withdrawn since"):
        move_throws_back_with_findings(entry=entry, by=coach)
    assert stored() == before


def test_undo_tells_when_the_number_is_taken_meanwhile(capture, receiver, coach):
    move(capture, receiver, coach)
    factories.ThrowFactory(session=capture, number=4)
    with pytest.raises(ValidationError, match="another throw 4"):
        move_throws_back_with_findings(entry=last_moving(capture), by=coach)


def test_what_was_said_of_a_throw_meanwhile_stays_with_it(capture, receiver, coach):
    target = move(capture, receiver, coach).target
    exclude_throw(throw=target.throws.get(number=5), by=coach, reason="slipped")
    move_throws_back_with_findings(entry=last_moving(capture), by=coach)
    assert capture.throws.get(number=5).excluded_reason == "slipped"


# ---- refused ------------------------------------------------------------------------------------------------


REFUSALS = {
    "left-handed": ({"throws": "left"}, [4, 5], "throws with the left"),
    "without consent": ({"consent": False}, [4, 5], "No consent is in force"),
    "not born": ({"birth_date": factories.DAY, "consent": True}, [4, 5], "was not born"),
    "nothing chosen": ({}, [], "Choose the throws"),
    "all of them": ({}, [1, 2, 3, 4, 5], "Move the whole session"),
    "no such throw": ({}, [4, 77], "no throw 77"),
}


@pytest.mark.parametrize("name", REFUSALS)
def test_what_cannot_be_is_told_and_changes_nothing(capture, coach, name):
    who, numbers, sentence = REFUSALS[name]
    before = stored()
    with pytest.raises(ValidationError, match=sentence):
        move(capture, factories.AthleteFactory(**who), coach, numbers)
    assert stored() == before


def test_a_session_goes_to_nobody_without_consent_but_always_back(athlete, receiver, coach):
    capture = captured(athlete, [90, 90])
    with pytest.raises(ValidationError, match="No consent"):
        move_with_findings(capture=capture, to=factories.AthleteFactory(consent=False), by=coach)
    move_with_findings(capture=capture, to=receiver, by=coach)
    athlete.consents.all().delete()
    move_with_findings(capture=capture, to=type(athlete).objects.get(pk=athlete.pk), by=coach)
    capture.refresh_from_db()
    assert capture.athlete == athlete


def test_killed_at_any_database_call_nothing_is_half_moved(capture, receiver, coach):
    before = stored()

    def act() -> None:
        move(CaptureSession.objects.get(pk=capture.pk), receiver, coach)

    with undone():
        act()
        after = stored()
    calls = calls_of(act)
    for call in range(1, calls + 1):
        with undone():
            with dying_at(call), pytest.raises(Killed):
                act()
            assert stored() == before or (call == calls and stored() == after), f"after dying at call {call}"


# ---- the page -----------------------------------------------------------------------------------------------


def address(capture: CaptureSession, name: str = "throws-move") -> str:
    return reverse(f"metrics:{name}", args=[capture.uuid])


def test_the_page_moves_what_was_tapped_and_one_press_undoes_it(capture, receiver, coach, client_of):
    client = client_of(coach)
    sent = {"throws": ["4", "5"], "athlete": str(receiver.uuid), "read_at": capture.input_revision}
    page = client.post(address(capture), sent, follow=True).content.decode()
    assert "2 throws are Sione Sørlie’s now, in a new session of that day." in page
    assert address(capture, "throws-move-back") in page
    assert capture.throws.count() == 3
    page = client.post(address(capture, "throws-move-back"), follow=True).content.decode()
    assert "2 throws are Ikaika Brandvold’s again." in page
    assert capture.throws.count() == 5
    page = client.post(address(capture, "throws-move-back"), follow=True).content.decode()
    assert "changed again since" in page
    assert capture.throws.count() == 5


def test_moving_stands_in_both_logs_of_both_people(capture, athlete, receiver, coach, client_of):
    client_of(coach).post(address(capture), {"throws": ["5"], "athlete": str(receiver.uuid)})
    for whose in (athlete, receiver):
        assert ChangeLog.objects.filter(athlete_uuid=whose.uuid, action="throws moved", who=coach.uuid).count() == 1
        assert ViewLog.objects.filter(athlete_uuid=whose.uuid, what="throws moved").exists()


def test_a_page_that_was_read_before_another_change_is_refused(capture, receiver, coach, client_of):
    sent = {"throws": ["5"], "athlete": str(receiver.uuid), "read_at": capture.input_revision}
    exclude_throw(throw=capture.throws.get(number=1), by=coach, reason="slipped")
    answer = client_of(coach).post(address(capture), sent)
    assert (answer.status_code, capture.throws.count()) == (409, 5)


@pytest.mark.parametrize(
    "sent", [{"throws": ["x"]}, {"throws": ["9" * 40]}, {}, {"athlete": "nobody", "throws": ["1"]}]
)
def test_what_is_no_throw_or_nobody_is_told(capture, coach, client_of, sent):
    answer = client_of(coach).post(address(capture), sent)
    assert answer.status_code == 422
    assert "Choose the" in answer.content.decode()


def test_the_clinician_reads_and_may_not_move(capture, clinician, client_of):
    assert client_of(clinician).get(address(capture)).status_code == 403
    assert client_of(clinician).post(address(capture, "throws-move-back")).status_code == 403


@pytest.mark.parametrize("name", ["guardian", "athlete_user", "visiting_coach", "stranger"])
def test_everybody_else_gets_what_a_missing_session_gets(cast, capture, client_of, name):
    missing = reverse("metrics:throws-move", args=[factories.UserFactory().uuid])
    theirs, none = (client_of(cast[name]).get(url) for url in (address(capture), missing))
    assert (theirs.status_code, theirs.content) == (404, none.content)
