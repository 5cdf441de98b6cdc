"""Two records of one person: work and throws go along, and what they say rests on all the sessions."""

from __future__ import annotations

import pytest
from django.urls import reverse

from athletes.services.merging import merge_athletes, part_again
from plans.models import Response
from tests.factories import DAY, AthleteFactory
from tests.factories.plans import PrescriptionFactory, ThrowCountFactory
from tests.plans.conftest import METRIC, WEEK

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]


@pytest.fixture
def work(athlete, flagged):
    return PrescriptionFactory(athlete=athlete, reason={"metric": METRIC, "session": flagged}, due=DAY + WEEK)


@pytest.fixture
def twin(facility):
    return AthleteFactory()


def test_the_page_tells_what_each_of_the_two_records_holds(work, twin, coach, client_of):
    ThrowCountFactory(athlete=twin)
    address = reverse("athletes:same-person", args=[work.athlete.uuid])
    page = client_of(coach).get(address, {"other": twin.uuid})
    assert page.status_code == 200
    assert "Prescriptions" in page.content.decode()
    assert "Entries of throws" in page.content.decode()


def test_a_session_of_the_other_record_answers_the_follow_up_and_parting_takes_it_back(work, twin, measure, coach):
    measure(twin, DAY + WEEK, 98)
    entry = merge_athletes(kept=work.athlete, merged=twin, by=coach)
    assert Response.objects.get(follow_up__prescription=work).word == "better"
    part_again(entry=entry, by=coach)
    assert Response.objects.get(follow_up__prescription=work).word == ""


def test_work_and_throws_of_the_record_that_goes_become_the_other_ones(work, twin, coach):
    throws = ThrowCountFactory(athlete=work.athlete)
    merge_athletes(kept=twin, merged=work.athlete, by=coach)
    for row in (work, throws):
        row.refresh_from_db()
        assert row.athlete == twin
