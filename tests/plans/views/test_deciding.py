"""One follow-up: read, closed, continued, changed, each in one tap; and what the second of two coaches is told."""

from __future__ import annotations

import datetime as dt

import pytest

from athletes.models import ViewLog
from metrics.services.standing import rebuild_standing
from plans.models import FollowUp, Prescription, WorkTick
from plans.selectors.change_options import reasons_now
from plans.services.library import install_starting_library
from plans.services.prescribing import give_work
from tests.factories import DAY, NOON, PainReportFactory, ReferralFactory, UserFactory
from tests.factories.plans import InterventionVersionFactory
from tests.plans.conftest import METRIC, WEEK

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
DUE = DAY + 6 * WEEK


@pytest.fixture
def follow_up(athlete, version, order, reasons, coach, clock):
    """Given on the ordinary day; six weeks later it is due."""
    given = give_work(athlete=athlete, version=version, order=order(is_shown=True), reasons=reasons, by=coach)
    clock.now = NOON.replace(year=DUE.year, month=DUE.month, day=DUE.day)
    return given.follow_ups.get()


@pytest.fixture
def at(follow_up, client_of, coach):
    """`at()` reads the page; `at("close", note="…")` posts to one of its ways."""

    def ask(way="", by=coach, **sent):
        address = f"/follow-ups/{follow_up.uuid}/"
        if not way:
            return client_of(by).get(address)
        return client_of(by).post(f"{address}{way}/", {"seen": follow_up.prescription.revision, **sent}, follow=True)

    return ask


@pytest.fixture
def again(athlete, measure):
    def make(mean, **values):
        session = measure(athlete, DUE, mean, **values)
        rebuild_standing(athlete)
        return session

    return make


@pytest.fixture
def library(db):
    install_starting_library()


def test_the_page_says_the_response_and_where_it_was_measured(at, again):
    session = again(98)
    page = at().content.decode()
    assert "Better" in page
    assert "baseline estimated" in page
    assert f"/sessions/{session.uuid}/" in page
    assert "Needs a motion-capture session" in page


def test_before_the_measurement_it_leads_to_it(at):
    page = at().content.decode()
    assert "Not measured yet" in page
    assert "Upload the session" in page


def test_how_often_it_was_done_stands_beside(at, follow_up):
    work = follow_up.prescription
    for days in range(10):
        WorkTick.objects.create(prescription=work, date=DAY + dt.timedelta(days=days), ticked_at=NOON)
    WorkTick.objects.create(prescription=work, date=DAY - WEEK, ticked_at=NOON)
    WorkTick.objects.create(prescription=work, date=DAY + 2 * WEEK, ticked_at=NOON, taken_back_at=NOON)
    assert "ticked on 10 days of about" in at().content.decode()


def test_it_is_closed_in_one_tap_and_can_be_taken_back(at, again, follow_up, coach):
    again(98)
    page = at("close", note="stays out of the red")
    follow_up.refresh_from_db()
    assert (follow_up.decision, follow_up.note, follow_up.decided_by) == ("closed", "stays out of the red", coach)
    assert f"/follow-ups/{follow_up.uuid}/reopen/" in page.content.decode()
    at("reopen")
    assert FollowUp.objects.open().get() == follow_up


def test_a_decided_one_says_what_was_decided_and_what_it_was_decided_on(at, again):
    again(98)
    at("close", note="stays out of the red")
    page = at().content.decode()
    assert "Closed on 26 May by Ngaire Abaza." in page
    assert "stays out of the red" in page
    assert "Better" in page
    assert "/close/" not in page


def test_continuing_offers_the_date_of_the_library(at, follow_up):
    weeks = follow_up.prescription.version.value.recheck_weeks[1]
    offered = DUE + weeks * WEEK
    assert f'value="{offered}"' in at().content.decode()
    page = at("continue", due=str(offered)).content.decode()
    assert FollowUp.objects.open().get().due == offered
    assert Prescription.objects.open().exists()
    assert f"/follow-ups/{follow_up.uuid}/reopen/" in page
    at("reopen")
    assert FollowUp.objects.get() == follow_up


@pytest.mark.parametrize("date", ["", "2026-05-26", "2026-05-01", "2036-05-26", "soon"])
def test_a_date_that_is_none_ahead_is_refused_with_a_sentence(date, at):
    answer = at("continue", due=date)
    assert answer.status_code == 422
    assert "errorlist" in answer.content.decode()
    assert FollowUp.objects.open().count() == FollowUp.objects.count() == 1


def test_it_is_changed_for_other_work_with_the_dose_for_the_age(at, library, again, athlete, follow_up):
    again(80, flag=True)
    page = at().content.decode()
    other = InterventionVersionFactory(intervention__key="side_lying_chest_turn")
    assert str(other.uuid) in page
    answer = at("change", version=str(other.uuid), start=str(DUE), due="")
    assert answer.status_code == 200
    new = Prescription.objects.open().get()
    assert (new.version, new.replaces, new.is_shown) == (other, follow_up.prescription, True)
    assert new.follow_ups.get().due == DUE + other.value.recheck_weeks[1] * WEEK
    assert [(one.metric, one.direction) for one in new.reasons.all()] == [(METRIC, "low")]
    assert f"/follow-ups/{follow_up.uuid}/reopen/" in answer.content.decode()
    at("reopen")
    assert Prescription.objects.open().get() == follow_up.prescription


def test_what_was_flagged_again_is_named_by_its_last_session(again, follow_up):
    session = again(80, flag=True, zone="flag", side="low", sure="sure")
    assert [one.session for one in reasons_now(follow_up.prescription, DUE)] == [session]


def test_what_is_flagged_no_more_keeps_the_session_that_raised_it(again, follow_up, flagged):
    again(98)
    assert [one.session for one in reasons_now(follow_up.prescription, DUE)] == [flagged]


def test_work_that_runs_or_that_pain_stops_is_not_offered(at, library, athlete, follow_up):
    own = follow_up.prescription.version.uuid
    offered = at().content.decode()
    assert f'<option value="{own}"' not in offered
    assert "For the same findings" in offered
    PainReportFactory(athlete=athlete)
    throwing = InterventionVersionFactory(intervention__key="pause_at_landing_throws")
    assert str(throwing.uuid) not in at().content.decode()


def test_of_work_that_is_not_offered_nothing_is_given(at):
    answer = at("change", version="00000000-0000-4000-8000-000000000000", start=str(DUE))
    assert answer.status_code == 422
    assert Prescription.objects.count() == 1


def test_the_second_of_two_coaches_is_told(at, follow_up):
    at("close")
    answer = at("close", by=UserFactory(role="coach"))
    assert answer.status_code == 422
    assert "Somebody else changed this meanwhile." in answer.content.decode()


def test_a_form_older_than_the_work_is_shown_anew(at, follow_up):
    Prescription.objects.update(revision=1)
    page = at("close", seen=0).content.decode()
    assert "Somebody else changed this meanwhile." in page
    assert 'name="seen" value="1"' in page
    assert at("close", seen=1).status_code == 200


def test_a_form_without_what_it_saw_is_refused(at, follow_up):
    answer = at("close", seen="")
    assert answer.status_code == 422
    assert "This page is older than the work" in answer.content.decode()
    assert FollowUp.objects.open().get() == follow_up


def test_what_cannot_be_taken_back_any_more_is_said(at, follow_up):
    page = at("reopen").content.decode()
    assert "This follow-up is open" in page


def test_a_clinician_in_charge_reads_and_does_not_decide(athlete, at, clinician):
    ReferralFactory(athlete=athlete, clinician=clinician)
    answer = at(by=clinician)
    assert answer.status_code == 200
    assert "/close/" not in answer.content.decode()
    assert at("close", by=clinician).status_code == 403


def test_a_stranger_finds_nothing(at, stranger, client_of):
    missing = client_of(stranger).get("/follow-ups/00000000-0000-4000-8000-000000000000/")
    assert (at(by=stranger).status_code, at(by=stranger).content) == (404, missing.content)


def test_the_look_is_noted(at, coach, athlete):
    at()
    assert ViewLog.objects.filter(who=coach.uuid, athlete_uuid=athlete.uuid, what="follow-up").count() == 1


def test_names_and_notes_are_written_as_text(at, again, follow_up):
    at("close", note="<script>alert(1)</script>")
    assert "<script>alert" not in at().content.decode()
