"""Availability, pain, clearance and consent: what is stored, what is refused."""

from __future__ import annotations

import datetime as dt

import pytest
from django.core.exceptions import ValidationError

from athletes.models import Availability, ChangeLog, Clearance, Consent
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


def test_consent_is_taken_back_once(coach):
    consent = factories.ConsentFactory()
    withdraw_consent(consent=consent, on=DAY, by=coach, reason="moved away")
    withdraw_consent(consent=consent, on=DAY - dt.timedelta(days=9), by=coach)
    assert Consent.objects.get(pk=consent.pk).withdrawn_on == DAY
    assert ChangeLog.objects.count() == 1
