"""The coach's day: each reason from one setup, the order, the room, the sentence, files on their way."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse

from desk.selectors.needs import MOST, needs_you
from desk.selectors.watched import read_watched
from metrics.models import Finding
from metrics.selectors.sharing import findings_digest
from plans.models import Prescription
from tests import factories
from tests.desk.people import FOR_THE_ROSTER, ago, measured
from tests.factories import DAY, NOON
from tests.factories.plans import PrescriptionFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]
FRESH = {"date": DAY, "height_cm": 180.0, "mass_kg": 75.0}


def needs(user):
    return needs_you(read_watched(user, DAY))


def the_line(user):
    (line,) = needs(user).lines
    return line


def record(athlete) -> str:
    return reverse("desk:record", args=[athlete.uuid])


def test_nothing_waits_when_all_is_well(coach, client_of):
    measured("All Well", body_size=FRESH)
    page = client_of(coach).get("/").content.decode()
    assert "Tuesday 14 April" in page
    assert "Nothing waits for you." in page
    assert needs(coach).lines == ()


def test_pain_stands_reversed_with_who_reported_it_and_leads_to_the_record(coach, guardian, client_of):
    athlete = measured("Sione Varga", body_size=FRESH, responsible_coach=factories.UserFactory())
    factories.PainReportFactory(athlete=athlete, where="elbow", reported_by=guardian)
    line = the_line(coach)
    assert (line.kind, line.people[0].name, line.url) == ("pain", "Sione Varga", record(athlete))
    page = client_of(coach).get("/").content.decode()
    # Noon on the facility's wall clock.
    assert f"Reported by {guardian}, guardian, 12:00. A clearance is needed before the next throw." in page
    assert '<li class="stop-block"><span class="n"><b>Pain: Sione Varga, elbow.</b>' in page


def test_a_cleared_pain_is_gone(coach):
    athlete = measured("Now Cleared", body_size=FRESH)
    factories.ClearanceFactory(report=factories.PainReportFactory(athlete=athlete))
    assert needs(coach).lines == ()


def test_a_stop_without_pain_says_since_when_and_why(coach):
    athlete = measured("Ill Today", body_size=FRESH)
    factories.AvailabilityFactory(athlete=athlete, state="stopped", valid_from=ago(3), limits="Illness")
    line = the_line(coach)
    assert (line.kind, line.reason) == ("stopped", "Since 11 April: Illness.")


@pytest.mark.parametrize(
    ("state", "title", "step"),
    [
        ("needs_match", "Upload: columns to match", "Match"),
        ("needs_answer", "Upload: questions to answer", "Answer"),
        ("ready", "Upload: ready to accept", "Accept"),
        ("refused", "Upload: could not be read", "Look"),
    ],
)
def test_an_upload_that_waits_for_a_person_leads_to_its_preview(state, title, step, coach):
    upload = factories.UploadFactory(state=state, uploaded_by=coach, error_sentence="The workbook has a password.")
    line = the_line(coach)
    assert (line.title, line.step, line.url) == (title, step, reverse("metrics:import", args=[upload.uuid]))
    assert line.reason.startswith(upload.filename)
    assert ("password" in line.reason) == (state == "refused")


@pytest.mark.parametrize("state", ["received", "reading", "accepting", "accepted"])
def test_an_upload_that_waits_for_nobody_is_no_need(state, coach):
    factories.UploadFactory(state=state, uploaded_by=coach)
    assert needs(coach).lines == ()


def test_a_refused_upload_is_forgotten_after_two_weeks(coach):
    factories.UploadFactory(state="refused", uploaded_at=NOON - dt.timedelta(days=15))
    assert needs(coach).lines == ()


def test_several_uploads_of_one_kind_take_one_line(coach):
    for letter in "abc":
        factories.UploadFactory(state="ready", uploaded_by=coach, filename=f"{letter}.csv")
    line = the_line(coach)
    assert (line.title, line.url) == ("3 uploads: ready to accept", reverse("sessions:uploads"))
    assert line.reason.endswith("and 1 more")
    assert needs(coach).sentence == "Three files to answer."


@pytest.mark.parametrize(("confirmation", "known"), [("to_confirm", "to confirm"), ("confirmed", "confirmed")])
def test_a_new_flag_leads_to_its_session(confirmation, known, coach):
    athlete = measured("Joon Barreto", days=14, flags=1, priority=6, confirmation=confirmation, body_size=FRESH)
    line = the_line(coach)
    session = athlete.standing.last_session
    assert (line.kind, line.url) == ("flags", reverse("metrics:session", args=[session.uuid]))
    assert [(flag.name, flag.side, flag.known) for flag in line.flags] == [("Elbow landing", "low", known)]


@pytest.mark.parametrize("details", [{"days": 15}, {"confirmation": "recurring"}])
def test_an_old_or_recurring_flag_is_not_new(details, coach):
    measured("Known Already", flags=1, priority=6, body_size=FRESH, **details)
    assert needs(coach).flags.lines == ()


def test_a_recurring_flag_leads_to_the_plan_while_nothing_is_prescribed(coach):
    athlete = measured("Joon Barreto", flags=1, priority=6, confirmation="recurring", body_size=FRESH)
    line = the_line(coach)
    session = reverse("metrics:session", args=[athlete.standing.last_session.uuid])
    plan = reverse("plans:plan", args=[athlete.uuid])
    assert (line.kind, line.step, line.url, line.people[0].url) == ("recurring", "Plan", plan, session)
    assert line.reason == "Recurring, nothing prescribed."
    assert [(flag.name, flag.side) for flag in line.flags] == [("Elbow landing", "low")]


def test_a_recurring_flag_with_open_work_is_no_need_and_stopped_work_leaves_it_one(coach):
    athlete = measured("Joon Barreto", flags=1, priority=6, confirmation="recurring", body_size=FRESH)
    metric, side = athlete.standing.flags[0][:2]
    work = PrescriptionFactory(athlete=athlete, reason={"metric": metric, "direction": side})
    assert needs(coach).recurring.lines == ()
    Prescription.objects.filter(pk=work.pk).update(ended_on=work.start, ending="stopped")
    assert needs(coach).recurring.count == 1


def test_several_recurring_flags_take_one_line_the_heaviest_first_and_the_away_wait(coach):
    for number in range(5):
        measured(f"Known K{number}", flags=1, priority=number, confirmation="recurring", body_size=FRESH)
    gone = measured("Away Already", flags=1, priority=9, confirmation="recurring", body_size=FRESH)
    factories.AvailabilityFactory(athlete=gone, state="away", valid_from=ago(3))
    line = the_line(coach)
    assert [person.name for person in line.people] == ["Known K4", "Known K3", "Known K2"]
    assert (line.more_people, line.step) == (2, "Roster")


def test_sore_muscles_of_today_are_a_quiet_line_whoever_coaches_them(coach):
    sore = measured("Sore Today", body_size=FRESH, responsible_coach=factories.UserFactory())
    measured("Mine Well", body_size=FRESH, responsible_coach=coach)
    factories.CheckInFactory(athlete=sore, feeling="fine", at=NOON - dt.timedelta(hours=3))
    factories.CheckInFactory(athlete=sore, feeling="sore", words="forearm")
    line = the_line(coach)
    assert (line.kind, line.people[0].name, line.reason, line.url) == ("sore", "Sore Today", "Forearm.", record(sore))
    factories.CheckInFactory(athlete=sore, feeling="fine", at=NOON + dt.timedelta(hours=1))
    assert needs(coach).lines == ()


def test_soreness_of_yesterday_is_no_need(coach):
    factories.CheckInFactory(athlete=measured("Sore Then", body_size=FRESH), feeling="sore", date=ago(1))
    assert needs(coach).lines == ()


def test_a_screen_after_the_flags_does_not_hide_their_session(coach):
    athlete = measured("Then Screened", days=5, flags=1, priority=6, body_size=FRESH)
    thrown = athlete.standing.last_session
    screen = factories.CaptureSessionFactory(athlete=athlete, date=ago(1), method="hands_on")
    athlete.standing.last_session, athlete.standing.last_date = screen, screen.date
    athlete.standing.save()
    assert the_line(coach).url == reverse("metrics:session", args=[thrown.uuid])


def test_somebody_not_measured_for_longer_than_the_setting_is_missed(coach, settings):
    settings.UNSEEN_AFTER_WEEKS = 4
    athlete = measured("Long Gone", days=29, body_size=FRESH)
    measured("Just Seen", days=28, body_size=FRESH)
    line = the_line(coach)
    assert (line.kind, line.people[0].name, line.url) == ("unseen", "Long Gone", record(athlete))
    assert line.reason.startswith("Last measured 29 days ago.")


def test_who_is_away_is_not_missed(coach):
    athlete = measured("On Holiday", days=300, body_size=FRESH)
    factories.AvailabilityFactory(athlete=athlete, state="away", valid_from=ago(90), until=ago(-9))
    assert needs(coach).lines == ()


def test_who_was_never_measured_is_missed_once_long_enough_here(coach, clock):
    factories.AthleteFactory(body_size=FRESH)
    assert needs(coach).lines == ()
    clock.move(weeks=9)
    line = needs_you(read_watched(coach, DAY + dt.timedelta(weeks=9))).unseen.lines[0]
    assert line.reason == "Never measured since they were entered."


@pytest.mark.parametrize("size", [{}, {"date": ago(181)}, {"date": DAY, "mass_kg": None}])
def test_a_growing_athlete_without_a_fresh_height_and_mass_is_to_be_measured(size, coach):
    athlete = measured("Growing Fast", body_size=size)
    line = the_line(coach)
    assert (line.kind, line.url) == ("size", reverse("athletes:body-size", args=[athlete.uuid]))


def test_a_grown_athlete_is_not_asked_for_a_height(coach):
    measured("Grown Up", birth_date=dt.date(2008, 4, 14), body_size={})
    assert needs(coach).lines == ()


def test_flags_and_gaps_are_those_of_the_coach_but_pain_and_files_are_everybodys(coach):
    other = factories.UserFactory()
    measured("Mine Well", responsible_coach=coach, body_size=FRESH)
    measured("Theirs Flagged", responsible_coach=other, flags=1, priority=5, body_size={})
    hurt = measured("Theirs Hurt", responsible_coach=other, body_size=FRESH)
    factories.PainReportFactory(athlete=hurt)
    factories.UploadFactory(state="ready", uploaded_by=other)
    assert [line.kind for line in needs(coach).lines] == ["pain", "answer"]
    assert {line.kind for line in needs(other).lines} == {"pain", "answer", "flags", "size"}


def test_ten_lines_at_most_and_the_last_kinds_keep_their_place(coach):
    for number in range(9):
        hurt = measured(f"Hurt H{number}", body_size=FRESH)
        factories.PainReportFactory(athlete=hurt)
    for number in range(20):
        measured(f"Flagged F{number:02}", flags=1, priority=number, body_size=FRESH)
    measured("Long Gone", days=99, body_size={})
    measured("Again Again", flags=1, priority=1, confirmation="recurring", body_size=FRESH)
    factories.CheckInFactory(athlete=measured("Sore Today", body_size=FRESH), feeling="sore")
    found = needs(coach)
    kinds = [line.kind for line in found.lines]
    assert len(kinds) == MOST
    assert kinds == ["pain"] * 4 + ["more", "more", "recurring", "sore", "unseen", "size"]
    stopped, flags = found.lines[4:6]
    assert (stopped.title, len(stopped.people) + stopped.more_people) == ("Also stopped: ", 5)
    assert (flags.title, len(flags.people) + flags.more_people) == ("New flags: ", 20)
    assert found.sentence == "Nine stopped, 20 with new flags, one not seen for long."


def test_the_last_ten_sessions_stand_with_their_flags_and_conditions(coach, client_of):
    athlete = factories.AthleteFactory(given_name="Emre", family_name="Halloran", body_size=FRESH)
    for days in range(12):
        session = factories.CaptureSessionFactory(athlete=athlete, date=ago(days))
    newest = athlete.capture_sessions.get(date=DAY)
    factories.ScoringFactory(
        session=newest, throws=15, scored_throws=12, conditions_used={"surface": "mound", "ball": "regulation"}
    )
    factories.FindingFactory(session=newest, flag=True, sure="likely")
    factories.FindingFactory(session=newest, flag=True, sure="cant_tell", metric="stride_length")
    work = client_of(coach).get("/").context["work"]
    lines = work.measured_today + work.recent
    assert [line.date for line in lines] == [ago(days) for days in range(10)]
    assert session.date not in {line.date for line in lines}
    assert (lines[0].throws, lines[0].conditions) == ("12 of 15 throws scored", "mound, regulation ball")
    assert lines[0].flags == (("elbow_flexion_fp", "low", "likely"),)


def test_files_on_their_way_are_counted_until_none_is_left(coach, client_of):
    files = [factories.UploadFactory(state=state) for state in ("received", "reading", "accepting", "ready")]
    client = client_of(coach)
    assert "3 files are still coming" in client.get("/").content.decode()
    asked = client.get("/coming/").content.decode()
    assert 'hx-trigger="every 2s"' in asked
    for upload in files:
        upload.state = "accepted"
        upload.save()
    finished = client.get("/coming/").content.decode()
    assert "All files are read." in finished
    assert "hx-trigger" not in finished
    assert "still coming" not in client.get("/").content.decode()


def test_an_empty_house_says_what_to_do_first(coach, client_of):
    page = client_of(coach).get("/").content.decode()
    for words in ("Nothing waits", "Upload a file", reverse("sessions:uploads")):
        assert words in page, words
    assert "Enter an athlete" in client_of(coach).get("/", headers=FOR_THE_ROSTER).content.decode()


# ---- shares ---------------------------------------------------------------------------------------------


def shared_then_scored(athlete, *, said: str = "flag"):
    """A share of a short step, and a scoring after it that finds what `said` says."""
    session = factories.CaptureSessionFactory(athlete=athlete)
    finding = factories.FindingFactory(session=session, metric="stride_length", zone="flag", side="low", sure="sure")
    digest = findings_digest([finding], ["stride_length"])
    factories.ShareFactory(session=session, findings_digest=digest, shared_at=NOON - dt.timedelta(hours=2))
    factories.ScoringFactory(session=session, scored_at=NOON - dt.timedelta(hours=1))
    Finding.objects.filter(pk=finding.pk).update(zone=said)
    return session


def test_a_share_that_the_findings_left_behind_leads_to_its_session(coach):
    session = shared_then_scored(factories.AthleteFactory(responsible_coach=coach), said="watch")
    [line] = needs(coach).shares.lines
    assert line.people[0].name == session.athlete.name
    assert line.url == reverse("metrics:session", args=[session.uuid])


def test_a_share_that_still_says_what_is_found_is_no_need(coach):
    shared_then_scored(factories.AthleteFactory(responsible_coach=coach))
    assert needs(coach).shares.lines == ()


def test_a_share_that_a_coach_left_as_it_is_is_no_need(coach):
    session = shared_then_scored(factories.AthleteFactory(responsible_coach=coach), said="watch")
    session.shares.update(change_seen_at=NOON)
    assert needs(coach).shares.lines == ()


def test_only_what_the_family_reads_now_counts(coach):
    session = shared_then_scored(factories.AthleteFactory(responsible_coach=coach), said="watch")
    now = findings_digest(Finding.objects.filter(session=session), ["stride_length"])
    factories.ShareFactory(session=session, findings_digest=now, shared_at=NOON - dt.timedelta(minutes=90))
    assert needs(coach).shares.lines == ()
