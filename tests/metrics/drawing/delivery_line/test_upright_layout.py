"""The line whose time runs down: nothing lies on anything else on a phone either, and fingers find one flag."""

from __future__ import annotations

from itertools import combinations

from hypothesis import HealthCheck, given, settings

from metrics.drawing.delivery_line import Arc, DeliveryLine, upright_svg
from metrics.drawing.delivery_line.lanes import moment_of
from metrics.drawing.delivery_line.parts import BODY_LANES
from metrics.drawing.delivery_line.sheet import TARGET
from metrics.drawing.delivery_line.timing import scale_of, times_of
from metrics.drawing.delivery_line.upright_layout import WIDTH, points_shown, upright_layout
from tests.metrics.drawing.delivery_line.lines import EVENTS, FLAG, IN, USUAL, WATCH, lines, point
from tests.metrics.drawing.svg import parse

ROUNDING = 1e-6


def boxes_of(layout):
    """Of all words, marks, and rings of flags."""
    return [words.box for words in layout.words] + [box for one in layout.placed for box in one.boxes]


@settings(max_examples=60, suppress_health_check=list(HealthCheck), deadline=None)
@given(lines())
def test_no_words_and_no_mark_lie_on_another_or_leave_the_picture(line):
    layout = upright_layout(line)
    boxes = boxes_of(layout)
    for box in boxes:
        assert -ROUNDING <= box.left <= box.right <= WIDTH + ROUNDING
        assert -ROUNDING <= box.top <= box.bottom <= layout.height + ROUNDING
    for one, other in combinations(boxes, 2):
        assert not one.meets(other, -ROUNDING), (one, other)


@settings(max_examples=50, suppress_health_check=list(HealthCheck), deadline=None)
@given(lines())
def test_a_finger_finds_one_flag(line):
    targets = [one.target(TARGET) for one in upright_layout(line).placed if one.point.is_flag]
    for target in targets:
        assert target.right - target.left >= TARGET - ROUNDING
        assert target.bottom - target.top >= TARGET - ROUNDING
    assert not any(one.meets(other, -ROUNDING) for one, other in combinations(targets, 2))


@settings(max_examples=30, suppress_health_check=list(HealthCheck), deadline=None)
@given(lines(40))
def test_later_never_stands_above_earlier(line):
    scale = scale_of(times_of(line.events), 0.0, 1.0, 2.0)
    placed = [one for one in upright_layout(line).placed if one.point.lane in BODY_LANES]
    placed.sort(key=lambda one: one.y)
    moments = [scale.at(moment_of(one.point)) for one in placed]
    assert moments == sorted(moments)


@settings(max_examples=20, suppress_health_check=list(HealthCheck), deadline=None)
@given(lines(40))
def test_same_data_give_the_same_picture_and_it_is_well_formed(line):
    assert upright_svg(line) == upright_svg(line)
    parse(upright_svg(line))


def test_flags_watches_and_causes_that_are_not_in_range_stand_on_it():
    line = DeliveryLine(
        EVENTS,
        (
            point("elbow", verdict=FLAG),
            point("stride", verdict=WATCH),
            point("hip", verdict=IN),
            point("separation", verdict=IN),
            point("tilt", verdict=IN),
        ),
        (Arc("elbow", "hip", "unmeasured"), Arc("elbow", "separation", "in_range")),
    )
    assert [one.key for one in points_shown(line)] == ["elbow", "stride", "hip"]


def test_starting_point_stands_on_it_even_when_no_flag():
    line = DeliveryLine(EVENTS, (point("stride", verdict=IN),), starting_point="stride")
    assert [one.key for one in points_shown(line)] == ["stride"]


def test_line_says_that_it_is_not_to_scale():
    assert "not to scale" in [words.text for words in upright_layout(USUAL).words]
