"""The list of follow-ups and their month: who is due, what is needed, what it says; narrowed, sorted, saved."""

from __future__ import annotations

import csv
import datetime as dt
import io
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from plans.models import FollowUp
from plans.selectors.follow_up_list import PAGE_SIZE
from tests.factories import DAY, NOON, AthleteFactory, CaptureSessionFactory, ScoringFactory, UserFactory
from tests.factories.plans import PrescriptionFactory
from tests.plans.follow_ups import due, respond

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]
LIST, MONTH = "/follow-ups/", "/follow-ups/month/"


@pytest.fixture
def read(client_of, coach):
    """`read("?state=late")`: the list as the coach reads it."""

    def get(query="", where=LIST, **headers):
        answer = client_of(coach).get(where + query, headers=headers)
        assert answer.status_code == 200
        return answer.content.decode()

    return get


def names(page: str) -> list[str]:
    return re.findall(r'class="nm"><a[^>]*>([^<]+)<', page)


def headings(page: str) -> list[str]:
    return re.findall(r'<tr class="grp"><th[^>]*>([^<]+)<', page)


def test_empty_it_says_what_will_stand_here_and_the_next_step(read):
    page = read()
    assert "No follow-ups" in page
    assert reverse("desk:roster") in page


def test_rows_stand_by_week_the_late_first(read):
    for name, days in (("Far Off", 30), ("Late By", -3), ("Now Due", 0), ("Soon Due", 2), ("Next Week", 7)):
        due(name, days)
    page = read()
    assert names(page) == ["Late By", "Now Due", "Soon Due", "Next Week", "Far Off"]
    assert headings(page) == ["Late", "Today", "Later this week", "Next week", "Week of 11 May"]
    for words in ("3 days late", "due today", "in 2 days", "in 7 days", "in 4 weeks"):
        assert words in page
    assert "1 late, 1 due today." in page


def test_each_row_names_the_work_and_the_measurement_that_it_needs(read):
    conditions = {"surface": "mound", "intent": "full_effort"}
    session = ScoringFactory(conditions_used=conditions, session=CaptureSessionFactory(method="motion_capture")).session
    thrown = {"metric": "elbow_flexion_fp", "direction": "low", "session": session}
    follow_up = due("Thrown At", 1, athlete=session.athlete, reason=thrown)
    due("Screened By", 2, version__intervention__key="side_lying_chest_turn")
    page = read()
    assert follow_up.prescription.version.name in page
    assert "a motion-capture session: mound, full effort" in page
    assert "a hands-on screen: hip " in page
    assert page.count("not measured yet") == 2


def test_the_response_stands_with_its_numbers(read):
    respond(due("Joon Barreto", -1), "better", works="with two works running")
    page = read()
    assert "<b>Better</b>" in page
    assert "30° → 38° (+8° ± 3)" in page
    assert "baseline estimated, with two works running" in page
    assert "measured on 14 April" in page


def test_what_is_not_comparable_stays_due(read):
    respond(due("Joon Barreto", -1), "not comparable")
    assert "measured in another way" in read()


def test_a_coach_opens_it_on_their_own_and_can_ask_for_everyones(read, coach):
    due("Mine Own", 1, coach=coach)
    due("Some Other", 2, coach=UserFactory(role="coach"))
    assert names(read()) == ["Mine Own"]
    assert names(read("?who=everyone")) == ["Mine Own", "Some Other"]


@pytest.mark.parametrize(
    ("state", "found"),
    [
        ("late", ["Late Measured", "Late Waiting"]),
        ("today", ["Due Now"]),
        ("coming", ["Coming Soon"]),
        ("measured", ["Late Measured"]),
        ("waiting", ["Late Waiting", "Due Now"]),
        ("nonsense", ["Late Measured", "Late Waiting", "Due Now", "Coming Soon"]),
    ],
)
def test_it_narrows_by_state(state, found, read):
    due("Late Measured", -3, word="worse")
    due("Late Waiting", -2, word="not comparable")
    due("Due Now", 0, word="")
    due("Coming Soon", 3)
    assert names(read(f"?state={state}")) == found


def test_it_narrows_by_name_and_by_day(read):
    due("Joon Barreto", 2)
    due("Sione Varga", 3)
    assert names(read("?q=barr")) == ["Joon Barreto"]
    assert names(read(f"?day={DAY + dt.timedelta(days=3)}")) == ["Sione Varga"]
    assert "No follow-up fits all of these choices." in read("?q=xyzzy")


@pytest.mark.parametrize(
    ("sort", "found"),
    [
        ("due", ["Zoe First", "Amy Second", "Bob Third"]),
        ("name", ["Zoe First", "Amy Second", "Bob Third"]),
        ("response", ["Bob Third", "Amy Second", "Zoe First"]),
    ],
)
def test_it_sorts(sort, found, read):
    due("Zoe First", 1)
    due("Amy Second", 2, word="better")
    due("Bob Third", 3, word="worse")
    assert names(read(f"?sort={sort}")) == found


def test_it_sorts_by_the_name_of_the_work(read):
    due("Second One", 1, version__intervention__key="side_lying_chest_turn")
    due("First One", 2, version__intervention__key="hip_turns_seated")
    found = FollowUp.objects.select_related("prescription__version", "prescription__athlete")
    by_work = sorted(found, key=lambda one: one.prescription.version.name.lower())
    assert names(read("?sort=work")) == [one.prescription.athlete.name for one in by_work]


def test_decided_stopped_and_withdrawn_work_is_not_listed(read):
    closed, ended, withdrawn = due("Is Closed", 1), due("Is Ended", 1), due("Is Withdrawn", 1)
    FollowUp.objects.filter(pk=closed.pk).update(decision="closed", decided_at=NOON)
    work = ended.prescription
    work.ended_on, work.ending = DAY, "stopped"
    work.save()
    withdrawn.prescription.mark_withdrawn(UserFactory(), "typed twice")
    withdrawn.prescription.save()
    assert names(read()) == []


def test_without_consent_only_an_admin_reads_it(read, client_of, admin):
    follow_up = due("Not Agreed", 1)
    athlete = follow_up.prescription.athlete
    athlete.consent_withdrawn_on = DAY
    athlete.save()
    assert names(read()) == []
    assert names(client_of(admin).get(LIST).content.decode()) == ["Not Agreed"]


def test_as_a_part_it_gives_the_rows_alone(read):
    due("Joon Barreto", 1)
    part = read("", LIST, HX_Request="true")
    assert part.lstrip().startswith('<div id="follow-list">')


def test_the_file_holds_all_pages_of_the_same_choices(read, client_of, coach):
    for number in range(PAGE_SIZE + 3):
        due(f"Of K{number:03}", -1, word="better")
    due("Coming Soon", 3)
    assert len(names(read("?state=late"))) == PAGE_SIZE
    answer = client_of(coach).get("/follow-ups/csv/?state=late")
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert len(rows) == PAGE_SIZE + 3
    assert (rows[0]["Due"], rows[0]["When"], rows[0]["Response"]) == ("2026-04-13", "1 day late", "better")
    assert rows[0]["Numbers"] == "30° → 38° (+8° ± 3)"


@pytest.mark.parametrize("address", [LIST, MONTH, "/follow-ups/csv/"])
def test_the_number_of_queries_does_not_grow(address, client_of, coach):
    def asked() -> int:
        client = client_of(coach)
        client.get(address)
        with CaptureQueriesContext(
            connection,
        ) as made:
            assert client.get(address).status_code == 200
        return len(made)

    for number in range(3):
        due(f"Few F{number}", number, word="better")
    few = asked()
    for number in range(40):
        due(f"Many M{number}", number % 14, word="better")
    assert asked() == few
    assert few < 30


# ---- the month ----------------------------------------------------------------------------------------


def test_the_month_shows_who_is_due_on_which_day(read):
    due("Joon Barreto", 1)
    page = read(where=MONTH)
    assert "April 2026" in page
    square = page.split('<time datetime="2026-04-15"')[1].split("</td>")[0]
    assert "Joon Barreto" in square
    assert 'aria-current="date"' in page.split('<time datetime="2026-04-14"')[1][:40]


def test_months_lead_to_each_other_and_keep_the_choices(read):
    due("Joon Barreto", 20)
    page = read("?who=everyone&month=2026-05", MONTH)
    assert "May 2026" in page
    assert "Joon Barreto" in page
    assert "who=everyone&amp;month=2026-04" in page
    assert "who=everyone&amp;month=2026-06" in page


@pytest.mark.parametrize("month", ["", "2026-13", "0001-01", "next", "2026-02-30"])
def test_what_is_no_month_is_this_month(month, read):
    assert "April 2026" in read(f"?month={month}", MONTH)


def test_a_full_day_counts_those_who_do_not_fit_and_leads_to_them(read):
    for number in range(9):
        due(f"Of K{number}", 1)
    page = read(where=MONTH)
    assert "and 3 more" in page
    assert "day=2026-04-15" in page


def test_a_february_of_four_weeks_has_four(read):
    """February 2027 begins on a Monday and has 28 days."""
    assert read("?month=2027-02", MONTH).count("<tr>") == 5  # and the head


def test_both_stand_for_staff_alone(client_of, clinician, visiting_coach, guardian):
    for account in (clinician, visiting_coach, guardian):
        for address in (LIST, MONTH, "/follow-ups/csv/"):
            assert client_of(account).get(address).status_code == 403


def test_work_without_a_reason_that_can_be_measured_is_looked_at(read):
    work = PrescriptionFactory(athlete=AthleteFactory(), reason={"metric": "no_longer_known"})
    respond(work.follow_ups.get(), "")
    assert "a look at how it is done" in read()
