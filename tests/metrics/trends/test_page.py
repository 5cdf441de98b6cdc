"""The trends page: what each state of an athlete's record makes of it."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse

from athletes.models import Athlete
from metrics.models import Finding
from metrics.selectors.trends.choice import choice_from
from metrics.selectors.trends.page import TrendsPage, trends_page
from tests import factories
from tests.metrics.trends.courses import ELBOW, FLAT, KNEE, SEPARATION, START, WEEK, course, finding_in, session_on

pytestmark = pytest.mark.django_db

FALLING = (104.0, 101.0, 97.0, 92.0, 88.0, 84.0)
WOBBLING = (100.0, 101.0, 99.5, 100.5, 99.0, 100.2)


@pytest.fixture
def reader(facility):
    return factories.UserFactory(role="coach")


def page_of(athlete: Athlete, reader, system: str = "metric", **asked: str) -> TrendsPage:
    return trends_page(athlete, reader, choice_from(asked), system=system)


def html_of(client, athlete: Athlete, asked: str = "") -> str:
    answer = client.get(reverse("metrics:trends", args=[athlete.uuid]) + asked)
    assert answer.status_code == 200
    return answer.content.decode()


# ---- how much there is ------------------------------------------------------------------------------------


def test_without_a_session_the_page_says_what_would_stand_there_and_leads_to_the_upload(client_of, reader, athlete):
    html = html_of(client_of(reader), athlete)
    assert "A chart for every metric will stand here" in html
    assert reverse("sessions:uploads") in html
    assert "Flag history" not in html


def test_one_session_is_drawn_and_nothing_is_said_to_change(reader, athlete):
    course(athlete, [100.0])
    page = page_of(athlete, reader)
    assert page.opened.change_word == "can’t tell yet: 4 more sessions needed"
    assert page.opened.change_why == "One comparable session, 5 January 2026."
    assert page.opened.moved_word == "It takes two comparable sessions to tell."
    assert page.title == "January 2026"
    assert page.history.columns[0].is_latest


def test_two_sessions_on_one_day_both_stand_and_count_as_one_day(reader, athlete):
    first = session_on(athlete, START)
    second = session_on(athlete, START)
    for capture, mean in ((first, 99.0), (second, 101.0)):
        finding_in(capture, mean)
    page = page_of(athlete, reader)
    assert [row.mean for row in page.opened.numbers] == ["101°", "99°"]
    assert page.opened.change_word == "can’t tell yet: 4 more sessions needed"
    assert len(page.history.columns) == 2


def test_a_withdrawn_session_is_gone(reader, athlete):
    sessions = course(athlete, FALLING)
    sessions[2].withdrawn_at = sessions[2].created_at
    sessions[2].save(update_fields=["withdrawn_at"])
    assert len(page_of(athlete, reader).opened.numbers) == len(FALLING) - 1


def test_a_session_whose_throws_are_all_left_out_is_a_column_without_a_mark(reader, athlete):
    course(athlete, FALLING)
    session_on(athlete, START + 10 * WEEK)
    page = page_of(athlete, reader)
    (line,) = page.history.lines
    assert [bool(cell.mark) for cell in line.cells] == [True] * 6 + [False]


def test_a_long_pause_is_said(reader, athlete):
    course(athlete, FALLING[:3])
    course(athlete, FALLING[3:], start=START + dt.timedelta(days=420))
    assert page_of(athlete, reader).opened.notes == ("No session for 13 months before 1 March 2027.",)
    assert "No session" not in " ".join(page_of(athlete, reader, metric=KNEE).opened.notes[1:])


def test_of_many_sessions_the_newest_are_read_and_the_page_says_so(reader, athlete, monkeypatch):
    monkeypatch.setattr("metrics.selectors.trends.page.MOST_SESSIONS", 4)
    monkeypatch.setattr(
        "metrics.selectors.trends.page.read_trends",
        lambda *given, **named: __import__("metrics.selectors.trends.rows", fromlist=["read_trends"]).read_trends(
            *given, **named, most=4
        ),
    )
    course(athlete, FALLING)
    page = page_of(athlete, reader)
    assert page.notices[0] == "The newest 4 of 6 sessions are drawn and judged here; a metric’s CSV has all."
    assert [row.mean for row in page.opened.numbers] == ["84°", "88°", "92°", "97°"]


# ---- four answers, never one ------------------------------------------------------------------------------


def test_a_course_that_falls_out_of_range_is_worse_and_drawn_with_its_line(reader, athlete):
    course(athlete, FALLING)
    opened = page_of(athlete, reader).opened
    assert opened.is_real
    assert opened.change_word == "worse"
    assert opened.change_numbers.startswith("falling −17")
    assert opened.change_interval.startswith("(−")
    assert opened.change_why == "Over 6 sessions since 5 January 2026: more than chance brings."
    assert opened.moved_word == "The athlete moved."
    assert 'class="fit"' in opened.desk


def test_a_wobble_has_no_line_and_is_no_real_change(reader, athlete):
    course(athlete, WOBBLING)
    opened = page_of(athlete, reader).opened
    assert opened.change_word == "no real change"
    assert 'class="fit"' not in opened.desk
    assert opened.moved_word == "Neither moved."


def test_in_range_and_really_changing_are_two_answers(reader, athlete):
    """The latest finding may be in range while it is really getting worse."""
    course(athlete, [109.0, 107.5, 106.0, 104.0, 102.5, 101.0])
    opened = page_of(athlete, reader).opened
    assert opened.row.zone == "in_range"
    assert opened.change_word == "moved inside range"


def test_a_range_that_moved_with_the_level_is_told_apart_from_an_athlete_who_moved(reader, athlete):
    factories.LevelPeriodFactory(athlete=athlete, level="youth", valid_from=START - 50 * WEEK)
    begun = START + 2 * WEEK + dt.timedelta(days=3)
    factories.LevelPeriodFactory(athlete=athlete, level="high_school", valid_from=begun)
    course(athlete, WOBBLING[:3])
    course(
        athlete,
        WOBBLING[3:],
        start=START + 3 * WEEK,
        target_low=96.0,
        target_high=116.0,
        flag_low=91.0,
        flag_high=121.0,
    )
    opened = page_of(athlete, reader).opened
    assert opened.moved_word == "The range moved."
    assert opened.moved_why == "The target rose by 6° on 22 January 2026 with the level."
    assert "high school from 22 January 2026" in opened.desk
    assert opened.change_word == "no real change"


def test_a_new_version_of_the_ranges_is_dated_by_the_first_session_that_it_applied_to(reader, athlete):
    old, new = (factories.RangeProfileVersionFactory() for _ in range(2))
    limits = {"target_low": 80.0, "target_high": 100.0, "flag_low": 75.0, "flag_high": 105.0}
    for place in range(6):
        capture = session_on(athlete, START + place * WEEK)
        capture.scoring.profile_version = old if place < 3 else new
        capture.scoring.save()
        finding_in(capture, WOBBLING[place], **({} if place < 3 else limits))
    opened = page_of(athlete, reader).opened
    assert opened.moved_why == "The target fell by 10° on 26 January 2026 with a new version of the ranges."
    assert f"ranges {new.profile.name}, version 1" in opened.desk


def test_growth_that_moves_the_range_little_by_little_adds_up_to_a_step(reader, athlete):
    sessions = [session_on(athlete, START + place * WEEK) for place in range(6)]
    for place, capture in enumerate(sessions):
        shift = 0.3 * place
        finding_in(
            capture, 100.0, target_low=90 + shift, target_high=110 + shift, flag_low=None, flag_high=None,
            size_basis="height", size_used=170.0 + place,
        )  # fmt: skip
    opened = page_of(athlete, reader).opened
    assert opened.desk.count('class="moved"') == 1
    assert opened.moved_why == "The target rose by 1° on 2 February 2026 with height."


def test_before_the_fifth_session_a_large_difference_is_told_from_measuring_alone(reader, athlete):
    course(athlete, [104.0, 80.0])
    opened = page_of(athlete, reader).opened
    assert opened.change_word == "worse"
    assert opened.change_numbers == "falling −24°"
    assert opened.change_why.startswith("Since 5 January 2026, more than the ± 4")


def test_a_last_session_far_off_is_told_although_the_course_alone_would_not_say_so(reader, athlete):
    """Five sessions in no order, the last 24 below the first: what carries the word is named, and no line is drawn."""
    course(athlete, [104.0, 103.0, 105.0, 106.0, 80.0])
    opened = page_of(athlete, reader).opened
    assert opened.change_word == "worse"
    assert (opened.change_numbers, opened.change_interval) == ("falling −24°", "")
    assert "the last session against the first: more than the ± 4" in opened.change_why
    assert 'class="fit"' not in opened.desk


def test_a_session_unlike_those_before_it_is_named(reader, athlete):
    """Six within a degree, then one 25 lower, then as before: the seventh is far beyond 2.66 moving ranges and 3 u."""
    course(athlete, [*WOBBLING, 75.0, 100.0])
    assert page_of(athlete, reader).opened.notes == (
        "Further off than the sessions before let expect: 16 February 2026.",
    )


@pytest.mark.parametrize(
    ("zones", "words"),
    [
        ((), "Not scored yet."),
        (("flag",), "Low in the one session that was scored."),
        (("in_range",), "Not flagged in the one session that was scored."),
        (("in_range", "flag", "flag"), "Low in two of the last three."),
        (("flag", "flag", "in_range", "in_range", "in_range", "in_range", "in_range"), "Not flagged in the last five."),
    ],
)
def test_the_flag_history_counts_the_last_five_that_were_scored(reader, athlete, zones, words):
    for place, zone in enumerate(zones or ("not_scored",)):
        scored = {"flag": zone == "flag"} if zone != "not_scored" else {"zone": zone, "sure": "", "reason_code": "x"}
        finding_in(session_on(athlete, START + place * WEEK), 78.0, **scored)
    assert page_of(athlete, reader).opened.flag_words == words


def test_without_a_session_to_session_spread_two_sessions_cannot_be_judged(reader, athlete):
    course(athlete, [104.0, 80.0], u_between=None)
    opened = page_of(athlete, reader).opened
    assert opened.change_word == "cannot be judged"
    assert "is not known" in opened.change_why


# ---- what may not be put together -------------------------------------------------------------------------


def test_other_conditions_stand_apart_with_their_reason_and_change_nothing(reader, athlete):
    course(athlete, WOBBLING)
    for place in range(4):
        odd = session_on(athlete, START + place * WEEK + dt.timedelta(days=2))
        odd.scoring.for_orientation = True
        odd.scoring.save()
        finding_in(odd, 60.0 - 8 * place, condition_set=FLAT)
    opened = page_of(athlete, reader).opened
    assert opened.change_word == "no real change"
    assert opened.desk.count('class="pale"') == 1
    assert {row.why_not for row in opened.numbers} == {"", "other conditions: flat ground"}
    assert opened.notes == ("4 findings stand apart, drawn paler: other conditions: flat ground.",)


def test_a_filter_switched_midway_parts_a_metric_that_hangs_on_it_and_no_other(reader, athlete):
    from metrics.catalogue import load_catalogue

    dependent = next(metric for metric in load_catalogue().metrics.values() if metric.filter_dependent)
    for place in range(6):
        known = {"filter_knowledge": "known", "filter_hz": 12.0 if place < 2 else 20.0}
        capture = session_on(athlete, START + place * WEEK, **known)
        finding_in(capture, 100.0 + place, dependent.key)
        finding_in(capture, 100.0 + place, ELBOW)
    reasons = [row.why_not for row in page_of(athlete, reader, metric=dependent.key).opened.numbers]
    assert reasons == ["", "", "", "", "another filter: 12 Hz", "another filter: 12 Hz"]
    assert {row.why_not for row in page_of(athlete, reader, metric=ELBOW).opened.numbers} == {""}


def test_a_moment_that_changed_stands_apart(reader, athlete):
    course(athlete, WOBBLING[:2], moment="fp")
    course(athlete, WOBBLING[2:], start=START + 2 * WEEK)
    reasons = [row.why_not for row in page_of(athlete, reader).opened.numbers]
    assert reasons[-2:] == ["read at another moment: foot plant"] * 2


def test_other_methods_are_listed_and_never_put_together(reader, athlete):
    course(athlete, FALLING)
    filmed = session_on(athlete, START, method="video")
    finding_in(filmed, 50.0)
    page = page_of(athlete, reader)
    assert [(link.label, link.count, link.is_current) for link in page.methods] == [
        ("motion capture", 6, True),
        ("video", 1, False),
    ]
    assert "50°" not in {row.mean for row in page.opened.numbers}
    assert [row.mean for row in page_of(athlete, reader, method="video").opened.numbers] == ["50°"]


# ---- findings without a verdict ---------------------------------------------------------------------------


def test_a_missing_height_leaves_a_short_dash_and_the_reason(reader, athlete):
    course(athlete, [100.0, 101.0])
    capture = session_on(athlete, START + 2 * WEEK)
    finding_in(
        capture, None, u=None, zone=Finding.Zone.NOT_SCORED, sure="", reason_code="body_size_missing",
        reason="The height on that day is not known.", target_low=None, target_high=None, flag_low=None,
        flag_high=None,
    )  # fmt: skip
    opened = page_of(athlete, reader).opened
    assert opened.desk.count('class="k-none"') == 1
    assert opened.numbers[0].mean == ""
    assert opened.numbers[0].row.reason == "The height on that day is not known."
    assert opened.row.mean == 101.0


def test_a_retired_metric_keeps_its_findings_and_opens_no_decision(reader, athlete, client_of):
    course(athlete, FALLING, metric="old_angle_fp")
    page = page_of(athlete, reader)
    assert page.opened.name == "Old angle fp"
    assert "no longer in the catalogue" in page.opened.about
    assert {cell.url for line in page.history.lines for cell in line.cells} == {""}
    assert "old_angle_fp/" not in html_of(client_of(reader), athlete)


# ---- which are shown, and in which order ------------------------------------------------------------------


def test_the_heaviest_is_opened_unless_another_is_asked_for(reader, athlete):
    sessions = course(athlete, WOBBLING, metric=ELBOW)
    for capture in sessions:
        finding_in(capture, -20.0, KNEE, flag=True)
    assert page_of(athlete, reader).opened.key == KNEE
    assert page_of(athlete, reader, metric=ELBOW).opened.key == ELBOW
    page = page_of(athlete, reader, metric="nonsense")
    assert page.opened.key == KNEE
    assert page.notices == (
        "That metric was not measured in these sessions; the one that weighs most is open instead.",
    )


def test_first_look_stands_first_and_all_is_a_tap_away(reader, athlete):
    for capture in course(athlete, WOBBLING, metric=ELBOW):
        finding_in(capture, 30.0, "elbow_flexion_br", weight=9.0)
    short, full = page_of(athlete, reader), page_of(athlete, reader, all="1")
    assert [small.name for group in short.groups for small in group.smalls] == ["Elbow flexion"]
    assert short.all_count == 2
    assert [(group.title, len(group.smalls)) for group in full.groups] == [("First look", 1), ("Everything else", 1)]


def test_small_ones_follow_priority_or_the_delivery(reader, athlete):
    for capture in course(athlete, WOBBLING, metric=SEPARATION, weight=2.0):
        finding_in(capture, -20.0, KNEE, weight=9.0)
        finding_in(capture, 100.0, ELBOW, priority=5.0)

    def names(**asked: str) -> list[str]:
        return [small.name for group in page_of(athlete, reader, **asked).groups for small in group.smalls]

    assert names() == ["Elbow flexion", "Lead knee extension", "Hip-shoulder separation"]
    assert names(order="delivery") == ["Lead knee extension", "Hip-shoulder separation", "Elbow flexion"]


def test_many_metrics_together_say_how_many_chance_would_call_changing(reader, athlete):
    sessions = course(athlete, FALLING, metric=ELBOW)
    for place, capture in enumerate(sessions):
        finding_in(capture, WOBBLING[place], KNEE)
        finding_in(capture, WOBBLING[-place], SEPARATION)
    chance = page_of(athlete, reader).chance
    assert chance.startswith("One of these three metrics that could be tested is called changing; by chance about 0.2")
    assert chance.endswith("Looked at all together, it stands (false discovery rate 10%).")


def test_a_cue_stands_where_it_was_first_used(reader, athlete):
    course(athlete, FALLING)
    for days in (10, 24):
        when = dt.datetime.combine(START + dt.timedelta(days=days), dt.time(12), tzinfo=dt.UTC)
        factories.NoteFactory(athlete=athlete, text="Land  later", is_cue=True, written_at=when)
    factories.NoteFactory(athlete=athlete, text="No cue", is_cue=False)
    opened = page_of(athlete, reader).opened
    assert [(cue.text, cue.first_used) for cue in opened.cues] == [("Land  later", START + dt.timedelta(days=10))]
    assert opened.desk.count('class="cue"') == 1


# ---- units ------------------------------------------------------------------------------------------------


def test_ball_speed_is_shown_in_the_readers_unit(reader, athlete):
    course(athlete, [36.0, 36.5], metric="ball_speed", unit="m/s", kind="outcome", target_low=None, u=0.1)
    assert page_of(athlete, reader, system="us").opened.numbers[0].mean == "81.6 mph"
    assert page_of(athlete, reader, system="metric").opened.numbers[0].mean == "131.4 km/h"
