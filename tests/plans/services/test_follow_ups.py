"""From work to proof: the response as sessions come and go, and what is decided on it."""

from __future__ import annotations

import datetime as dt

import pytest
from django.core.exceptions import ValidationError

from metrics.models import Finding
from metrics.services.standing import rebuild_standing
from plans.models import FollowUp, Prescription, Response
from plans.services.follow_ups import change_follow_up, close_follow_up, continue_follow_up
from plans.services.prescribing import give_work, stop_work
from plans.services.undoing import go_on_with
from tests.factories import DAY, RangeRuleFactory, UserFactory
from tests.factories.plans import InterventionVersionFactory
from tests.plans.conftest import METRIC, WEEK

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
DUE = DAY + 6 * WEEK


@pytest.fixture
def given(athlete, version, order, reasons, coach):
    return give_work(athlete=athlete, version=version, order=order(), reasons=reasons, by=coach)


@pytest.fixture
def follow_up(given):
    return given.follow_ups.get()


@pytest.fixture
def again(athlete, measure, clock):
    """`again(mean)`: time moves on to the follow-up date, and the athlete is measured."""

    def make(mean, days=0, **values):
        date = DUE + dt.timedelta(days=days)
        clock.now = clock.now.replace(year=date.year, month=date.month, day=date.day)
        session = measure(athlete, date, mean, **values)
        rebuild_standing(athlete)
        return session

    return make


def response(follow_up) -> Response:
    return Response.objects.get(follow_up=follow_up)


def test_nothing_measured_yet(follow_up):
    assert (response(follow_up).word, response(follow_up).measured_on) == ("", None)


def test_the_worked_example_of_the_documents_reads_better(again, follow_up):
    """docs/responses.md section 3: 78, 74, 77, 81, 75 flagged; 84, 88, 86, 91, 86 at the follow-up."""
    rule = RangeRuleFactory(flag_low=80.0, flag_high=120.0, source_mean=100.0, source_sd=10.0)
    range_of = {"flag_low": 80.0, "flag_high": 120.0, "rule": rule}
    Finding.objects.update(mean=77.0, sd=7.5**0.5, **range_of)
    again(87, sd=7**0.5, **range_of)
    found = response(follow_up)
    told = found.told["findings"][0]
    assert (found.word, told["metric"], found.measured_on) == ("better", METRIC, DUE)
    assert told["baseline"]["estimated"]
    assert told["baseline"]["mean"] == pytest.approx(78.07, abs=0.005)
    assert told["change"]["difference"] == pytest.approx(8.93, abs=0.005)
    assert told["change"]["u"] == pytest.approx(2.989, abs=0.001)
    assert told["change"]["p"] == pytest.approx(0.004, abs=0.0005)


def test_a_session_between_flag_and_start_is_the_baseline(athlete, measure, given, follow_up, again):
    between = measure(athlete, DAY - WEEK, 80)
    again(95)
    told = response(follow_up).told["findings"][0]
    assert told["baseline"]["sessions"] == [str(between.uuid)]
    assert told["baseline"]["mean"] == 80
    assert told["word"] == "better"


def test_little_change_is_no_real_change(athlete, measure, follow_up, again):
    measure(athlete, DAY - WEEK, 79)
    again(80)
    assert response(follow_up).word == "no real change"


def test_another_method_is_not_comparable_and_stays_due(follow_up, again):
    again(98, method="video")
    found = response(follow_up)
    assert found.word == "not comparable"
    assert found.told["stays_due"]


def test_a_session_before_the_date_does_not_count(athlete, follow_up, measure):
    measure(athlete, DUE - WEEK, 98)
    rebuild_standing(athlete)
    assert response(follow_up).word == ""


def test_a_withdrawn_session_takes_its_response_with_it(athlete, follow_up, again, coach):
    session = again(98)
    assert response(follow_up).word == "better"
    session.mark_withdrawn(coach, "wrong athlete")
    session.save()
    rebuild_standing(athlete)
    assert response(follow_up).word == ""


def test_two_works_for_one_finding_are_told(athlete, order, reasons, coach, follow_up, again):
    other = InterventionVersionFactory(intervention__key="side_lying_chest_turn")
    give_work(athlete=athlete, version=other, order=order(other), reasons=reasons, by=coach)
    again(98)
    assert response(follow_up).told["works"] == "with two works running"


def test_closing_keeps_what_the_measurements_said(athlete, follow_up, again, coach, given):
    again(98)
    closed = close_follow_up(follow_up=follow_up, seen=0, by=coach, note="stays out of the red")
    given.refresh_from_db()
    assert (closed.decision, closed.decided_on["word"], given.ending) == ("closed", "better", "closed")
    again(78, days=7)
    assert FollowUp.objects.get(pk=closed.pk).decided_on["word"] == "better"


def test_work_that_is_stopped_after_the_measurement_keeps_what_it_said(follow_up, again, coach, given):
    """Else only what went well would count where works are compared."""
    again(60)
    assert response(follow_up).word == "worse"
    stop_work(prescription=given, seen=0, by=coach, note="the elbow comes later still")
    follow_up.refresh_from_db()
    assert (follow_up.decision, follow_up.decided_on["word"]) == ("stopped", "worse")
    go_on_with(prescription=given, seen=1, by=coach)
    follow_up.refresh_from_db()
    assert (follow_up.decision, follow_up.decided_on) == ("", {})


def test_of_two_coaches_who_close_it_the_second_is_told(follow_up, again, coach):
    other_coach = UserFactory(role="coach")
    again(98)
    close_follow_up(follow_up=follow_up, seen=0, by=coach)
    with pytest.raises(ValidationError, match="Somebody else"):
        close_follow_up(follow_up=follow_up, seen=0, by=other_coach)
    assert FollowUp.objects.get().decided_by == coach


def test_continuing_makes_the_next_date_and_keeps_the_baseline(follow_up, again, coach, given, athlete):
    again(80)
    following = continue_follow_up(follow_up=follow_up, seen=0, due=DUE + 4 * WEEK, by=coach)
    assert given.follow_ups.get(decision="") == following
    again(95, days=30)
    told = response(following).told["findings"][0]
    assert told["word"] == "better"
    assert told["baseline"]["date"] == str(DAY - 2 * WEEK)


def test_a_date_that_is_past_does_not_continue_it(follow_up, again, coach):
    again(80)
    with pytest.raises(ValidationError, match=rf"{DUE.day} {DUE:%B %Y} is no day ahead"):
        continue_follow_up(follow_up=follow_up, seen=0, due=DUE, by=coach)
    assert FollowUp.objects.get().decision == ""


def test_changing_ends_one_and_gives_another_in_its_place(follow_up, again, order, reasons, coach, given):
    again(80)
    other = InterventionVersionFactory(intervention__key="side_lying_chest_turn")
    new = order(other, start=DUE, due=DUE + 6 * WEEK)
    following = change_follow_up(follow_up=follow_up, seen=0, version=other, order=new, reasons=reasons, by=coach)
    given.refresh_from_db()
    assert (given.ending, following.replaces) == ("changed", given)
    assert [one.pk for one in Prescription.objects.open()] == [following.pk]


def test_a_change_that_is_refused_leaves_the_old_work_as_it_was(follow_up, again, order, reasons, coach, given):
    again(80)
    other = InterventionVersionFactory(intervention__key="side_lying_chest_turn")
    with pytest.raises(ValidationError):
        change_follow_up(
            follow_up=follow_up, seen=0, version=other, order=order(other, due=DAY), reasons=reasons, by=coach
        )
    given.refresh_from_db()
    assert (given.ending, FollowUp.objects.get().decision) == ("", "")


def test_a_response_that_another_worker_wrote_meanwhile_is_written_over(athlete, follow_up, monkeypatch):
    """Two rebuild the same athlete's: what the other stored in between stands in the way."""
    Response.objects.all().delete()
    queryset = type(Response.objects.all())
    delete = queryset.delete

    def other_is_first(self):
        done = delete(self)
        Response.objects.create(follow_up=follow_up, word="worse", rebuilt_at=follow_up.changed_at)
        return done

    monkeypatch.setattr(queryset, "delete", other_is_first)
    rebuild_standing(athlete)
    assert response(follow_up).word == ""
