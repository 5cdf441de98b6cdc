"""Availability, pain, clearance and consent: what is stored, what is refused."""

from __future__ import annotations

import datetime as dt
import threading

import pytest
from django.core.exceptions import ValidationError
from django.db import OperationalError, connection

from athletes.facts import availability_on
from athletes.models import Availability, ChangeLog, Clearance, Consent, PainReport
from athletes.services.care import record_clearance, report_pain, set_availability
from athletes.services.consent import record_consent, withdraw_consent
from tests import factories

DAY = factories.DAY
TOMORROW = DAY + dt.timedelta(days=1)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("facility", "clock")]


def test_availability_of_the_same_date_is_replaced(coach, clinician):
    athlete = factories.AthleteFactory()
    set_availability(athlete=athlete, state="full", valid_from=DAY, by=coach)
    set_availability(athlete=athlete, state="limited", limits="60 throws", valid_from=DAY, by=clinician)
    row = Availability.objects.get()
    assert (row.state, row.limits, row.set_by) == ("limited", "60 throws", clinician)
    assert ChangeLog.objects.first().before["state"] == "full"


@pytest.mark.parametrize(
    "wrong", [{"state": "fine"}, {"state": "limited"}, {"state": "away", "until": DAY - dt.timedelta(days=1)}]
)
def test_wrong_availability_stores_nothing(coach, wrong):
    athlete = factories.AthleteFactory()
    with pytest.raises(ValidationError):
        set_availability(athlete=athlete, valid_from=DAY, by=coach, **wrong)
    assert not Availability.objects.exists()
    assert not ChangeLog.objects.exists()


def test_pain_is_stored_with_who_and_when(guardian):
    report = report_pain(athlete=factories.AthleteFactory(), where=" elbow ", how_much=4, by=guardian)
    assert (report.where, report.how_much, report.reported_by, report.reported_at) == (
        "elbow",
        4,
        guardian,
        factories.NOON,
    )


@pytest.mark.parametrize("wrong", [{"where": " "}, {"how_much": 11}, {"how_much": -1}, {"since": TOMORROW}])
def test_wrong_pain_report_stores_nothing(guardian, wrong):
    athlete = factories.AthleteFactory()
    with pytest.raises(ValidationError):
        report_pain(athlete=athlete, by=guardian, **{"where": "elbow", **wrong})
    assert not athlete.pain_reports.exists()


def test_a_day_ahead_is_refused_in_words_that_people_read(coach):
    with pytest.raises(ValidationError) as refused:
        report_pain(athlete=factories.AthleteFactory(), where="elbow", since=TOMORROW, by=coach)
    assert "of 15 April 2026 lies in the future (today is 14 April 2026)." in refused.value.messages[0]


def pains():
    return ChangeLog.objects.filter(action="pain.reported")


def test_the_same_pain_sent_twice_is_one_report_that_one_clearance_ends(guardian, clinician):
    athlete = factories.AthleteFactory()
    first, again = (report_pain(athlete=athlete, where="elbow", how_much=4, by=guardian) for _ in range(2))
    assert (first.pk, pains().count()) == (again.pk, 1)
    record_clearance(report=first, cleared_by_name="D. Quispe", cleared_on=DAY, by=clinician)
    assert not athlete.pain_reports.open().exists()


def test_pain_of_the_same_place_told_again_keeps_the_worse_and_the_log_keeps_both(guardian, coach):
    athlete = factories.AthleteFactory()
    report_pain(athlete=athlete, where="elbow", how_much=6, by=guardian)
    report_pain(athlete=athlete, where=" Elbow", how_much=4, since=DAY - dt.timedelta(days=2), by=coach)
    report = athlete.pain_reports.get()
    assert (report.where, report.how_much, report.since) == ("elbow", 6, DAY - dt.timedelta(days=2))
    assert report.reported_by == guardian
    line = pains().first()
    assert (line.who, line.before["how_much"], line.after["told"]["how_much"]) == (coach.uuid, 6, 4)
    report_pain(athlete=athlete, where="elbow", how_much=8, by=guardian)
    assert athlete.pain_reports.get().how_much == 8


@pytest.mark.django_db(transaction=True)
def test_two_requests_at_once_make_one_report(guardian):
    """On PostgreSQL, where the tests of this folder run too, both really are inside at once."""
    athlete = factories.AthleteFactory()
    start, one_ended = threading.Barrier(2), threading.Event()

    def report() -> None:
        start.wait()
        try:
            try:
                report_pain(athlete=athlete, where="elbow", how_much=4, by=guardian)
            except OperationalError:  # the tests' SQLite in memory refuses instead of waiting for the other
                one_ended.wait(20)
                report_pain(athlete=athlete, where="elbow", how_much=4, by=guardian)
        finally:
            one_ended.set()
            connection.close()

    threads = [threading.Thread(target=report) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert PainReport.objects.count() == 1


def test_pain_of_another_place_or_day_or_after_its_clearance_is_told_anew(guardian):
    athlete = factories.AthleteFactory()
    factories.ClearanceFactory(report=factories.PainReportFactory(athlete=athlete, where="elbow"))
    yesterday = factories.NOON - dt.timedelta(days=1)
    factories.PainReportFactory(athlete=athlete, where="hip", reported_at=yesterday)
    for place in ("elbow", "hip", "elbow, inner side"):
        report_pain(athlete=athlete, where=place, by=guardian)
    assert athlete.pain_reports.count() == 5


def test_an_absence_hides_limits_of_the_same_day_only_until_it_ends(coach):
    athlete = factories.AthleteFactory()
    set_availability(athlete=athlete, state="limited", limits="60 throws", valid_from=DAY, by=coach)
    set_availability(athlete=athlete, state="away", valid_from=DAY, until=TOMORROW, by=coach)
    told = [availability_on(athlete, DAY + dt.timedelta(days=days)).words for days in range(4)]
    assert told == ["away", "away", "limited: 60 throws", "limited: 60 throws"]


def test_a_clearance_before_the_report_is_refused_with_its_day_in_words(clinician):
    with pytest.raises(ValidationError, match="reported on 14 April 2026, after that"):
        record_clearance(
            report=factories.PainReportFactory(),
            cleared_by_name="D. Quispe",
            cleared_on=DAY - dt.timedelta(days=1),
            by=clinician,
        )


def test_clearance_with_limits_limits_from_its_date(clinician):
    report = factories.PainReportFactory()
    record_clearance(report=report, cleared_by_name="D. Quispe", cleared_on=DAY, limits="60 throws", by=clinician)
    row = Availability.objects.get()
    assert (row.state, row.valid_from, row.limits) == ("limited", DAY, "60 throws")


@pytest.mark.parametrize(
    "wrong", [{"cleared_by_name": ""}, {"cleared_on": TOMORROW}, {"cleared_on": DAY - dt.timedelta(days=1)}]
)
def test_wrong_clearance_leaves_the_stop(clinician, wrong):
    report = factories.PainReportFactory()
    with pytest.raises(ValidationError):
        record_clearance(
            report=report, by=clinician, **{"cleared_by_name": "D. Quispe", "cleared_on": DAY, "limits": "", **wrong}
        )
    assert not Clearance.objects.exists()


def test_pain_is_cleared_once(clinician):
    report = factories.ClearanceFactory().report
    with pytest.raises(ValidationError, match="already recorded"):
        record_clearance(report=report, cleared_by_name="Somebody else", cleared_on=DAY, by=clinician)


def test_consent_is_to_the_text_in_force_that_day(coach):
    for version, begins in (("1", dt.date(2025, 1, 1)), ("2", dt.date(2026, 4, 1)), ("3", TOMORROW)):
        factories.ConsentTextFactory(version=version, valid_from=begins)
    athlete = factories.AthleteFactory(consent=False)
    consent = record_consent(athlete=athlete, given_by_name="Ana", relation="mother", given_on=DAY, by=coach)
    assert consent.text.version == "2"


def test_consent_without_a_text_is_refused(coach):
    athlete = factories.AthleteFactory(consent=False)
    with pytest.raises(ValidationError, match="No consent text"):
        record_consent(athlete=athlete, given_by_name="Ana", relation="mother", given_on=DAY, by=coach)
    assert not Consent.objects.exists()


def test_consent_is_not_taken_back_before_it_was_given(coach):
    consent = factories.ConsentFactory(given_on=DAY)
    with pytest.raises(ValidationError, match="given on 14 April 2026, after that"):
        withdraw_consent(consent=consent, on=DAY - dt.timedelta(days=1), by=coach)


def test_consent_is_taken_back_once(coach):
    consent = factories.ConsentFactory()
    withdraw_consent(consent=consent, on=DAY, by=coach, reason="moved away")
    withdraw_consent(consent=consent, on=DAY - dt.timedelta(days=9), by=coach)
    assert Consent.objects.get(pk=consent.pk).withdrawn_on == DAY
    assert ChangeLog.objects.count() == 1
