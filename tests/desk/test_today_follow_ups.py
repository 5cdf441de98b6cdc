"""Follow-ups on the coach's first page, flags that recur and have work, and work on an athlete's time line."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from desk.selectors.needs import MOST, needs_you
from desk.selectors.timeline import timeline
from desk.selectors.watched import read_watched
from plans.services.follow_ups import close_follow_up
from tests import factories
from tests.desk.people import measured
from tests.factories import DAY
from tests.factories.plans import PrescriptionFactory
from tests.plans.follow_ups import due, respond

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]
FRESH = {"date": DAY, "height_cm": 180.0, "mass_kg": 75.0}
OFF = {"metric": "elbow_flexion_fp", "direction": "low"}


def needs(user):
    return needs_you(read_watched(user, DAY))


def the_due(user):
    (line,) = needs(user).due.lines
    return line


# ---- follow-ups ---------------------------------------------------------------------------------------


def test_one_that_was_measured_leads_to_its_decision_with_the_word(coach):
    follow_up = due("Joon Barreto", -1, word="better")
    line = the_due(coach)
    assert (line.kind, line.title, line.people[0].name) == ("due", "Measured, to decide: ", "Joon Barreto")
    assert line.reason == f"{follow_up.prescription.version.name}: better."
    assert (line.step, line.url) == ("Decide", f"/follow-ups/{follow_up.uuid}/")


@pytest.mark.parametrize("word", ["", "not comparable", None])
def test_one_that_is_due_says_since_when_and_that_it_was_not_measured(word, coach):
    follow_up = due("Joon Barreto", -3, word=word)
    line = the_due(coach)
    assert line.title == "Follow-up due: "
    assert line.reason == f"{follow_up.prescription.version.name}: 3 days late, not measured."


def test_what_is_only_coming_is_no_need(coach):
    due("Joon Barreto", 1)
    assert needs(coach).due.lines == ()


def test_many_take_two_lines_the_longest_late_first_and_lead_to_the_list(coach):
    for number in range(5):
        due(f"Late L{number}", -number)
    for number, word in enumerate(("better", "worse", "better")):
        due(f"Measured M{number}", -1, word=word)
    measured_line, waiting_line = needs(coach).due.lines
    assert (measured_line.reason, measured_line.url) == ("2 better, 1 worse.", "/follow-ups/?state=measured")
    assert [person.name for person in waiting_line.people] == ["Late L4", "Late L3", "Late L2"]
    assert (waiting_line.more_people, waiting_line.reason) == (2, "4 late, not measured.")
    assert waiting_line.url == "/follow-ups/?state=waiting"
    assert "eight to follow up" in needs(coach).sentence.lower()


def test_an_athlete_is_named_once_however_much_is_due(coach):
    first = due("Joon Barreto", -3)
    due("", -1, athlete=first.prescription.athlete, version__intervention__key="side_lying_chest_turn")
    due("Sione Varga", -2)
    line = the_due(coach)
    assert [person.name for person in line.people] == ["Joon Barreto", "Sione Varga"]
    assert line.people[0].url == f"/follow-ups/{first.uuid}/"
    assert (line.more_people, needs(coach).due.count) == (0, 3)


def test_they_are_those_of_the_coach_and_everybodys_for_whoever_has_none(coach):
    measured("Mine Well", responsible_coach=coach, body_size=FRESH)
    due("Of Another", -1, coach=factories.UserFactory(role="coach"))
    assert needs(coach).due.lines == ()
    assert needs(factories.UserFactory(role="coach")).due.count == 1


def test_without_consent_nothing_is_to_be_followed_up(coach):
    athlete = due("Not Agreed", -1).prescription.athlete
    athlete.consent_withdrawn_on = DAY
    athlete.save()
    assert needs(coach).due.lines == ()


def test_on_the_fullest_day_ten_lines_stand_and_the_follow_ups_among_them(coach, client_of):
    for number in range(12):
        measured(f"Flag F{number}", flags=1, priority=number, body_size=FRESH)
        factories.PainReportFactory(athlete=measured(f"Hurt H{number}", body_size=FRESH))
    due("Joon Barreto", -1, word="better")
    due("Sione Varga", -1)
    lines = needs(coach).lines
    assert len(lines) == MOST
    assert [line.title for line in lines if line.kind == "due"] == ["Measured, to decide: ", "Follow-up due: "]
    page = client_of(coach).get("/").content.decode()
    assert "Measured, to decide: " in page


def test_the_first_page_asks_two_questions_more_however_many_there_are(coach, client_of):
    def asked() -> int:
        client = client_of(coach)
        client.get("/")
        with CaptureQueriesContext(connection) as made:
            assert client.get("/").status_code == 200
        return len(made)

    measured("Known Already", flags=1, priority=6, confirmation="recurring", body_size=FRESH)
    few = asked()
    for number in range(30):
        respond(due(f"Of K{number}", -number), "better" if number % 2 else "")
    assert asked() == few


# ---- flags that recur ---------------------------------------------------------------------------------


@pytest.fixture
def recurring(coach):
    return measured("Joon Barreto", flags=1, priority=6, confirmation="recurring", body_size=FRESH)


def test_a_recurring_flag_with_open_work_waits_for_its_follow_up_alone(recurring, coach):
    assert needs(coach).recurring.count == 1
    PrescriptionFactory(athlete=recurring, reason=OFF)
    assert needs(coach).recurring.lines == ()
    assert needs(coach).lines == ()


@pytest.mark.parametrize("why", ["other side", "other metric", "ended", "withdrawn", "another athlete"])
def test_it_stands_where_the_work_is_for_something_else_or_over(why, recurring, coach):
    reason = {**OFF, "direction": "high"} if why == "other side" else OFF
    reason = {**OFF, "metric": "hip_ir_front"} if why == "other metric" else reason
    athlete = factories.AthleteFactory(body_size=FRESH) if why == "another athlete" else recurring
    work = PrescriptionFactory(athlete=athlete, reason=reason)
    if why == "ended":
        work.ended_on, work.ending = DAY, "closed"
    elif why == "withdrawn":
        work.mark_withdrawn(coach, "typed twice")
    work.save()
    assert needs(coach).recurring.count == 1


def test_of_two_flags_the_one_without_work_is_named(recurring, coach):
    standing = recurring.standing
    standing.flags = [*standing.flags, ["lead_knee_flexion_fp", "high", "sure", "recurring"]]
    standing.flags_recurring = 2
    standing.save()
    PrescriptionFactory(athlete=recurring, reason=OFF)
    (line,) = needs(coach).recurring.lines
    assert [(flag.side, flag.name) for flag in line.flags] != []
    assert [flag.side for flag in line.flags] == ["high"]


# ---- who is here, and the time line -------------------------------------------------------------------


def test_of_whoever_is_here_it_is_said_that_a_follow_up_is_due(coach, client_of):
    athlete = due("Joon Barreto", 0).prescription.athlete
    factories.CheckInFactory(athlete=athlete, is_here=True)
    factories.CheckInFactory(athlete=due("Sione Varga", 1).prescription.athlete, is_here=True)
    assert client_of(coach).get("/here/").content.decode().count("Follow-up due") == 1


def test_work_given_and_decided_stands_on_the_time_line(coach, client_of):
    follow_up = due("Joon Barreto", 0, word="better")
    close_follow_up(follow_up=follow_up, seen=0, by=coach, note="done well")
    athlete, work = follow_up.prescription.athlete, follow_up.prescription.version.name
    entries = timeline(athlete, coach, DAY, "work")
    assert [entry.title for entry in entries] == [f"Follow-up, closed: {work}", f"Work given: {work}"]
    assert "30° → 38° (+8° ± 3)" in entries[0].detail
    assert entries[0].detail.endswith("done well")
    assert f"/follow-ups/{follow_up.uuid}/" in client_of(coach).get(f"/athletes/{athlete.uuid}/").content.decode()


def test_without_consent_a_coach_reads_no_work_on_the_time_line(coach):
    athlete = due("Joon Barreto", 0).prescription.athlete
    athlete.consent_withdrawn_on = DAY
    athlete.save()
    assert timeline(athlete, coach, DAY, "work") == []
