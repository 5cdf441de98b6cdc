"""The athlete's record: one time line in order, by kind, with only what the reader may read."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse

from athletes.models import Contact, ViewLog
from athletes.services.care import record_clearance, report_pain, set_availability
from desk.selectors.timeline import KINDS, timeline
from sessions.models import SessionExtract
from tests import factories
from tests.desk.people import ago
from tests.factories import DAY, NOON
from tests.factories.plans import PrescriptionFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]


@pytest.fixture
def page_of(athlete, client_of):
    def get(user, **query):
        answer = client_of(user).get(f"/athletes/{athlete.uuid}/", query)
        return answer.content.decode() if answer.status_code == 200 else answer.status_code

    return get


def test_everything_stands_in_one_line_newest_first(athlete, coach):
    factories.CaptureSessionFactory(athlete=athlete, date=ago(2))
    factories.NoteFactory(athlete=athlete, written_at=NOON - dt.timedelta(days=1))
    factories.NoteFactory(athlete=athlete, written_at=NOON - dt.timedelta(days=1, hours=-2), text="later that day")
    factories.AvailabilityFactory(athlete=athlete, valid_from=ago(4), state="limited", limits="60 throws")
    report = factories.PainReportFactory(athlete=athlete, reported_at=NOON - dt.timedelta(days=5))
    factories.ClearanceFactory(report=report, cleared_on=ago(3))
    entries = timeline(athlete, coach, DAY)
    assert [entry.kind for entry in entries] == [
        "note", "note", "session", "pain", "availability", "pain", "size", "consent", "level",
    ]  # fmt: skip
    assert entries[0].detail == "later that day"
    assert [entry.on for entry in entries] == sorted((entry.on for entry in entries), reverse=True)
    assert [entry.title for entry in entries if entry.kind == "pain"] == ["Cleared: elbow", "Pain: elbow"]


def told(athlete, user, *kinds: str) -> list[str]:
    return [f"{entry.title} {entry.detail}".strip() for entry in timeline(athlete, user, DAY) if entry.kind in kinds]


def test_a_clearance_of_the_same_day_stands_above_its_pain(athlete, coach):
    report = factories.PainReportFactory(athlete=athlete, reported_at=NOON - dt.timedelta(hours=1))
    factories.ClearanceFactory(report=report, cleared_on=DAY, limits="")
    assert told(athlete, coach, "pain") == ["Cleared: elbow without limits", "Pain: elbow 4 of 10"]


def test_what_is_kept_by_its_day_stands_where_the_log_says_that_it_was_done(athlete, coach, clinician, clock):
    report = report_pain(athlete=athlete, where="elbow", by=coach)
    clock.move(hours=1)
    factories.NoteFactory(athlete=athlete, written_at=clock.now, text="went home")
    clock.move(hours=1)
    record_clearance(report=report, cleared_by_name="Dr. Oduya", cleared_on=DAY, limits="40 throws", by=clinician)
    assert told(athlete, coach, "pain", "note", "availability") == [
        "Availability: limited 40 throws",
        "Cleared: elbow 40 throws",
        "Note went home",
        "Pain: elbow",
    ]


def test_what_is_entered_later_stands_on_the_day_it_speaks_of(athlete, coach):
    factories.NoteFactory(athlete=athlete, written_at=NOON - dt.timedelta(days=2), text="that day")
    set_availability(athlete=athlete, state="limited", limits="60 throws", valid_from=ago(2), by=coach)
    assert told(athlete, coach, "note", "availability") == ["Note that day", "Availability: limited 60 throws"]


def test_of_consents_of_one_day_the_later_stands_on_top(athlete, coach):
    athlete.consents.all().delete()
    for version in ("first", "second"):
        factories.ConsentFactory(athlete=athlete, given_on=DAY, text__version=version)
    athlete.consents.filter(text__version="first").update(withdrawn_on=DAY)
    assert told(athlete, coach, "consent") == ["Consent text second", "Consent withdrawn", "Consent text first"]


@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_shows_itself_alone(kind, athlete, coach):
    factories.ShareFactory(session__athlete=athlete)
    factories.NoteFactory(athlete=athlete)
    factories.AvailabilityFactory(athlete=athlete)
    factories.PainReportFactory(athlete=athlete)
    PrescriptionFactory(athlete=athlete)
    assert {entry.kind for entry in timeline(athlete, coach, DAY, kind)} == {kind}


def test_an_unknown_kind_shows_everything(page_of, coach):
    assert "Level: high school" in page_of(coach, kind="gossip")


def test_a_session_carries_its_flags_and_the_file_it_came_from(athlete, coach, page_of):
    session = factories.CaptureSessionFactory(athlete=athlete)
    factories.ScoringFactory(session=session, throws=8, scored_throws=8)
    factories.FindingFactory(session=session, flag=True)
    upload = factories.UploadFactory(filename="room1.csv")
    for sheet in ("a", "b"):
        SessionExtract.objects.create(session=session, upload=upload, sheet=sheet)
    page = page_of(coach)
    assert reverse("metrics:session", args=[session.uuid]) in page
    assert 'aria-label="flag low, sure"' in page
    assert page.count("room1.csv") == 1


def test_a_withdrawn_session_and_note_are_gone(athlete, coach, page_of):
    factories.CaptureSessionFactory(athlete=athlete, method="video", withdrawn_at=NOON)
    factories.NoteFactory(athlete=athlete, text="taken back", withdrawn_at=NOON)
    page = page_of(coach)
    assert "taken back" not in page
    assert ">Video<" not in page


def test_a_note_is_written_withdrawn_and_brought_back_from_the_record(athlete, coach, client_of):
    client = client_of(coach)
    record = f"/athletes/{athlete.uuid}/"
    client.post(reverse("athletes:note-add", args=[athlete.uuid]), {"text": "sit less, go longer"})
    assert "sit less, go longer" in client.get(record).content.decode()
    note = athlete.notes.get()
    client.post(reverse("athletes:note-withdraw", args=[athlete.uuid, note.uuid]))
    page = client.get(record).content.decode()
    undo = reverse("athletes:note-restore", args=[athlete.uuid, note.uuid])
    assert "sit less" not in page
    assert undo in page
    client.post(undo)
    assert "sit less" in client.get(record).content.decode()


def test_open_pain_stands_on_top_and_the_clearance_is_one_step_away(athlete, coach, clinician, page_of):
    report = factories.PainReportFactory(athlete=athlete, where="shoulder")
    clearance = reverse("athletes:clearance", args=[athlete.uuid, report.uuid])
    for user in (coach, clinician):
        page = page_of(user)
        assert "Pain: shoulder." in page
        assert clearance in page
    factories.ClearanceFactory(report=report)
    assert clearance not in page_of(coach)


def test_people_and_consent_stand_beside_it(athlete, coach, guardian, page_of):
    Contact.objects.create(athlete=athlete, name="Rewi Tamati", relation="uncle", phone="555 0199")
    factories.ExternalIdFactory(athlete=athlete, value="P-7781")
    page = page_of(coach)
    for words in ("Rewi Tamati", "555 0199", "P-7781", "Varsity", str(guardian), "Ana Lindqvist, mother"):
        assert words in page, words
    athlete.consents.all().delete()
    assert "No consent in force" in page_of(coach)


def test_the_clinician_reads_sessions_but_no_staff_note_no_file_name_and_changes_no_detail(athlete, clinician, page_of):
    session = factories.CaptureSessionFactory(athlete=athlete)
    SessionExtract.objects.create(session=session, upload=factories.UploadFactory(filename="team.csv"))
    factories.NoteFactory(athlete=athlete, text="for staff")
    factories.NoteFactory(athlete=athlete, text="for all", for_family=True)
    page = page_of(clinician)
    assert "Motion capture" in page
    assert "for all" in page
    for hidden in ("for staff", "team.csv", "New note", reverse("athletes:edit", args=[athlete.uuid])):
        assert hidden not in page, hidden
    assert reverse("athletes:availability", args=[athlete.uuid]) in page


def test_the_visiting_coach_gets_a_name_a_word_and_their_groups(athlete, visiting_coach, page_of):
    factories.TrainingGroupFactory(name="Rehab", athletes=[athlete])
    factories.AvailabilityFactory(athlete=athlete, state="limited", limits="60 throws after the elbow")
    page = page_of(visiting_coach)
    for shown in ("Ikaika Brandvold", "limited", "Varsity"):
        assert shown in page, shown
    for hidden in ("Rehab", "60 throws", "elbow", "high school", "Time line", "16 y", "6′1″"):
        assert hidden not in page, hidden


def test_a_look_is_logged_with_the_name_of_the_page(athlete, coach, visiting_coach, athlete_user, page_of):
    for user in (coach, visiting_coach, athlete_user):
        page_of(user)
    seen = set(ViewLog.objects.values_list("role", "what"))
    assert seen == {("coach", "record"), ("visiting_coach", "availability")}


def test_the_line_costs_the_same_however_long_it_is(athlete, coach, client_of, django_assert_max_num_queries):
    client = client_of(coach)

    def grow(times: int) -> None:
        for number in range(times):
            days = athlete.capture_sessions.count() + 1
            session = factories.CaptureSessionFactory(athlete=athlete, date=ago(days))
            factories.ScoringFactory(session=session)
            factories.FindingFactory(session=session, flag=True)
            SessionExtract.objects.create(session=session, upload=factories.UploadFactory(), sheet=str(number))
            factories.NoteFactory(athlete=athlete)
            factories.PainReportFactory(athlete=athlete)
            factories.AvailabilityFactory(athlete=athlete, valid_from=ago(days))

    def spent() -> int:
        with django_assert_max_num_queries(45) as queries:
            assert client.get(f"/athletes/{athlete.uuid}/").status_code == 200
        return len(queries)

    grow(5)
    few = spent()
    grow(45)
    assert spent() == few


def test_a_bare_athlete_says_what_will_stand_here(coach, client_of):
    bare = factories.AthleteFactory(level="", body_size={}, consent=False)
    page = client_of(coach).get(f"/athletes/{bare.uuid}/").content.decode()
    assert "will stand here by date" in page
    assert "none recorded" in page
