"""Whatever is done to a plan is done whole: a service that dies at any call of the database leaves what was there."""

from __future__ import annotations

import pytest

from athletes.models import ChangeLog
from plans.models import FollowUp, Prescription, PrescriptionReason, Response
from plans.services.follow_ups import change_follow_up, close_follow_up, continue_follow_up
from plans.services.giving import PlannedWork, give_plan
from plans.services.prescribing import change_order, give_work, stop_work
from plans.services.showing import show_work
from plans.services.undoing import go_on_with, take_back_work
from tests.factories import DAY
from tests.factories.plans import InterventionVersionFactory
from tests.metrics.imports.dying import Killed, dying_at, undone
from tests.plans.conftest import WEEK

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
LATER = DAY + 10 * WEEK


def state() -> list:
    tables = (Prescription.everything, PrescriptionReason.objects, FollowUp.objects, Response.objects)
    return [*(list(rows.order_by("pk").values()) for rows in tables), ChangeLog.objects.count()]


@pytest.fixture
def given(athlete, version, order, reasons, coach):
    return give_work(athlete=athlete, version=version, order=order(), reasons=reasons, by=coach)


@pytest.fixture
def other(db):
    return InterventionVersionFactory(intervention__key="side_lying_chest_turn")


@pytest.fixture
def acts(athlete, given, other, order, reasons, coach):
    """What may be done to a plan with one work that runs, by name."""

    def follow_up() -> FollowUp:
        return given.follow_ups.get(decision="")

    throwing = InterventionVersionFactory(intervention__key="pause_at_landing_throws")
    second = give_work(athlete=athlete, version=throwing, order=order(throwing), reasons=reasons, by=coach)
    stopped = stop_work(prescription=second, seen=0, by=coach)
    new = order(other, start=DAY, due=LATER)
    return {
        "give": lambda: give_work(athlete=athlete, version=other, order=new, reasons=reasons, by=coach),
        "give a plan": lambda: give_plan(athlete=athlete, works=[PlannedWork(other, new, reasons)], by=coach),
        "change": lambda: change_order(prescription=given, order=order(due=LATER), seen=0, by=coach),
        "show": lambda: show_work(prescription=given, is_shown=True, seen=0, by=coach),
        "stop": lambda: stop_work(prescription=given, seen=0, by=coach),
        "go on with what was stopped": lambda: go_on_with(prescription=stopped, seen=1, by=coach),
        "take back": lambda: take_back_work(athlete=athlete, given=[given.uuid], by=coach),
        "close": lambda: close_follow_up(follow_up=follow_up(), seen=0, by=coach),
        "continue": lambda: continue_follow_up(follow_up=follow_up(), seen=0, due=LATER, by=coach),
        "change for other work": lambda: change_follow_up(
            follow_up=follow_up(), seen=0, version=other, order=new, reasons=reasons, by=coach
        ),
    }


@pytest.mark.parametrize(
    "name",
    [
        "give",
        "give a plan",
        "change",
        "show",
        "stop",
        "go on with what was stopped",
        "take back",
        "close",
        "continue",
        "change for other work",
    ],
)
def test_killed_at_any_database_call_nothing_is_half_done(acts, name):
    before, act = state(), acts[name]
    with undone(), dying_at(0) as made:
        act()
    number = made[0]
    assert number > 5
    for call in range(1, number):
        with undone():
            with pytest.raises(Killed), dying_at(call):
                act()
            assert state() == before, f"call {call} of {number}"
    act()
    assert state() != before
