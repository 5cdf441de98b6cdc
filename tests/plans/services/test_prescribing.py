"""Giving work, changing and stopping it: what is stored, and what is refused in words."""

from __future__ import annotations

import dataclasses
import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction

from athletes.models import Athlete, ChangeLog
from plans.models import FollowUp, InterventionVersion, Prescription
from plans.services.library import write_version
from plans.services.prescribing import CHANGED_MEANWHILE, Reason, change_order, dose_of, give_work, stop_work
from tests.factories import DAY, AvailabilityFactory, ClearanceFactory, PainReportFactory
from tests.plans.conftest import METRIC, WEEK

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]


@pytest.fixture
def given(athlete, version, order, reasons, coach):
    return give_work(athlete=athlete, version=version, order=order(), reasons=reasons, by=coach)


def refusal(call) -> str:
    with pytest.raises(ValidationError) as refused:
        call()
    return " ".join(refused.value.messages)


def test_given_work_has_its_reason_its_date_and_a_line_in_the_change_log(given, flagged, version):
    reason, follow_up = given.reasons.get(), given.follow_ups.get()
    assert (reason.metric, reason.direction, reason.session) == (METRIC, "low", flagged)
    assert (follow_up.begins, follow_up.due, follow_up.decision) == (DAY, DAY + 6 * WEEK, "")
    assert dose_of(given) == version.value.dose_at(16)
    assert ChangeLog.objects.get(action="prescription.given").after["due"] == str(DAY + 6 * WEEK)


def test_nothing_is_shown_to_the_family_unless_somebody_said_so(given):
    assert not given.is_shown


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"due": DAY}, "The follow-up of 14 April 2026 is not after the start of 14 April 2026."),
        ({"due": DAY - WEEK}, "is not after the start"),
        ({"start": DAY - 3 * WEEK, "due": DAY - WEEK}, "7 April 2026 is past"),
        ({"due": DAY + dt.timedelta(days=400)}, "19 May 2027 is more than a year ahead"),
        ({"start": DAY - dt.timedelta(days=4000)}, "2 May 2015 is more than a year away"),
    ],
)
def test_dates_that_cannot_be_are_refused(athlete, version, order, reasons, coach, changed, said):
    call = lambda: give_work(athlete=athlete, version=version, order=order(**changed), reasons=reasons, by=coach)  # noqa: E731
    assert said in refusal(call)
    assert not Prescription.objects.exists()


@pytest.mark.parametrize(
    ("sets", "said"), [((0, 0), "is no dose"), ((40, 40), "minutes a day"), ((3, 2), "is no dose")]
)
def test_a_dose_of_nothing_or_of_hours_is_refused(athlete, version, order, reasons, coach, sets, said):
    dose = dataclasses.replace(version.value.dose_at(16), sets=sets)
    call = lambda: give_work(athlete=athlete, version=version, order=order(dose=dose), reasons=reasons, by=coach)  # noqa: E731
    assert said in refusal(call)


def test_somebody_younger_gets_no_more_than_the_library_has_for_older(athlete, version, order, reasons, coach):
    athlete.birth_date = DAY - dt.timedelta(days=365 * 12 + 10)
    athlete.save()
    dose = dataclasses.replace(version.value.dose_at(16), reps=(20, 20), supervision="adult")
    call = lambda: give_work(athlete=athlete, version=version, order=order(dose=dose), reasons=reasons, by=coach)  # noqa: E731
    assert "is more than" in refusal(call)


def test_throws_are_not_given_to_somebody_in_pain_or_limited(athlete, throwing_version, order, reasons, coach):
    def give():
        return give_work(
            athlete=athlete, version=throwing_version, order=order(throwing_version), reasons=reasons, by=coach
        )

    report = PainReportFactory(athlete=athlete)
    assert "Pain is open" in refusal(give)
    ClearanceFactory(report=report)
    AvailabilityFactory(athlete=athlete, state="limited", limits="30 throws", valid_from=DAY)
    assert "No drill with throws while limited" in refusal(give)
    AvailabilityFactory(athlete=athlete, state="full", valid_from=DAY + dt.timedelta(days=1))
    athlete.availabilities.filter(state="limited").delete()
    assert give().version == throwing_version


def test_nothing_is_given_while_consent_is_withdrawn(athlete, version, order, reasons, coach):
    Athlete.objects.update(consent_withdrawn_on=DAY)
    call = lambda: give_work(athlete=athlete, version=version, order=order(), reasons=reasons, by=coach)  # noqa: E731
    assert "Consent is withdrawn" in refusal(call)


def test_the_same_work_runs_once(given, athlete, version, order, reasons, coach):
    call = lambda: give_work(athlete=athlete, version=version, order=order(), reasons=reasons, by=coach)  # noqa: E731
    assert "in the plan already" in refusal(call)


def test_withdrawn_work_is_not_given_and_what_runs_of_it_goes_on(given, athlete, version, order, reasons, coach):
    version.intervention.mark_withdrawn(coach, "too hard")
    version.intervention.save()
    call = lambda: give_work(athlete=athlete, version=version, order=order(), reasons=reasons, by=coach)  # noqa: E731
    assert "was withdrawn" in refusal(call)
    changed = change_order(prescription=given, order=order(note="slowly"), seen=0, by=coach)
    assert changed.note == "slowly"


def test_what_was_measured_stands_before_what_is_suspected(athlete, version, order, reasons, coach):
    suspected = Reason("hip_ir_front", "low", is_starting_point=True)
    given = give_work(athlete=athlete, version=version, order=order(), reasons=[suspected, *reasons], by=coach)
    assert [one.metric for one in given.reasons.all()] == [METRIC, "hip_ir_front"]


def test_work_for_nothing_or_for_another_athletes_finding_is_refused(athlete, version, order, measure, coach):
    from tests.factories import AthleteFactory

    foreign = measure(AthleteFactory(), DAY - WEEK, 78, flag=True)
    for wrong, said in (([], "Say what it is for"), ([Reason(METRIC, "low", foreign)], "another athlete’s")):
        call = lambda wrong=wrong: give_work(athlete=athlete, version=version, order=order(), reasons=wrong, by=coach)  # noqa: E731
        assert said in refusal(call)
    assert not Prescription.objects.exists()


def test_a_change_moves_the_date_and_tells_calendars(given, order, coach):
    change_order(prescription=given, order=order(due=DAY + 8 * WEEK), seen=0, by=coach)
    follow_up = given.follow_ups.get()
    assert (follow_up.due, follow_up.sequence) == (DAY + 8 * WEEK, 1)


def test_a_dose_that_runs_may_be_lowered_in_pain(athlete, throwing_version, order, reasons, coach):
    given = give_work(
        athlete=athlete, version=throwing_version, order=order(throwing_version), reasons=reasons, by=coach
    )
    PainReportFactory(athlete=athlete)
    fewer = dataclasses.replace(dose_of(given), throws=(5, 5))
    changed = change_order(prescription=given, order=order(throwing_version, dose=fewer), seen=0, by=coach)
    assert dose_of(changed).throws == (5, 5)


def test_the_second_of_two_who_change_it_is_told(given, order, coach):
    change_order(prescription=given, order=order(note="first"), seen=0, by=coach)
    assert refusal(lambda: change_order(prescription=given, order=order(note="late"), seen=0, by=coach)) == (
        CHANGED_MEANWHILE
    )
    assert Prescription.objects.get().note == "first"


def test_stopped_work_has_no_open_date(given, coach):
    stopped = stop_work(prescription=given, seen=0, by=coach, note="moved away")
    assert (stopped.ended_on, stopped.ending) == (DAY, "stopped")
    assert not FollowUp.objects.open().exists()
    assert given.follow_ups.get().note == "moved away"


def test_the_database_keeps_every_version_as_it_was_written(version):
    for statement in ("UPDATE plans_interventionversion SET reason = 'x'", "DELETE FROM plans_interventionversion"):
        with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement)


def test_an_edited_intervention_leaves_what_was_given_alone(given, version, admin):
    fields = {**version.fields, "name": "Hip turns, slower"}
    write_version(intervention=version.intervention, fields=fields, seen=1, by=admin)
    assert InterventionVersion.objects.count() == 2
    assert given.version.name == version.name
    assert "Somebody else" in refusal(
        lambda: write_version(intervention=version.intervention, fields=fields, seen=1, by=admin)
    )
