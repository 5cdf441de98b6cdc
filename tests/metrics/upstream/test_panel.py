"""Where to start, as the session page says it: the start, its evidence, what is open, what to measure next."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse

from metrics.models import Finding
from metrics.selectors.derived_screens import derived_screens
from metrics.services.starting_points import answer_starting_point
from metrics.templatetags.starting_point import likelihood
from metrics.tracing import Node
from tests.factories import DAY, BodySizeFactory
from tests.metrics.upstream.scenes import finding_of, found, page_of, panel_of, publish_links

pytestmark = pytest.mark.django_db

STRIDE, ARM, LAT = "stride_length", "shoulder_external_rotation_fp", "latissimus_length_throwing"
TRUNK, HIP = "trunk_opening_time", "hip_ir_front"
LINKS = (
    (f"{STRIDE} low", f"{ARM} low", "moderate"),
    (f"{LAT} low", f"{ARM} low", "moderate"),
    (f"{STRIDE} low", f"{TRUNK} low", "moderate"),
    (f"{HIP} low", f"{TRUNK} low", "strong"),
    (f"{TRUNK} low", "elbow_flexion_fp low", "strong"),
)


@pytest.fixture(autouse=True)
def links(facility):
    publish_links(*LINKS)


def names(named) -> list[str]:
    return [one.node for one in named]


def test_nothing_flagged_leaves_the_panel_out(athlete):
    assert panel_of(found(athlete, {STRIDE: "fine", ARM: "fine"})) is None


def test_a_hands_on_session_has_none(athlete):
    assert panel_of(found(athlete, {LAT: "low"}, method="hands_on")) is None


def test_a_late_arm_with_a_short_stride_starts_at_the_stride(athlete):
    panel = panel_of(found(athlete, {STRIDE: "low", ARM: "low", LAT: "fine"}))
    assert panel.start.node == f"{STRIDE}:low"
    assert names([one.flag for one in panel.clears]) == [f"{STRIDE}:low", f"{ARM}:low"]
    assert panel.sentence == "It explains the other flag."


def test_what_clears_is_what_the_page_on_tracing_computes_by_hand(athlete):
    """docs/tracing.md, the example: 90% of its own, 0.45 / 0.55 of the late arm and of the early trunk."""
    panel = panel_of(found(athlete, {STRIDE: "low", ARM: "low", TRUNK: "low", HIP: "fine"}, method="motion_capture"))
    assert [round(one.share, 3) for one in panel.clears] == [0.9, 0.818, 0.818]


def test_a_flag_reached_through_another_names_what_is_between(athlete):
    panel = panel_of(found(athlete, {STRIDE: "low", TRUNK: "low", "elbow_flexion_fp": "low"}))
    elbow = next(one for one in panel.clears if one.flag.node.startswith("elbow"))
    assert elbow.through == "through trunk opening"


def test_what_should_follow_and_does_not_is_said(athlete):
    panel = panel_of(found(athlete, {STRIDE: "low", ARM: "low", TRUNK: "fine"}))
    assert names(panel.absent) == [f"{TRUNK}:low"]


def test_what_could_be_off_either_way_and_is_off_in_neither_stands_once(athlete):
    publish_links((f"{STRIDE} low", f"{TRUNK} low", "weak"), (f"{STRIDE} low", f"{TRUNK} high", "weak"), number=2)
    panel = panel_of(found(athlete, {STRIDE: "low", TRUNK: "fine"}))
    assert [sorted(one.expected.split(" or ")) for one in panel.absent] == [["early", "late"]]


def test_an_effect_that_is_off_the_other_way_speaks_against_the_start(athlete):
    panel = panel_of(found(athlete, {STRIDE: "low", ARM: "low", TRUNK: "high"}))
    assert names(panel.contradicts) == [f"{TRUNK}:low"]


def test_flags_that_nothing_explains_stay_unexplained(athlete):
    panel = panel_of(found(athlete, {STRIDE: "low", ARM: "low", "trunk_forward_tilt_br": "low"}))
    assert names(panel.unexplained) == ["trunk_forward_tilt_br:low"]


def test_with_nothing_upstream_measured_the_start_is_not_known_and_the_screens_stand_under_check_next(athlete):
    panel = panel_of(found(athlete, {ARM: "low"}))
    assert panel.is_unknown
    assert f"{LAT}:low" in names([check.what for check in panel.checks])


def test_check_next_opens_the_form_at_that_screen_and_says_of_a_movement_that_it_takes_a_capture(athlete):
    panel = panel_of(found(athlete, {ARM: "low"}))
    by_node = {check.what.node: check for check in panel.checks}
    assert by_node[f"{LAT}:low"].url == reverse("metrics:screens", args=[athlete.uuid]) + f"?screen={LAT}"
    assert (by_node[f"{STRIDE}:low"].url, by_node[f"{STRIDE}:low"].how) == ("", "needs a capture")


def test_a_screen_that_comes_later_changes_the_start(athlete):
    capture = found(athlete, {ARM: "low", STRIDE: "fine"})
    assert panel_of(capture).is_unknown
    found(athlete, {LAT: "low"}, method="hands_on", days_ago=-2)
    panel = panel_of(capture)
    assert (panel.start.node, panel.is_unknown) == (f"{LAT}:low", False)
    assert panel.start.when == "16 Apr 2026, hands-on"


def test_after_one_session_it_is_provisional_and_after_a_confirmed_flag_in_a_second_it_is_not(athlete):
    assert panel_of(found(athlete, {STRIDE: "low"}, days_ago=30)).is_provisional
    capture = found(athlete, {STRIDE: "low"})
    Finding.objects.filter(session=capture).update(confirmation="confirmed")
    assert not panel_of(capture).is_provisional
    Finding.objects.filter(session=capture).update(confirmation="to_confirm")
    assert panel_of(capture).is_provisional


def test_the_reader_without_the_right_to_change_is_offered_nothing_to_press(athlete):
    panel = panel_of(found(athlete, {STRIDE: "low"}), may_change=False)
    assert panel.options == ()


# ---- what a coach said ---------------------------------------------------------------------------------------


def test_what_was_put_aside_makes_way_for_the_next(athlete, coach):
    capture = found(athlete, {STRIDE: "low", ARM: "low", TRUNK: "low"})
    answer_starting_point(session=capture, kind="rejected", node=Node(STRIDE, "low"), by=coach, reason="He is small.")
    panel = panel_of(capture)
    assert panel.start is None or panel.start.node != f"{STRIDE}:low"
    assert [(one.reason, bool(one.url)) for one in panel.answers] == [("He is small.", True)]


def test_what_a_coach_put_first_stands_first_with_what_it_would_clear(athlete, coach):
    capture = found(athlete, {STRIDE: "low", ARM: "low", TRUNK: "low"})
    answer_starting_point(session=capture, kind="own", node=Node(TRUNK, "low"), by=coach)
    panel = panel_of(capture)
    assert (panel.start.node, panel.is_taken) == (f"{TRUNK}:low", True)
    assert names([one.flag for one in panel.clears]) == [f"{TRUNK}:low"]


def test_the_next_session_shows_what_was_said(athlete, coach):
    before = found(athlete, {STRIDE: "low", ARM: "low"}, days_ago=30)
    answer_starting_point(session=before, kind="rejected", node=Node(STRIDE, "low"), by=coach, reason="New shoes.")
    panel = panel_of(found(athlete, {STRIDE: "low", ARM: "low"}))
    assert panel.start.node == f"{STRIDE}:low"
    assert [(one.reason, one.url) for one in panel.earlier] == [("New shoes.", "")]
    assert panel.answers == ()


def test_an_earlier_session_does_not_show_what_was_said_later(athlete, coach):
    before = found(athlete, {STRIDE: "low"}, days_ago=30)
    answer_starting_point(session=found(athlete, {STRIDE: "low"}), kind="accepted", node=Node(STRIDE, "low"), by=coach)
    assert panel_of(before).earlier == ()


# ---- the page ------------------------------------------------------------------------------------------------


def test_the_page_costs_as_many_queries_with_many_sessions_as_with_one(athlete, django_assert_max_num_queries):
    capture = found(athlete, {STRIDE: "low", ARM: "low"})
    page_of(capture)
    with django_assert_max_num_queries(40) as alone:
        page_of(capture)
    for days_ago in range(1, 30):
        found(athlete, {STRIDE: "low", ARM: "low"}, days_ago=days_ago)
        found(athlete, {LAT: "low"}, method="hands_on", days_ago=days_ago)
    with django_assert_max_num_queries(40) as many:
        page_of(capture)
    assert len(many) == len(alone)


def test_a_finding_that_is_gone_from_the_catalogue_is_passed_over(athlete):
    capture = found(athlete, {STRIDE: "low"})
    row = finding_of(capture, STRIDE)
    row.pk, row.metric = None, "retired_metric"
    row.save()
    assert panel_of(capture).start.node == f"{STRIDE}:low"


@pytest.mark.parametrize(
    ("share", "words"), [(1.0, "likely"), (0.75, "likely"), (0.74, "even odds"), (0.45, "even odds"), (0.0, "perhaps")]
)
def test_what_should_clear_is_said_in_words_not_in_percent(share, words):
    assert likelihood(share) == words


def test_screens_lead_back_to_the_thrown_session_that_they_speak_of(athlete):
    found(athlete, {ARM: "low"}, days_ago=100)
    thrown = found(athlete, {ARM: "low"}, days_ago=5)
    page = page_of(found(athlete, {LAT: "low"}, method="hands_on"))
    assert page.evidence_for.url == reverse("metrics:session", args=[thrown.uuid])
    assert page_of(thrown).evidence_for is None
    assert page_of(found(athlete, {LAT: "low"}, method="hands_on", days_ago=-90)).evidence_for is None


def test_a_fact_of_the_person_that_is_out_of_range_is_no_flag_to_explain(athlete):
    """Two heights that grow 12 cm a year: it can explain, and is not listed as unexplained."""
    BodySizeFactory(athlete=athlete, date=DAY - dt.timedelta(days=180), height_cm=189.0)
    BodySizeFactory(athlete=athlete, date=DAY, height_cm=195.0)
    capture = found(athlete, {STRIDE: "fine"})
    assert any(one.metric == "height_velocity" and one.zone == "flag" for one in derived_screens(athlete, DAY))
    assert panel_of(capture) is None
    also = panel_of(found(athlete, {STRIDE: "low"}))
    assert "height_velocity:high" not in names(also.unexplained)


def test_a_flagged_load_is_named_though_it_stands_apart(athlete):
    page = page_of(found(athlete, {STRIDE: "fine", "elbow_varus_torque_norm": "high"}))
    assert "Among loads and speeds, maximum elbow varus torque" in page.sentence
    assert page.sentence.endswith("is flagged.")


def test_what_was_measured_and_stayed_open_is_to_be_measured_again(athlete):
    publish_links((f"{STRIDE} low", f"{ARM} low", "strong"), number=2)
    panel = panel_of(found(athlete, {STRIDE: "perhaps low", ARM: "low"}))
    assert [(check.what.node, check.how) for check in panel.checks] == [(f"{STRIDE}:low", "measure again")]
