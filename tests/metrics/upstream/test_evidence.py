"""Evidence of a session's trace: which of an athlete's findings speak, and with what."""

from __future__ import annotations

import datetime as dt

import pytest
from scipy import stats

from metrics.catalogue import load_catalogue
from metrics.selectors.evidence import WINDOW, evidence_of, pieces_of
from metrics.tracing import Node
from metrics.tracing.evidence import State
from tests.metrics.upstream.scenes import finding_of, found

pytestmark = pytest.mark.django_db

STRIDE, ARM, LAT = "stride_length", "shoulder_external_rotation_fp", "latissimus_length_throwing"
ASKED = (STRIDE, ARM, LAT, "ball_speed", "elbow_varus_torque_norm")


def pieces(capture):
    return pieces_of(capture, capture.findings.all(), (), ASKED, load_catalogue())


def evidence(capture, key: str, direction: str, judged=ASKED):
    nodes = [Node(one, side) for one in ASKED for side in ("low", "high")]
    return evidence_of(pieces(capture), nodes, load_catalogue(), judged)[Node(key, direction)]


def test_the_sessions_own_finding_comes_before_a_nearer_one_of_another_method(athlete):
    capture = found(athlete, {STRIDE: "low"})
    found(athlete, {STRIDE: "fine"}, method="video")
    assert pieces(capture)[STRIDE].is_flag


def test_what_the_session_lacks_comes_from_the_nearest_comparable_session(athlete):
    capture = found(athlete, {ARM: "low"})
    found(athlete, {STRIDE: "fine"}, method="video", days_ago=1)
    found(athlete, {STRIDE: "low"}, days_ago=30)
    found(athlete, {STRIDE: "fine"}, days_ago=40)
    piece = pieces(capture)[STRIDE]
    assert (piece.is_flag, piece.method, piece.date) == (True, "motion_capture", capture.date - dt.timedelta(days=30))


@pytest.mark.parametrize(("days_ago", "speaks"), [(60, True), (61, False), (-60, True), (-61, False)])
def test_screens_speak_within_sixty_days_on_either_side(athlete, days_ago, speaks):
    assert WINDOW.days == 60
    capture = found(athlete, {ARM: "low"})
    found(athlete, {LAT: "low"}, method="hands_on", days_ago=days_ago)
    assert (LAT in pieces(capture)) is speaks


def test_later_throws_have_a_page_of_their_own(athlete):
    capture = found(athlete, {ARM: "low"})
    found(athlete, {STRIDE: "low"}, days_ago=-3)
    assert STRIDE not in pieces(capture)


def test_of_two_screenings_the_nearer_speaks_and_of_two_as_near_the_later(athlete):
    capture = found(athlete, {ARM: "low"})
    found(athlete, {LAT: "fine"}, method="hands_on", days_ago=5)
    found(athlete, {LAT: "low"}, method="hands_on", days_ago=-5)
    found(athlete, {LAT: "fine"}, method="hands_on", days_ago=20)
    assert pieces(capture)[LAT].is_flag


def test_withdrawn_sessions_and_other_athletes_say_nothing(athlete, other_athlete):
    capture = found(athlete, {ARM: "low"})
    gone = found(athlete, {LAT: "low"}, method="hands_on")
    gone.withdrawn_at = dt.datetime(2026, 4, 14, tzinfo=dt.UTC)
    gone.save()
    found(other_athlete, {STRIDE: "low"})
    assert set(pieces(capture)) == {ARM}


def test_the_chances_of_the_far_side_are_computed_from_mean_uncertainty_and_limits(athlete):
    """X is the mean + u·t: the chance beyond the high flag limit of a mean below the target (JCGM 106:2012)."""
    capture = found(athlete, {STRIDE: "perhaps low"})
    piece = pieces(capture)[STRIDE]
    assert piece.p_out["high"] == pytest.approx(stats.norm.sf((60 - 29) / 2), abs=1e-12)
    assert piece.p_flag["low"] == pytest.approx(stats.norm.cdf((30 - 29) / 2))


@pytest.mark.parametrize(
    ("said", "direction", "state"),
    [
        ("low", "low", State.FLAGGED),
        ("low", "high", State.CONTRADICTED),
        ("high", "low", State.CONTRADICTED),
        ("fine", "low", State.CONTRADICTED),
        ("perhaps low", "low", State.OPEN),
        ("perhaps low", "high", State.CONTRADICTED),
        ("a little low", "low", State.OPEN),
    ],
)
def test_a_finding_speaks_for_its_own_direction_and_against_the_other(athlete, said, direction, state):
    assert evidence(found(athlete, {STRIDE: said}), STRIDE, direction).state is state


def test_a_likely_watch_costs_its_chance_of_being_a_flag(athlete):
    one = evidence(found(athlete, {STRIDE: "perhaps low"}), STRIDE, "low")
    assert one.chance == pytest.approx(stats.norm.cdf(0.5))


def test_a_flag_of_which_it_cannot_be_told_is_no_flag(athlete):
    capture = found(athlete, {STRIDE: "low"})
    row = finding_of(capture, STRIDE)
    row.sure, row.other_zone = "cant_tell", "watch"
    row.save()
    assert evidence(capture, STRIDE, "low").state is State.OPEN


def test_what_was_not_measured_keeps_its_kind(athlete):
    capture = found(athlete, {ARM: "low"})
    assert evidence(capture, LAT, "low").kind == "screen"
    assert evidence(capture, "ball_speed", "high").kind == "context"
    assert evidence(capture, "elbow_varus_torque_norm", "high").kind == "outcome"
    assert evidence(capture, LAT, "low").state is State.UNMEASURED


def test_a_screen_that_no_range_judges_is_nothing_to_measure_next(athlete):
    capture = found(athlete, {ARM: "low"})
    assert evidence(capture, LAT, "low", judged=()).kind == "context"


def test_only_the_member_of_a_family_that_counts_has_weight(athlete):
    capture = found(athlete, {STRIDE: "low"})
    row = finding_of(capture, STRIDE)
    row.is_family_head = False
    row.save()
    assert evidence(capture, STRIDE, "low").weight == 0.0


def test_each_piece_carries_its_date_and_method(athlete):
    capture = found(athlete, {ARM: "low"})
    found(athlete, {LAT: "low"}, method="hands_on", days_ago=3)
    one = evidence(capture, LAT, "low")
    assert (one.date, one.method) == ("2026-04-11", "hands_on")


def test_others_findings_are_one_query(athlete, django_assert_num_queries):
    capture = found(athlete, {ARM: "low"})
    for days_ago in range(1, 20):
        found(athlete, {STRIDE: "low", LAT: "low"}, method="video", days_ago=days_ago)
    findings = list(capture.findings.all())
    with django_assert_num_queries(1):
        pieces_of(capture, findings, (), ASKED, load_catalogue())
