"""The demonstration: the same files every time, read as they were meant, by the coach's own path."""

import csv
import datetime as dt
import io

import pytest
from celery.exceptions import Retry
from django.core.management import CommandError, call_command

from athletes.models import Athlete, Consent
from desk.demo.cast import load_cast
from desk.demo.files import WHO, demo_files, header_of
from desk.demo.loading import is_unfinished
from desk.demo.people import create_people
from desk.demo.recordings import recorded_visits, recordings_of
from desk.tasks import plan_demo_work
from metrics.catalogue import load_catalogue
from metrics.importing.matching import suggest_columns
from metrics.models import CauseGraphVersion, Finding, ImportDraft, Scoring, Standing
from plans.models import FollowUp, Prescription, WorkTick
from sessions.formats import read_layouts
from sessions.formats.c3d import read_c3d
from sessions.models import CaptureSession, Upload
from tests import factories

TODAY = dt.date(2026, 4, 14)


@pytest.fixture
def own_folder(settings, tmp_path):
    """Data of its own, and no broker: everything is loaded here."""
    settings.VAR_DIR = tmp_path
    settings.ORIGINALS_DIR = tmp_path / "originals"
    settings.RECORDINGS_DIR = tmp_path / "recordings"
    settings.CELERY_BROKER_URL = f"redis+socket://{tmp_path / 'nobody.sock'}"
    return tmp_path


def test_every_athlete_has_a_story_in_one_line():
    cast = load_cast()
    assert len(cast.athletes) == 45
    assert len({athlete.full_name for athlete in cast.athletes}) == 45
    assert all(athlete.story.endswith(".") and "\n" not in athlete.story for athlete in cast.athletes)
    assert {athlete.level for athlete in cast.athletes} == {"youth", "high_school", "college", "professional"}


def test_what_is_off_is_a_metric_of_the_catalogue():
    known = set(load_catalogue().metrics)
    assert {off.metric for athlete in load_cast().athletes for off in athlete.off} <= known


def test_the_same_day_gives_the_same_bytes():
    first, second = ([*demo_files(load_cast("tiny").athletes, TODAY)] for _ in range(2))
    csv_files = [file for file in first if file.name.endswith(".csv")]
    assert csv_files
    assert csv_files == [file for file in second if file.name.endswith(".csv")]


def test_no_file_speaks_of_the_future():
    assert all(file.date <= TODAY for file in demo_files(load_cast().athletes, TODAY))


def test_each_header_of_the_rooms_is_matched_to_the_metric_that_was_meant():
    files = {file.room: file for file in demo_files(load_cast("tiny").athletes, TODAY)}
    meant = {header_of(metric): key for key, metric in load_catalogue().metrics.items()}
    for file in files.values():
        for layout in read_layouts(file.data, file.name).layouts:
            suggestions = suggest_columns(layout, load_catalogue())
            found = {each.header: each.metric for each in suggestions if each.role == "metric"}
            assert found
            assert found == {header: meant[header] for header in found}


def test_the_rooms_table_names_throws_and_conditions():
    file = next(file for file in demo_files(load_cast("tiny").athletes, TODAY) if file.room == "North room")
    table = list(csv.reader(io.StringIO(file.data.decode())))
    assert tuple(table[0][: len(WHO)]) == WHO
    assert {row[WHO.index("Effort")] for row in table[2:]} == {"warm-up", "full"}


def test_the_smallest_demo_is_loaded_and_judged(own_folder, db):
    call_command("demo", size="tiny", verbosity=0)
    assert Athlete.objects.count() == 8
    assert not Upload.objects.exclude(state__in=[Upload.State.ACCEPTED, Upload.State.RECEIVED]).exists()
    assert CaptureSession.objects.count() == Scoring.objects.count() > 20
    said = [one for problems in ImportDraft.objects.values_list("problems", flat=True) for one in problems]
    assert {one["severity"] for one in said} <= {"note"}
    recorded = CaptureSession.objects.filter(throws__recording__isnull=False).distinct()
    assert {(capture.throws.count(), capture.setup) for capture in recorded} == {(3, "Marker hall")}
    assert CauseGraphVersion.objects.get().is_published
    early = Standing.objects.get(athlete__family_name="Brandvold")
    assert ["trunk_opening_time", "low"] in [flag[:2] for flag in early.flags]
    assert Finding.objects.filter(zone=Finding.Zone.NOT_SCORED, reason_code="unknown").count() == 0
    # Work that got better and waits for the coach, work without real change that goes on, work that a family reads.
    shown = Prescription.objects.open().filter(athlete__family_name="Lindqvist", is_shown=True)
    assert {one.follow_ups.get(decision="").response.word for one in shown} == {"better", ""}
    assert WorkTick.objects.filter(prescription__in=shown).exists()
    continued = FollowUp.objects.filter(decision=FollowUp.Decision.CONTINUED)
    assert "no real change" in {one.decided_on["word"] for one in continued}


def test_minors_of_the_demo_have_a_consent(db):
    create_people(load_cast("tiny"), TODAY)
    minors = [story for story in load_cast("tiny").athletes if story.age < 18 and story.consent]
    assert Consent.objects.count() == len(minors) > 0


def test_a_filled_database_is_left_alone(own_folder, db, athlete):
    with pytest.raises(CommandError, match="empty database only"):
        call_command("demo", size="tiny", verbosity=0)
    call_command("demo", size="tiny", if_empty=True, verbosity=0)
    assert Athlete.objects.count() == 1


def test_a_real_installation_gets_no_public_passwords(settings, db):
    settings.MODE = "production"
    with pytest.raises(CommandError, match="public passwords"):
        call_command("demo", size="tiny", verbosity=0)


def test_recordings_of_the_demo_are_a_few_megabytes_of_synthesised_throws():
    """Four athletes, all their visits, three throws of about 3 s at 240 frames a second; one visit is made here."""
    athletes, today = load_cast().athletes, TODAY
    visits = recorded_visits(athletes, today)
    assert (len(visits), len({visit.number for visit in visits})) == (24, 4)
    files = list(recordings_of(visits[0], today))
    assert len(files) == 3
    assert 24 * sum(len(file.data) for file in files) < 32_000_000
    recording = read_c3d(files[0].data, files[0].name)
    assert (recording.rate_hz, round(recording.duration_s)) == (240.0, 3)
    assert files[0].data == next(iter(recordings_of(visits[0], today))).data


def test_nobody_comes_of_age_on_the_day_of_the_demo():
    """Whose birthday it is would need a guardian's consent in one time zone and none in another."""
    assert all(abs(athlete.age - 18) > 0.02 for athlete in load_cast().athletes)


@pytest.mark.parametrize(("state", "expected"), [("accepted", 2), ("reading", 1)], ids=["fewer came", "one is read"])
def test_work_of_the_demo_is_planned_once_every_file_is_in(db, monkeypatch, state, expected):
    """It rests on the oldest sessions, and those come last."""
    planned = []
    monkeypatch.setattr("desk.tasks.plan_for_athletes", planned.append)
    upload = factories.UploadFactory(state=state)
    with pytest.raises(Retry):
        plan_demo_work.run(str(TODAY), expected)
    upload.state = "accepted"
    upload.save()
    plan_demo_work.run(str(TODAY), 1)
    assert planned == [TODAY]


@pytest.mark.parametrize(
    ("state", "unfinished"),
    [("reading", True), ("ready", True), ("needs_answer", False), ("accepted", False), ("refused", False)],
)
def test_a_file_that_another_worker_made_ready_is_come_back_to(state, unfinished, db):
    """Otherwise it would wait for a person, and its athletes lack a session."""
    assert is_unfinished(factories.UploadFactory(state=state)) == unfinished
