"""The delivery line of a session: which points stand where, which arcs they get, and the table that says the same."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
from django.template.loader import render_to_string

from metrics.catalogue import load_catalogue
from metrics.drawing.delivery_line import Event, Point
from metrics.drawing.marks import Verdict
from metrics.models import MotionReport
from metrics.selectors.delivery_arcs import PossibleCauseView, arc_state
from metrics.selectors.delivery_line import ScreenPoint, delivery_line, on_the_line
from metrics.selectors.delivery_moments import Moments, events_of_session
from metrics.selectors.delivery_table import share_words
from metrics.selectors.session_lines import lines_of
from metrics.selectors.session_rows import RELATED, read_session
from metrics.services.scoring import rescore
from metrics.tracing import Node
from sessions.models import CaptureSession
from tests import factories
from tests.metrics.drawing.svg import of_class, parse
from tests.metrics.test_session_page import captured

pytestmark = pytest.mark.django_db

ELBOW, KNEE, TRUNK, STRIDE = "elbow_flexion_fp", "lead_knee_extension", "trunk_opening_time", "stride_length"
HIP = "hip_ir_front"
KNEE_LOW, TRUNK_LOW, STRIDE_LOW, HIP_LOW = (Node(key, "low") for key in (KNEE, TRUNK, STRIDE, HIP))
VALUES = {ELBOW: 92.0, KNEE: -25.0, TRUNK: -60.0, STRIDE: 84.0}
EVENTS_MS = {"pkh": -900.0, "fc": 0.0, "fp": 30.0, "mer": 120.0, "br": 150.0, "mir": 180.0}


@pytest.fixture
def capture(db, facility, athlete):
    factories.starting_profiles()
    return captured(athlete, VALUES)


def rows_of(capture):
    return read_session(CaptureSession.objects.select_related("athlete", *RELATED).get(pk=capture.pk))


def view_of(capture, **options):
    rows = rows_of(capture)
    return delivery_line(rows, lines_of(rows), **({"causes": {}} | options))


def cause(node: Node, flag: Node, state: str = "unmeasured", share: float = 0.5, *by: Node, is_used: bool = False):
    return PossibleCauseView(node, state, share, (node, *by, flag), is_used)


CAUSES = {
    KNEE_LOW: (
        cause(TRUNK_LOW, KNEE_LOW, "flagged", 0.8, is_used=True),
        cause(STRIDE_LOW, KNEE_LOW, "contradicted", 0.4, TRUNK_LOW),
        cause(HIP_LOW, KNEE_LOW, "unmeasured", 0.16, TRUNK_LOW),
    )
}


def keys(svg: str) -> set[str]:
    return {each.get("data-key") for each in of_class(svg, "pt")}


def arcs(svg: str, flag: str) -> list[str]:
    (group,) = (each for each in parse(svg).iter() if each.get("data-arcs") == flag)
    return sorted(each.get("class") for each in group)


def test_the_session_is_as_the_tests_need_it(capture):
    flags = {(line.key, line.side) for line in lines_of(rows_of(capture)) if line.is_flag}
    assert {(KNEE, "low"), (TRUNK, "low")} <= flags


# ---- points ---------------------------------------------------------------------------------------------


def test_flags_first_look_and_causes_stand_on_the_line(capture):
    view = view_of(capture, causes=CAUSES)
    assert {ELBOW, KNEE, TRUNK, STRIDE, HIP} <= keys(view.wide)


def test_screen_that_nobody_measured_stands_there_when_it_is_a_possible_cause(capture):
    assert HIP not in keys(view_of(capture).wide)
    wide = view_of(capture, causes=CAUSES).wide
    assert "not measured" in wide
    assert len(of_class(wide, "scr")) == 1


def test_measured_screen_stands_with_its_own_value(capture):
    screen = ScreenPoint(HIP, "Hip, inward", "31°", Verdict("in_range"), dt.date(2026, 4, 10))
    wide = view_of(capture, causes=CAUSES, screens=[screen]).wide
    assert "Hip, inward 31°" in wide
    assert "not measured" not in wide


def test_unmeasured_metric_that_may_be_a_cause_stands_at_its_moment(capture):
    early = Node("pelvis_rotation_fp", "high")
    wide = view_of(capture, causes={KNEE_LOW: (cause(early, KNEE_LOW),)}).wide
    (point,) = (each for each in of_class(wide, "pt") if each.get("data-key") == "pelvis_rotation_fp")
    assert point.find(".//*[@class='k-none']") is not None


def test_family_has_one_line_its_weightiest(capture):
    """Of what is no flag, no watch, no first look and no cause."""
    catalogue, lines = load_catalogue(), lines_of(rows_of(capture))
    plain = next(line for line in lines if line.mean is not None)
    family = ("trunk_rotation_fp", "trunk_rotation_mer", "trunk_rotation_br")
    turned = [
        replace(plain, key=key, group="in_range", is_first_look=False, weight=weight)
        for key, weight in zip(family, (2.0, 5.0, 3.0), strict=True)
    ]
    assert [line.key for line in on_the_line(turned, catalogue)] == ["trunk_rotation_mer"]
    assert [line.key for line in on_the_line(turned, catalogue, ["trunk_rotation_br"])] == ["trunk_rotation_br"]
    flagged = replace(turned[0], group="flag")
    assert [line.key for line in on_the_line([flagged, *turned[1:]], catalogue)] == ["trunk_rotation_fp"]


def test_all_shows_what_the_family_hid(capture):
    more = captured(capture.athlete, {**VALUES, "lead_knee_flexion_fp": 45.0, "trunk_rotation_fp": 100.0}, days_ago=20)
    few, every = view_of(more), view_of(more, show_all=True)
    assert keys(few.wide) <= keys(every.wide)
    assert every.shown == every.all_count


def test_loads_and_speeds_stand_on_the_line_with_the_rest(capture):
    loaded = captured(capture.athlete, {**VALUES, "elbow_varus_torque_norm": 9.5}, days_ago=40)
    load = next(row for row in rows_of(loaded).findings if row.metric == "elbow_varus_torque_norm")
    view = view_of(loaded)
    assert load.zone == "flag"
    assert "elbow_varus_torque_norm" in [row.line.key for row in view.flags]
    assert "elbow_varus_torque_norm" in keys(view.wide)


def test_value_is_in_the_readers_units(capture, athlete):
    with_offset = captured(athlete, {**VALUES, "stride_offset": 10.0}, days_ago=10)
    rows = rows_of(with_offset)
    us, metric = (delivery_line(rows, lines_of(rows), causes={}, system=system).wide for system in ("us", "metric"))
    assert " in<" in us
    assert " cm<" in metric


def test_hands_on_session_has_no_line(facility, athlete):
    capture = factories.CaptureSessionFactory(athlete=athlete, method="hands_on")
    rescore(capture)
    assert view_of(capture) is None


def test_session_without_findings_has_no_line(facility, athlete):
    assert view_of(factories.CaptureSessionFactory(athlete=athlete)) is None


# ---- moments --------------------------------------------------------------------------------------------


def moments(**means: float) -> Moments:
    return Moments(load_catalogue(), EVENTS_MS, means)


@pytest.mark.parametrize(
    ("metric", "means", "place"),
    [
        ("elbow_flexion_fp", {}, (30.0, None)),
        ("elbow_flexion_br", {}, (150.0, None)),
        ("trunk_opening_time", {"trunk_opening_time": -12.0}, (-12.0, None)),
        ("trunk_velocity_max_time", {"trunk_velocity_max_time": 50.0}, (75.0, None)),
        ("trunk_velocity_max", {"trunk_velocity_max_time": 60.0}, (90.0, None)),
        ("trunk_velocity_max", {}, (90.0, None)),
        ("lead_knee_extension", {}, (150.0, (30.0, 150.0))),
        ("stride_time", {}, (30.0, (-900.0, 30.0))),
        (
            "pelvis_trunk_lag",
            {"pelvis_velocity_max_time": 20.0, "trunk_velocity_max_time": 40.0},
            (45.0, (30.0, 60.0)),
        ),
        ("sequence_inversions", {}, (150.0, None)),
    ],
)
def test_metric_stands_at_its_moment(metric, means, place):
    at_ms, span_ms = moments(**means).place(load_catalogue().metric(metric))
    assert (at_ms, span_ms) == (pytest.approx(place[0]), place[1])


def test_every_metric_of_the_catalogue_has_a_place():
    for metric in load_catalogue().metrics.values():
        if not metric.is_screen:
            at_ms, span_ms = moments().place(metric)
            assert -900.0 <= at_ms <= 180.0
            assert span_ms is None or span_ms[0] <= span_ms[1]


def test_events_are_untold_without_a_recording(capture):
    assert {event.time_ms for event in events_of_session(rows_of(capture))} == {None}
    assert "typical spacing" in view_of(capture).wide


def test_events_are_the_middle_of_the_throws_that_count(capture):
    throws = list(capture.throws.order_by("number"))
    for throw, release in zip(throws[:3], (1.140, 1.150, 1.190), strict=True):
        events = {"fc": 1.0, "br": release}
        MotionReport.objects.create(throw=throw, events=events, automatic=events, measured_for={}, algorithm="test")
    told = {event.key: event.time_ms for event in events_of_session(rows_of(capture))}
    assert told == {"pkh": None, "fc": 0.0, "fp": None, "mer": None, "br": 150.0, "mir": None}
    assert "contact to release 150 ms" in view_of(capture).wide


# ---- arcs -----------------------------------------------------------------------------------------------


def test_arcs_follow_the_ways_link_by_link(capture):
    """Knee from trunk, trunk from stride, trunk from hip: three links, though the trunk is on every way."""
    view = view_of(capture, causes=CAUSES)
    assert arcs(view.wide, KNEE) == ["arc dash", "arc solid used", "arc thin"]


def test_flag_of_highest_priority_that_has_a_cause_is_selected(capture):
    assert view_of(capture, causes=CAUSES).selected == KNEE
    assert view_of(capture, causes=CAUSES, selected=TRUNK_LOW).selected == TRUNK


def test_causes_of_what_is_no_flag_are_left_out(capture):
    stranger = Node(STRIDE, "low")
    view = view_of(capture, causes={stranger: (cause(HIP_LOW, stranger),)})
    assert HIP not in keys(view.wide)
    assert not view.has_arcs


@pytest.mark.parametrize(
    ("state", "verdict", "drawn"),
    [
        ("flagged", Verdict("flag", "low"), "out"),
        ("open", Verdict("watch", "low"), "out"),
        ("open", Verdict("watch", "high"), "in_range"),
        ("open", Verdict("in_range", "", "cant_tell"), "in_range"),
        ("contradicted", Verdict("in_range"), "in_range"),
        ("contradicted", Verdict("flag", "high"), "in_range"),
        ("unmeasured", Verdict("not_scored"), "unmeasured"),
    ],
)
def test_stroke_says_how_the_cause_stands_in_the_direction_of_the_link(state, verdict, drawn):
    assert arc_state(STRIDE_LOW, state, Point(STRIDE, "Stride", "1", "lower_half", verdict)) == drawn


def test_what_is_selected_must_be_a_flag(capture):
    assert view_of(capture, causes=CAUSES, selected=Node(ELBOW, "low")).selected == KNEE


def test_link_to_a_retired_metric_draws_nothing_and_stays_in_the_table(capture):
    gone = Node("a_metric_of_old", "low")
    view = view_of(capture, causes={KNEE_LOW: (cause(gone, KNEE_LOW),)})
    assert "a_metric_of_old" not in keys(view.wide)
    assert arcs(view.wide, KNEE) == []
    row = next(row for row in view.flags if row.line.key == KNEE)
    assert [one.name for one in row.causes] == ["a_metric_of_old"]


def test_measured_ball_speed_as_a_cause_is_not_called_unmeasured(facility, athlete):
    factories.starting_profiles()
    capture = captured(athlete, VALUES)
    fast = Node("ball_speed", "high")
    view = view_of(capture, causes={KNEE_LOW: (cause(fast, KNEE_LOW, "open"),)}, system="us")
    row = next(row for row in view.flags if row.line.key == KNEE)
    assert "ball_speed" in keys(view.wide)
    assert "80.5 mph" in view.wide
    assert row.causes[0].state == "not clear"


# ---- table and template ---------------------------------------------------------------------------------


def test_table_lists_every_flag_with_its_causes_used_ones_first(capture):
    view = view_of(capture, causes=CAUSES)
    row = next(row for row in view.flags if row.line.key == KNEE)
    assert [(one.state, one.link, one.is_used) for one in row.causes] == [
        ("out of range", "strong link", True),
        ("not measured", "weak link", False),
        ("speaks against it", "moderate link", False),
    ]
    assert row.causes[0].date == capture.date
    assert row.causes[1].by.startswith("time at which the trunk opens")
    assert row.causes[1].date is None
    assert row.node == f"{KNEE} low"


def test_screen_in_the_table_has_the_date_on_which_it_was_taken(capture):
    day = dt.date(2026, 4, 10)
    view = view_of(capture, causes=CAUSES, screens=[ScreenPoint(HIP, "Hip", "31°", Verdict("in_range"), day)])
    row = next(row for row in view.flags if row.line.key == KNEE)
    assert [one.date for one in row.causes if one.name == "Hip"] == [day]


@pytest.mark.parametrize(("share", "words"), [(0.8, "strong link"), (0.5, "moderate link"), (0.2, "weak link")])
def test_share_is_said_in_words(share, words):
    assert share_words(share) == words


def test_part_of_the_page_says_the_same_as_the_picture(capture):
    view = view_of(capture, causes=CAUSES, starting_point=TRUNK_LOW)
    html = render_to_string("metrics/_delivery_line.html", {"line": view, "all_url": "?all=1"})
    assert 'aria-live="polite"' in html
    assert html.count('<svg class="dl dl-') == 2
    assert "starting point" in html
    assert "in the explanation" in html
    assert html.count('class="dl arc-key"') == 4
    assert "style=" not in html
    for row in view.flags:
        assert f'data-flag-row="{row.line.key}"' in html


def test_part_without_any_flag_says_so(facility, athlete):
    factories.starting_profiles()
    view = view_of(captured(athlete, {STRIDE: 84.0}))
    html = render_to_string("metrics/_delivery_line.html", {"line": view})
    assert "Nothing is flagged" in html
    assert "Numbers" not in html


def test_line_costs_one_query_more_than_the_session(capture, django_assert_num_queries):
    rows = rows_of(capture)
    lines = lines_of(rows)
    with django_assert_num_queries(1):
        delivery_line(rows, lines, causes=CAUSES)


def test_event_names_are_those_of_the_recording(capture):
    assert events_of_session(rows_of(capture))[3] == Event("mer", "Maximum external rotation", None)
