"""A clearance that was recorded by mistake is taken back, and throwing is stopped again."""

from __future__ import annotations

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from athletes.facts import availability_on, stopped_on
from athletes.models import Athlete, Availability, ChangeLog, Clearance
from athletes.services.care import record_clearance, set_availability
from athletes.services.clearances import take_back_clearance
from tests import factories
from tests.factories import DAY
from tests.metrics.imports.dying import Killed, calls_of, dying_at, undone

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("facility", "clock")]


@pytest.fixture
def report(athlete):
    return factories.PainReportFactory(athlete=athlete)


def clear(report, by, *, limits: str = "60 throws") -> None:
    record_clearance(report=report, cleared_by_name="D. Quispe", cleared_on=DAY, limits=limits, by=by)


def now(athlete) -> tuple[bool, str]:
    """Whether stopped, and the words of the availability alone."""
    fresh = Athlete.objects.get(pk=athlete.pk)
    return stopped_on(fresh, DAY) is not None, availability_on(fresh, DAY).words


def test_throwing_is_stopped_again_and_the_limits_that_came_with_it_are_gone(report, athlete, clinician, coach):
    clear(report, clinician)
    assert now(athlete) == (False, "limited: 60 throws")
    take_back_clearance(report=report, by=coach)
    assert now(athlete)[0]
    assert not Availability.objects.exists()
    taken = ChangeLog.objects.get(action="pain.clearance_taken_back")
    assert taken.before == {"cleared_by_name": "D. Quispe", "cleared_on": str(DAY), "limits": "60 throws"}


def test_what_held_before_that_day_holds_again(report, athlete, clinician, coach):
    until = DAY + dt.timedelta(days=30)
    set_availability(athlete=athlete, state="limited", limits="20 throws", valid_from=DAY, until=until, by=coach)
    clear(report, clinician)
    take_back_clearance(report=report, by=clinician)
    row = Availability.objects.get()
    assert (row.state, row.limits, row.until) == ("limited", "20 throws", until)


def test_limits_that_were_changed_since_stay(report, athlete, clinician, coach):
    clear(report, clinician)
    set_availability(athlete=athlete, state="limited", limits="10 throws", valid_from=DAY, by=coach)
    take_back_clearance(report=report, by=clinician)
    assert Availability.objects.get().limits == "10 throws"
    assert now(athlete)[0]


def test_twice_is_told_and_a_new_clearance_is_possible(report, clinician):
    clear(report, clinician, limits="")
    take_back_clearance(report=report, by=clinician)
    with pytest.raises(ValidationError, match="no clearance any more"):
        take_back_clearance(report=report, by=clinician)
    clear(report, clinician, limits="")
    assert Clearance.objects.filter(report=report).exists()


def test_killed_at_any_database_call_it_stands_or_is_taken_back_whole(report, athlete, clinician):
    set_availability(athlete=athlete, state="limited", limits="20 throws", valid_from=DAY, by=clinician)
    clear(report, clinician)
    before = now(athlete)

    def act() -> None:
        take_back_clearance(report=report, by=clinician)

    number = calls_of(act)
    for call in range(1, number):
        with undone():
            with pytest.raises(Killed), dying_at(call):
                act()
            assert now(athlete) == before, f"call {call} of {number}"


def test_it_is_undone_by_one_tap(report, athlete, coach, client_of):
    client = client_of(coach)
    sent = {"cleared_by_name": "D. Quispe", "cleared_on": str(DAY), "limits": ""}
    page = client.post(reverse("athletes:clearance", args=[athlete.uuid, report.uuid]), sent, follow=True)
    undo = reverse("athletes:clearance-take-back", args=[athlete.uuid, report.uuid])
    assert undo in page.content.decode()
    page = client.post(undo, follow=True).content.decode()
    assert "Throwing and loaded work are stopped again." in page
    assert now(athlete)[0]
    assert "no clearance any more" in client.post(undo, follow=True).content.decode()
