"""Which responses count as what works here, and what stands beside them."""

from __future__ import annotations

from collections import Counter

import pytest

from plans.models import FollowUp, Response
from plans.responding.values import Flag, ResponseWord
from plans.responding.works_here import works_here
from plans.selectors.outcomes import read_outcomes
from plans.services.follow_ups import close_follow_up
from plans.services.responses import rebuild_responses
from sessions.models import CaptureSession
from tests.factories import DAY
from tests.plans.conftest import METRIC, WEEK
from tests.plans.roster import CLEARED, DUE, KEY, SAME, flagged, measured, roster, worked

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]
BETTER, NO_CHANGE = ResponseWord.BETTER, ResponseWord.NO_REAL_CHANGE


def with_work():
    return [one for one in read_outcomes() if one.intervention is not None]


def without_work():
    return [one for one in read_outcomes() if one.intervention is None]


def test_a_response_counts_as_the_measurements_stand():
    given = worked(CLEARED)
    (one,) = with_work()
    assert (one.athlete, one.flag, one.intervention) == (given.athlete_id, Flag(METRIC, "low"), KEY)
    assert (one.word, one.start, one.days_until_start, one.days) == (BETTER, DAY, 14, 42)


def test_a_decided_response_counts_as_it_was_decided(coach):
    given = worked(CLEARED)
    close_follow_up(follow_up=given.follow_ups.get(), seen=0, by=coach)
    measured(given.athlete, DUE + WEEK, 60.0)
    Response.objects.all().delete()
    assert [one.word for one in with_work()] == [BETTER]


def test_nothing_measured_is_no_outcome():
    worked(None)
    assert with_work() == []


def test_every_finding_of_a_response_counts_for_its_own_flag():
    given = worked(CLEARED)
    other = measured(given.athlete, DAY - 2 * WEEK, 78.0, flag=True, metric="stride_length")
    measured(given.athlete, DUE, SAME, metric="stride_length")
    given.reasons.create(place=1, metric="stride_length", direction="low", session=other)
    rebuild_responses([given.athlete_id])
    assert {one.flag.metric: one.word for one in with_work()}[METRIC] == BETTER
    assert "stride_length" in {one.flag.metric for one in with_work()}


@pytest.mark.parametrize("number", [0, 1, 2])
def test_a_session_that_was_withdrawn_takes_a_decided_response_out(coach, number):
    """Of the flag, of the baseline and of the answer alike."""
    given = worked(CLEARED)
    close_follow_up(follow_up=given.follow_ups.get(), seen=0, by=coach)
    session = CaptureSession.objects.filter(athlete=given.athlete).order_by("date")[number]
    session.mark_withdrawn(coach, "wrong athlete")
    session.save()
    assert with_work() == []


def test_withdrawn_work_does_not_count(coach):
    given = worked(CLEARED)
    given.mark_withdrawn(coach, "a mistake")
    given.save()
    assert with_work() == []


def test_without_consent_nobody_counts():
    given = worked(CLEARED)
    given.athlete.consent_withdrawn_on = DAY
    given.athlete.save()
    assert read_outcomes() == []


def test_a_flag_without_work_runs_its_course_beside_five_with():
    roster(better=5)
    athlete, _ = flagged(SAME)
    (course,) = without_work()
    assert (course.athlete, course.word, course.days_until_start, course.days) == (athlete.pk, NO_CHANGE, 14, 42)


def test_beside_four_no_course_is_worked_out():
    roster(better=4)
    flagged(SAME)
    assert without_work() == []


def test_whoever_was_ever_given_work_for_a_flag_has_no_course_without():
    roster(better=5)
    stopped = worked(SAME, key="pause_at_landing_throws")
    stopped.ended_on, stopped.ending = DAY + WEEK, "stopped"
    stopped.save()
    FollowUp.objects.filter(prescription=stopped).delete()
    assert without_work() == []


def test_a_course_of_somebody_without_consent_is_not_read():
    roster(better=5)
    athlete, _ = flagged(SAME)
    athlete.consent_withdrawn_on = DAY
    athlete.save()
    assert without_work() == []


def test_the_table_of_the_roster_holds_both_sides():
    roster(better=4, same=1, worse=1)
    for _ in range(5):
        flagged(SAME)
    (cell,) = works_here(read_outcomes()).cells
    assert Counter(cell.with_work.counts) == Counter({BETTER: 4, NO_CHANGE: 1, ResponseWord.WORSE: 1})
    assert cell.without_work.counts[NO_CHANGE] == 5


def test_as_many_queries_for_any_number_of_athletes(django_assert_num_queries):
    roster(better=5)
    flagged(SAME)
    with django_assert_num_queries(6):
        read_outcomes()
    roster(better=4, same=3)
    for _ in range(4):
        flagged(SAME)
    with django_assert_num_queries(6):
        read_outcomes()
