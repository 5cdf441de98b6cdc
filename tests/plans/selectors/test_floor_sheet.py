"""What the floor sheet says of an athlete, read from what was measured, given, said and thrown."""

from __future__ import annotations

import datetime as dt

import pytest

from plans.selectors.floor_sheet import floor_sheet
from tests import factories
from tests.factories import DAY
from tests.factories.plans import PrescriptionFactory, ThrowCountFactory
from tests.metrics.upstream.scenes import found, publish_links
from tests.plans.conftest import METRIC, WEEK

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]

STRIDE, ARM = "stride_length", "shoulder_external_rotation_fp"


@pytest.fixture
def sheet(athlete, coach, facility):
    """`sheet()`: as the coach prints it on the ordinary day."""

    def read(reader=coach, system="us", on=DAY):
        person = type(athlete).objects.with_facts().get(pk=athlete.pk)
        return floor_sheet(person, reader, facility, on, system)

    return read


def test_of_a_newcomer_it_says_what_is_not_known(sheet, athlete):
    read = sheet()
    assert read.name == athlete.name
    assert read.points == ()
    assert read.points_note == "Nothing was thrown and measured yet."
    assert read.state == "Availability: not recorded"
    assert (read.cues, read.works, read.changes, read.throwing) == ((), (), (), ())


def test_who_stands_there_in_the_units_of_the_reader(sheet, athlete):
    athlete.body_sizes.all().delete()
    factories.BodySizeFactory(athlete=athlete, date=DAY, height_cm=180, mass_kg=80)
    assert sheet().facts[:4] == ("16 y 2 m", "throws right", "5′11″", "176 lb")
    assert sheet(system="metric").facts[2:4] == ("180 cm", "80 kg")


def test_pain_stands_at_the_top_before_any_availability(sheet, athlete):
    factories.AvailabilityFactory(athlete=athlete, valid_from=DAY, state="limited", limits="60 throws")
    assert sheet().state == "Availability: limited: 60 throws"
    factories.PainReportFactory(athlete=athlete, where="elbow")
    read = sheet()
    assert read.state == "Pain: elbow."
    assert "A clinician’s clearance is needed before the next throw." in read.state_note


def test_the_starting_point_comes_first_and_the_heaviest_flags_follow(sheet, athlete):
    publish_links((f"{STRIDE} low", f"{ARM} low", "moderate"))
    found(athlete, {STRIDE: "low", ARM: "low"})
    read = sheet()
    assert [one.kind.split(",")[0] for one in read.points] == ["start here", "flag"]
    assert [one.name.split(",")[0].split(":")[0] for one in read.points] == [
        "Stride length",
        "Shoulder external rotation",
    ]
    assert read.points[0].measured.endswith("motion capture")
    assert read.points_note == ""


def test_three_points_at_most_with_value_range_and_date(sheet, athlete, measure):
    session = measure(athlete, DAY - WEEK, 78, flag=True)
    for number, metric in enumerate(("lead_knee_extension", "stride_length", "hip_shoulder_separation_max")):
        values = {"is_family_head": True, "priority": 2.0 - number / 10}
        factories.FindingFactory(session=session, metric=metric, mean=40.0, flag=True, **values)
    read = sheet()
    assert len(read.points) == 3
    row = session.findings.get(metric=METRIC)
    point = next(one for one in read.points if one.value == "78°")
    assert point.target == f"{row.target_low:.0f} to {row.target_high:.0f}"
    assert point.measured == "7 Apr 2026, motion capture"


def test_a_later_session_gives_the_last_value(sheet, athlete, measure):
    """A flag is the last thrown session's; its value is too."""
    measure(athlete, DAY - 3 * WEEK, 70, flag=True)
    measure(athlete, DAY - WEEK, 77, flag=True)
    assert [one.value for one in sheet().points] == ["77°"]


def test_nothing_flagged_is_said(sheet, athlete, measure):
    measure(athlete, DAY - WEEK, 95)
    assert sheet().points_note == "Nothing is flagged in the last session."


def test_cues_in_use_are_the_latest_and_each_stands_once(sheet, athlete, coach, clinician):
    for number in range(7):
        when = factories.NOON - dt.timedelta(days=20 - number)
        factories.NoteFactory(athlete=athlete, text=f"Cue {number}", is_cue=True, written_at=when)
    factories.NoteFactory(athlete=athlete, text="Cue  6", is_cue=True)
    factories.NoteFactory(athlete=athlete, text="Tired today", is_cue=False)
    assert sheet().cues == ("Cue 6", "Cue 5", "Cue 4", "Cue 3", "Cue 2")


def test_a_clinician_reads_only_the_cues_that_are_for_the_family_too(sheet, athlete, clinician):
    factories.ReferralFactory(clinician=clinician, athlete=athlete)
    factories.NoteFactory(athlete=athlete, text="Staff words", is_cue=True)
    factories.NoteFactory(athlete=athlete, text="Family words", is_cue=True, for_family=True)
    assert sheet(reader=clinician).cues == ("Family words",)


def test_all_open_work_stands_there_and_pain_holds_it(sheet, athlete):
    thrown = PrescriptionFactory(
        athlete=athlete, version__intervention__key="pause_at_landing_throws", is_shown=False, note="Slowly."
    )
    (work,) = sheet().works
    assert (work.name, work.note, work.held) == (thrown.version.name, "Slowly.", "")
    assert any(text.startswith("Stop when") for text in work.cautions)
    factories.PainReportFactory(athlete=athlete)
    assert sheet().works[0].held.startswith("Held: pain stops throws")


def test_then_is_what_raised_it_and_now_the_last_comparable_value(sheet, athlete, flagged, measure):
    PrescriptionFactory(
        athlete=athlete, start=DAY - WEEK, reason={"metric": METRIC, "direction": "low", "session": flagged}
    )
    (change,) = sheet().changes
    assert (change.then, change.then_on, change.now) == ("78°", "31 Mar 2026", "")
    measure(athlete, DAY - dt.timedelta(days=3), 84)
    measure(athlete, DAY - dt.timedelta(days=1), 99, method="video")
    (change,) = sheet().changes
    assert (change.then, change.now, change.now_on) == ("78°", "84°", "11 Apr 2026")


def test_throwing_load_stands_there_where_a_day_is_known_and_says_what_wins(sheet, athlete, facility):
    ThrowCountFactory(athlete=athlete, date=DAY - dt.timedelta(days=1), pitches=40, is_game=True)
    first, *others = sheet().throwing
    assert first.startswith("40 pitches yesterday") or first.startswith("40 pitches on")
    assert "Rules of the league or team win over this guideline." in others
    facility.local_pitch_rules = "No pitching on Sundays."
    facility.save()
    assert any("“No pitching on Sundays”. They win" in one for one in sheet().throwing)
