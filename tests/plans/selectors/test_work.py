"""Work that runs, as every page shows it: amount, company, and whether it is held today."""

from __future__ import annotations

import datetime as dt

import pytest

from athletes.models import Athlete
from plans.selectors.work import open_work
from tests.factories import DAY, ClearanceFactory, PainReportFactory
from tests.factories.plans import PrescriptionFactory
from tests.plans.conftest import WEEK

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]


def test_open_work_says_how_much_with_whom_and_until_when(athlete, version):
    PrescriptionFactory(athlete=athlete, version=version)
    (work,) = open_work(athlete, DAY)
    assert (work.name, work.kind) == (version.value.name, "mobility")
    assert (work.dose_words, work.supervision_words) == ("2 × 8, each side, every day", "alone")
    assert work.follow_up_due == DAY + 6 * WEEK
    assert (work.held, work.is_ahead) == ("", False)


def test_ended_work_is_not_open_and_coming_work_is_ahead(athlete, version, throwing_version):
    PrescriptionFactory(athlete=athlete, version=version, ended_on=DAY, ending="stopped")
    PrescriptionFactory(athlete=athlete, version=throwing_version, start=DAY + WEEK)
    (work,) = open_work(athlete, DAY)
    assert work.is_ahead
    assert work.name == throwing_version.value.name


def test_pain_holds_throws_until_a_clearance_and_lets_gentle_work_go_on(athlete, version, throwing_version):
    for one in (version, throwing_version):
        PrescriptionFactory(athlete=athlete, version=one)
    report = PainReportFactory(athlete=athlete)
    assert [work.held.partition(":")[0] for work in open_work(athlete, DAY)] == ["", "Held"]
    ClearanceFactory(report=report, cleared_on=DAY)
    assert [work.held for work in open_work(athlete, DAY)] == ["", ""]


def test_many_works_are_read_in_as_many_queries_as_one(athlete, version, throwing_version, django_assert_num_queries):
    PrescriptionFactory(athlete=athlete, version=version)
    known = Athlete.objects.with_facts().get(pk=athlete.pk)
    with django_assert_num_queries(3):
        open_work(known, DAY)
    PrescriptionFactory(athlete=athlete, version=throwing_version, start=DAY - dt.timedelta(days=1))
    with django_assert_num_queries(3):
        assert len(open_work(known, DAY)) == 2
