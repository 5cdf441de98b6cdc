"""Availability for everybody of a training group in one act: whose limits stay, what comes back, and the undo."""

from __future__ import annotations

import datetime as dt

import pytest
from django.core.exceptions import ValidationError

from athletes.facts import availability_on
from athletes.models import Athlete, Availability, ChangeLog
from athletes.services.care import AVAILABILITY_FIELDS, record_clearance, set_availability
from athletes.services.group_acts import undo_group_act
from athletes.services.group_availability import set_availability_for_group
from tests import factories

DAY = factories.DAY
STAFF = {"admin", "coach"}

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("facility", "clock")]


def later(days: int) -> dt.date:
    return DAY + dt.timedelta(days=days)


def away(group, coach, **more):
    given = {"state": "away", "valid_from": later(2), "until": later(9), **more}
    return set_availability_for_group(group=group, by=coach, **given)


def test_a_group_is_away_for_its_dates_and_back_to_what_each_had_before(group, three, coach):
    group.athletes.set(three)
    factories.AvailabilityFactory(athlete=three[0], state="limited", limits="60 throws")
    away(group, coach)
    told = {on: availability_on(three[0], later(on)).state for on in (1, 2, 9, 10)}
    assert told == {1: "limited", 2: "away", 9: "away", 10: "limited"}


def test_one_undo_brings_everybody_back_but_whom_somebody_changed_since(group, three, coach):
    group.athletes.set(three)
    factories.AvailabilityFactory(athlete=three[0], state="limited", limits="40 throws", valid_from=later(2))
    act = away(group, coach)
    set_availability(athlete=three[1], state="full", valid_from=later(2), by=coach)
    undone = undo_group_act(group=group, act=act.uuid, by=coach)
    assert undone.kept == ("Ben Okonjo",)
    assert [availability_on(row, later(2)).words for row in three] == ["limited: 40 throws", "full", "not recorded"]
    assert not Availability.objects.filter(athlete=three[2]).exists()


@pytest.mark.parametrize(
    ("state", "own", "stays"),
    [
        ("away", "stopped", True),
        ("away", "limited", False),
        ("full", "stopped", True),
        ("full", "limited", True),
        ("full", "return_to_throw", True),
        ("full", "away", False),
        ("limited", "return_to_throw", True),
        ("stopped", "limited", False),
    ],
)
def test_a_stop_or_limits_of_ones_own_are_not_lifted_for_all(group, three, coach, state, own, stays):
    group.athletes.set(three[:2])
    factories.AvailabilityFactory(athlete=three[0], state=own, limits="stage 3")
    act = away(group, coach, state=state, limits="80 throws")
    assert availability_on(three[0], later(2)).state == (own if stays else state)
    assert availability_on(three[1], later(2)).state == state
    assert act.left_out == ((f"Ann Okonjo ({own.replace('_', ' ')}: stage 3)",) if stays else ())


def told_of(athlete, *days: int) -> list[str]:
    fresh = Athlete.objects.get(pk=athlete.pk)
    return [availability_on(fresh, later(day)).words for day in days]


def rows_of(athlete) -> list[tuple]:
    return list(Availability.objects.filter(athlete=athlete).order_by("valid_from").values_list(*AVAILABILITY_FIELDS))


@pytest.mark.parametrize("state", ["away", "stopped"])
def test_limits_of_the_same_day_hold_again_after_what_was_set_for_all(group, three, coach, clinician, state):
    group.athletes.set(three)
    report = factories.PainReportFactory(athlete=three[0])
    record_clearance(report=report, cleared_by_name="D. Quispe", cleared_on=DAY, limits="30 throws", by=clinician)
    before = rows_of(three[0])
    act = away(group, coach, state=state, valid_from=DAY)
    assert told_of(three[0], 0, 9, 10, 99) == [state, state, "limited: 30 throws", "limited: 30 throws"]
    assert told_of(three[1], 9, 10) == [state, "not recorded"]
    assert undo_group_act(group=group, act=act.uuid, by=coach).sentence == "Undone."
    assert rows_of(three[0]) == before
    assert rows_of(three[1]) == []


def test_limits_of_the_same_day_that_end_meanwhile_do_not_come_back(group, three, coach):
    group.athletes.set(three[:1])
    factories.AvailabilityFactory(
        athlete=three[0], state="limited", limits="30 throws", valid_from=later(2), until=later(9)
    )
    away(group, coach)
    assert told_of(three[0], 2, 9, 10) == ["away", "away", "not recorded"]


@pytest.mark.parametrize(("until", "told"), [(None, "full"), (12, "limited: 30 throws")])
def test_what_was_to_follow_the_limits_outranks_them_as_before(group, three, coach, until, told):
    group.athletes.set(three[:1])
    factories.AvailabilityFactory(athlete=three[0], state="limited", limits="30 throws", valid_from=later(2))
    end = until and later(until)
    factories.AvailabilityFactory(athlete=three[0], state="full", valid_from=later(5), until=end)
    away(group, coach)
    assert told_of(three[0], 2, 10, 12, 13) == ["away", "full", "full", told]


def test_an_absence_that_is_set_again_leaves_no_day_without_the_limits(group, three, coach):
    group.athletes.set(three[:1])
    factories.AvailabilityFactory(athlete=three[0], state="limited", limits="30 throws", valid_from=later(2))
    away(group, coach)
    before = rows_of(three[0])
    shorter = away(group, coach, until=later(6))
    assert told_of(three[0], 6, 7, 9, 10) == ["away", *["limited: 30 throws"] * 3]
    undo_group_act(group=group, act=shorter.uuid, by=coach)
    assert rows_of(three[0]) == before
    away(group, coach, until=later(20))
    assert told_of(three[0], 9, 10, 20, 21) == ["away", *["limited: 30 throws"] * 3]


@pytest.mark.parametrize("begins", [-3, 2])
def test_limits_under_an_absence_are_not_lifted_for_all(group, three, coach, begins):
    group.athletes.set(three[:2])
    factories.AvailabilityFactory(athlete=three[0], state="limited", limits="30 throws", valid_from=later(begins))
    away(group, coach)
    act = away(group, coach, state="full", until=None)
    assert act.left_out == ("Ann Okonjo (away, then limited: 30 throws)",)
    assert told_of(three[0], 2, 9, 10) == ["away", "away", "limited: 30 throws"]
    assert told_of(three[1], 2, 10) == ["full", "full"]


def test_limits_that_come_back_after_a_while_of_full_are_not_lifted_for_all(group, three, coach):
    group.athletes.set(three[:2])
    factories.AvailabilityFactory(athlete=three[0], state="limited", limits="30 throws", valid_from=later(-9))
    factories.AvailabilityFactory(athlete=three[0], state="full", limits="", valid_from=later(1), until=later(4))
    act = away(group, coach, state="full", until=None)
    assert act.left_out == ("Ann Okonjo (full, then limited: 30 throws)",)
    assert told_of(three[0], 4, 5) == ["full", "limited: 30 throws"]


def test_a_stop_of_the_same_day_is_not_shortened_for_all(group, three, coach):
    group.athletes.set(three[:2])
    factories.AvailabilityFactory(athlete=three[0], state="stopped", limits="", valid_from=later(2))
    act = away(group, coach, state="stopped")
    assert act.left_out == ("Ann Okonjo (stopped)",)
    assert told_of(three[0], 2, 10) == ["stopped", "stopped"]


def test_an_undo_leaves_all_of_an_athlete_whose_limits_were_changed_since(group, three, coach):
    group.athletes.set(three[:2])
    factories.AvailabilityFactory(athlete=three[0], state="limited", limits="30 throws", valid_from=later(2))
    act = away(group, coach)
    set_availability(athlete=three[0], state="limited", limits="10 throws", valid_from=later(10), by=coach)
    assert undo_group_act(group=group, act=act.uuid, by=coach).kept == ("Ann Okonjo",)
    assert told_of(three[0], 2, 9, 10) == ["away", "away", "limited: 10 throws"]


@pytest.mark.parametrize("state", ["away", "stopped"])
def test_an_absence_or_stop_for_all_needs_an_end(group, three, coach, state):
    group.athletes.set(three)
    with pytest.raises(ValidationError, match="Say until when"):
        away(group, coach, state=state, until=None)
    assert not Availability.objects.exists()


def test_a_group_of_nobody_or_of_the_stopped_is_told_so(group, three, coach):
    with pytest.raises(ValidationError, match="Nobody is in this group"):
        away(group, coach)
    group.athletes.set(three[:1])
    factories.AvailabilityFactory(athlete=three[0], state="stopped")
    with pytest.raises(ValidationError, match="which stay"):
        away(group, coach)
    assert not ChangeLog.objects.exists()
