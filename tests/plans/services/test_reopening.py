"""A decision that was a mistake is taken back, as long as nothing came after it."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError

from athletes.models import ChangeLog
from plans.models import FollowUp, Prescription, Response, WorkTick
from plans.services.follow_ups import change_follow_up, close_follow_up, continue_follow_up
from plans.services.prescribing import change_order, give_work, stop_work
from plans.services.reopening import may_reopen, reopen_follow_up
from tests.factories import DAY, NOON
from tests.metrics.imports.dying import Killed, calls_of, dying_at, undone
from tests.plans.conftest import WEEK

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]


@pytest.fixture
def follow_up(athlete, version, order, reasons, coach):
    return give_work(athlete=athlete, version=version, order=order(), reasons=reasons, by=coach).follow_ups.get()


@pytest.fixture
def closed(follow_up, coach):
    return close_follow_up(follow_up=follow_up, seen=0, by=coach, note="looks fine")


def state() -> tuple:
    return (
        list(FollowUp.objects.values_list("decision", "decided_at", "note", "sequence")),
        list(Prescription.objects.values_list("ended_on", "ending", "revision")),
        list(Response.objects.values_list("word", flat=True)),
        ChangeLog.objects.count(),
    )


def test_it_is_open_again_as_it_was(closed, coach):
    due, sequence = closed.due, closed.sequence
    again = reopen_follow_up(follow_up=closed, by=coach)
    again.refresh_from_db()
    work = again.prescription
    assert (again.decision, again.decided_at, again.decided_by, again.note, again.decided_on) == (
        "",
        None,
        None,
        "",
        {},
    )
    assert (work.ended_on, work.ending, work.ended_by, work.revision) == (None, "", None, 2)
    assert (again.due, again.sequence) == (due, sequence + 1)
    assert Response.objects.get(follow_up=again).word == ""
    line = ChangeLog.objects.latest("pk")
    assert (line.action, line.before["decision"]) == ("follow_up.reopened", "closed")


def test_work_that_was_stopped_goes_on_from_the_plan_and_not_from_here(follow_up, coach):
    stop_work(prescription=follow_up.prescription, seen=0, by=coach)
    with pytest.raises(ValidationError, match="stopped before the day"):
        reopen_follow_up(follow_up=FollowUp.objects.get(), by=coach)


def test_a_form_that_was_open_meanwhile_is_too_old(closed, coach):
    """It closes once more only when somebody looked at it as it is now."""
    again = reopen_follow_up(follow_up=closed, by=coach)
    with pytest.raises(ValidationError, match="Somebody else"):
        close_follow_up(follow_up=again, seen=0, by=coach)
    assert close_follow_up(follow_up=again, seen=2, by=coach).decision == "closed"


def test_one_that_is_open_cannot_be_opened(follow_up, coach):
    assert not may_reopen(follow_up)
    with pytest.raises(ValidationError, match="is open"):
        reopen_follow_up(follow_up=follow_up, by=coach)


def test_twice_is_told_the_second_time(closed, coach):
    reopen_follow_up(follow_up=closed, by=coach)
    with pytest.raises(ValidationError):
        reopen_follow_up(follow_up=closed, by=coach)
    assert FollowUp.objects.get().sequence == closed.sequence + 1


def test_one_that_was_continued_is_due_as_before_and_the_next_date_goes(follow_up, coach):
    due = follow_up.due
    following = continue_follow_up(follow_up=follow_up, seen=0, due=DAY + 8 * WEEK, by=coach, note="nearly")
    follow_up.refresh_from_db()
    assert may_reopen(follow_up)
    reopen_follow_up(follow_up=follow_up, by=coach)
    again = FollowUp.objects.get()  # the next date is gone
    assert (again.uuid, again.due, again.decision, again.note) == (follow_up.uuid, due, "", "")
    assert ChangeLog.objects.latest("pk").before["following"] == str(following.due)


def test_continued_twice_only_the_last_is_taken_back(follow_up, coach, clock):
    following = continue_follow_up(follow_up=follow_up, seen=0, due=DAY + 8 * WEEK, by=coach)
    clock.move(days=1)
    continue_follow_up(follow_up=following, seen=1, due=DAY + 12 * WEEK, by=coach)
    follow_up.refresh_from_db()
    following.refresh_from_db()
    assert (may_reopen(follow_up), may_reopen(following)) == (False, True)
    with pytest.raises(ValidationError, match="changed or decided since"):
        reopen_follow_up(follow_up=follow_up, by=coach)


def test_not_where_the_next_date_was_moved_meanwhile(follow_up, order, coach):
    continue_follow_up(follow_up=follow_up, seen=0, due=DAY + 8 * WEEK, by=coach)
    change_order(prescription=follow_up.prescription, order=order(due=DAY + 9 * WEEK), seen=1, by=coach)
    follow_up.refresh_from_db()
    with pytest.raises(ValidationError, match="changed or decided since"):
        reopen_follow_up(follow_up=follow_up, by=coach)


@pytest.fixture
def changed(follow_up, throwing_version, order, reasons, coach):
    """The follow-up, changed for other work."""
    change_follow_up(
        follow_up=follow_up, seen=0, version=throwing_version, order=order(throwing_version), reasons=reasons, by=coach
    )
    follow_up.refresh_from_db()
    return follow_up


def test_changed_work_runs_again_and_what_came_in_its_place_leaves_the_plan(changed, coach):
    other = Prescription.objects.get(replaces=changed.prescription_id)
    reopen_follow_up(follow_up=changed, by=coach)
    assert Prescription.objects.open().get() == changed.prescription
    other.refresh_from_db()
    assert other.withdrawn_at is not None
    assert FollowUp.objects.open().get() == changed
    assert ChangeLog.objects.latest("pk").before["replaced_by"] == str(other.uuid)


def test_not_where_what_came_in_its_place_was_done_once(changed, coach):
    other = Prescription.objects.get(replaces=changed.prescription_id)
    WorkTick.objects.create(prescription=other, date=DAY, ticked_at=NOON)
    assert not may_reopen(changed)
    with pytest.raises(ValidationError, match="ticked or ended since"):
        reopen_follow_up(follow_up=changed, by=coach)


def test_not_where_the_same_work_runs_again(closed, athlete, version, order, reasons, coach):
    give_work(athlete=athlete, version=version, order=order(), reasons=reasons, by=coach)
    assert not may_reopen(closed)
    with pytest.raises(ValidationError, match="is in the plan already"):
        reopen_follow_up(follow_up=closed, by=coach)


def test_not_where_other_work_took_its_place(closed, athlete, throwing_version, order, reasons, coach):
    give_work(
        athlete=athlete,
        version=throwing_version,
        order=order(throwing_version),
        reasons=reasons,
        by=coach,
        replaces=closed.prescription,
    )
    with pytest.raises(ValidationError, match="Other work came in its place"):
        reopen_follow_up(follow_up=closed, by=coach)


@pytest.mark.parametrize("decided", ["closed", "changed"])
def test_killed_at_any_database_call_it_is_decided_or_open_and_nothing_between(decided, request, coach):
    decided = request.getfixturevalue(decided)
    before = state()

    def act():
        reopen_follow_up(follow_up=FollowUp.objects.get(pk=decided.pk), by=coach)

    number = calls_of(act)
    for call in range(1, number):
        with undone():
            with pytest.raises(Killed), dying_at(call):
                act()
            assert state() == before, f"call {call} of {number}"
