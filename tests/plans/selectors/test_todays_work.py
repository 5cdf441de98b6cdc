"""The work that a family reads as theirs: what is shown and open, what is held, and on which days it was done."""

from __future__ import annotations

import datetime as dt
from uuid import uuid4

import pytest

from athletes.models import Athlete
from athletes.services.care import record_clearance, report_pain
from athletes.services.consent import withdraw_consent
from plans.selectors.todays_work import todays_work
from plans.selectors.work import next_look
from plans.services.ticks import take_back_tick, tick_work
from tests.conftest import athlete  # noqa: F401 - tied to the whole cast, unlike that of the room
from tests.factories import DAY
from tests.factories.plans import PrescriptionFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]

ONE_DAY = dt.timedelta(days=1)
BEGUN = DAY - 30 * ONE_DAY


@pytest.fixture
def give(cast):
    """`give("pause_at_landing_throws", is_shown=False)`: work of the cast's athlete, begun a month ago."""

    def make(key="hip_turns_seated", **values):
        told = {"athlete": cast.athlete, "version__intervention__key": key, "start": BEGUN, **values}
        return PrescriptionFactory(**told)

    return make


@pytest.fixture
def read(cast):
    def look(name="athlete_user", on=DAY):
        cast.athlete.refresh_from_db()
        return todays_work(cast.athlete, cast[name], on)

    return look


def names(work) -> list[str]:
    return [one.of.prescription.version.intervention.key for one in work.works]


def test_only_what_is_shown_and_open_stands_there_also_when_a_coach_reads(give, read, cast):
    give()
    give("split_squat", is_shown=False)
    give("ankle_rocks", ended_on=DAY, ending="stopped", due="never")
    withdrawn = give("chest_opener")
    withdrawn.mark_withdrawn(cast["coach"], "")
    withdrawn.save()
    for reader in ("athlete_user", "guardian", "coach", "admin"):
        assert names(read(reader)) == ["hip_turns_seated"], reader


def test_work_of_another_athlete_does_not(give, read, cast):
    PrescriptionFactory(athlete=cast.other_athlete)
    assert read().works == ()
    assert read("coach").works == ()


def test_without_consent_the_family_reads_none(give, read, cast):
    give()
    for consent in cast.athlete.consents.all():
        withdraw_consent(consent=consent, on=DAY, by=cast["coach"])
    assert read().works == read("coach").works == ()
    assert names(read("admin")) == ["hip_turns_seated"]


def test_pain_holds_throws_and_load_at_once_and_only_a_clearance_gives_them_back(give, read, cast):
    for key in ("hip_turns_seated", "pause_at_landing_throws", "medicine_ball_turn"):
        give(key)

    def open_now():
        return {one.of.prescription.version.intervention.key for one in read().works if one.may_be_ticked}

    assert open_now() == {"hip_turns_seated", "pause_at_landing_throws", "medicine_ball_turn"}
    report = report_pain(athlete=cast.athlete, where="elbow", by=cast["athlete_user"])
    assert open_now() == {"hip_turns_seated"}
    held = [one for one in read().works if one.of.held]
    assert len(held) == 2
    assert all("until a clearance is recorded" in one.of.held for one in held)
    assert not any(day.is_open for one in held for day in one.days)
    assert {one.of.held for one in read(on=DAY + 40 * ONE_DAY).works} != {""}, "time alone gives nothing back"
    record_clearance(report=report, cleared_by_name="Dr Oduya", cleared_on=DAY, by=cast["clinician"])
    assert open_now() == {"hip_turns_seated", "pause_at_landing_throws", "medicine_ball_turn"}


def test_the_last_seven_days_stand_there_today_first_with_what_was_done(give, read, cast):
    work, by = give(), cast["guardian"]
    for back in (0, 2, 6):
        tick_work(prescription=work, on=DAY - back * ONE_DAY, uuid=uuid4(), by=by)
    tick_work(prescription=work, on=DAY - ONE_DAY, uuid=uuid4(), by=by)
    take_back_tick(prescription=work, on=DAY - ONE_DAY, by=by)
    (one,) = read().works
    assert [day.date for day in one.days] == [DAY - back * ONE_DAY for back in range(7)]
    assert [day.is_done for day in one.days] == [True, False, True, False, False, False, True]


def test_days_of_this_week_are_counted_from_monday(give, read, cast):
    """14 April 2026 is a Tuesday: Monday and Tuesday are of this week, Sunday is not."""
    work = give()
    for back in (0, 1, 2):
        tick_work(prescription=work, on=DAY - back * ONE_DAY, uuid=uuid4(), by=cast["coach"])
    found = read()
    assert found.works[0].done_this_week == 2
    assert [(day.date.day, day.done) for day in found.week][:3] == [(13, 1), (14, 1), (15, 0)]
    assert [day.is_today for day in found.week].index(True) == 1
    assert [day.is_ahead for day in found.week] == [False, False, True, True, True, True, True]


def test_planned_days_are_those_of_the_dose_as_the_coach_gave_it(give, read):
    work = give()
    work.dose = {**work.dose, "days": [3, 4]}
    work.save()
    assert read().works[0].planned == "3 to 4"


def test_work_that_asks_for_less_plans_no_days(give, read):
    give("fewer_throws")
    assert read().works[0].planned == ""


def test_days_before_the_work_began_cannot_be_ticked(give, read):
    give(start=DAY - 2 * ONE_DAY)
    assert [day.is_open for day in read().works[0].days] == [True, True, True, False, False, False, False]
    assert len(read().works[0].earlier) == 2


def test_work_that_begins_later_is_told_and_not_ticked(give, read):
    give(start=DAY + 3 * ONE_DAY)
    assert not read().works[0].may_be_ticked


@pytest.mark.parametrize(
    ("days", "found"), [((40, 20), 20), ((-3, 20), 20), ((0, 20), 0), ((-3, -9), -3), ((-9,), -9), ((), None)]
)
def test_the_next_look_is_the_soonest_ahead_and_a_past_one_only_without(days, found, give, read):
    for key, ahead in zip(("hip_turns_seated", "split_squat"), days, strict=False):
        give(key, due=DAY + ahead * ONE_DAY)
    assert next_look(read().look_days, DAY) == (None if found is None else DAY + found * ONE_DAY)


def test_a_ticked_drill_shows_its_throws_to_correct(give, read, cast):
    drill, gentle = give("pause_at_landing_throws"), give()
    for work in (drill, gentle):
        tick_work(prescription=work, on=DAY, uuid=uuid4(), by=cast["coach"])
    found = {one.of.prescription: one.throws_to_correct for one in read().works}
    assert [day.throws for day in found[drill]] == [10]
    assert found[gentle] == ()


def test_it_asks_as_often_for_ten_works_as_for_one(give, cast, django_assert_num_queries):
    asked = []
    for keys in (["hip_turns_seated"], ["split_squat", "ankle_rocks", "chest_opener", "hip_to_wall", "towel_delivery"]):
        for key in keys:
            tick_work(prescription=give(key), on=DAY, uuid=uuid4(), by=cast["coach"])
        loaded = Athlete.objects.with_facts().get(pk=cast.athlete.pk)
        with django_assert_num_queries(5):  # work, follow-ups, ticks, pictures; phases of groups
            asked.append(len(todays_work(loaded, cast["athlete_user"], DAY).works))
    assert asked == [1, 6]
