"""The line whose time runs to the right: nothing lies on anything else, whatever stands on it."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import HealthCheck, given, settings

from metrics.drawing.delivery_line import DeliveryLine, wide_svg
from metrics.drawing.delivery_line.wide_layout import WIDTH, wide_layout
from tests.metrics.drawing.delivery_line.lines import EVENTS, FLAG, UNTOLD, USUAL, lines, point
from tests.metrics.drawing.svg import parse

ROUNDING = 1e-6


def boxes_of(layout):
    """Of all words, marks, and rings of flags."""
    return [words.box for words in layout.words] + [box for one in layout.placed for box in one.boxes]


@settings(max_examples=80, suppress_health_check=list(HealthCheck), deadline=None)
@given(lines())
def test_no_words_and_no_mark_lie_on_another_or_leave_the_picture(line):
    layout = wide_layout(line)
    boxes = boxes_of(layout)
    for box in boxes:
        assert -ROUNDING <= box.left <= box.right <= WIDTH + ROUNDING
        assert -ROUNDING <= box.top <= box.bottom <= layout.height + ROUNDING
    for one, other in combinations(boxes, 2):
        assert not one.meets(other, -ROUNDING), (one, other)


@settings(max_examples=25, suppress_health_check=list(HealthCheck), deadline=None)
@given(lines(40))
def test_same_data_give_the_same_picture_and_it_is_well_formed(line):
    assert wide_svg(line) == wide_svg(line)
    parse(wide_svg(line))


def test_every_point_stands_on_the_line_once():
    placed = [one.point.key for one in wide_layout(USUAL).placed]
    assert sorted(placed) == sorted(one.key for one in USUAL.points)


def test_marks_stand_at_their_moment():
    layout = wide_layout(USUAL)
    x = {one.point.key: one.x for one in layout.placed}
    events = dict(layout.events)
    assert x["elbow"] == pytest.approx(events["mer"])
    assert x["knee"] < events["fc"] < x["trunk"] < events["fp"]


def test_time_before_contact_is_narrow_when_nothing_stands_in_it():
    late = DeliveryLine(EVENTS, (point("elbow", at_ms=115.0, verdict=FLAG),))
    early = DeliveryLine(EVENTS, (point("knee", at_ms=-300.0, verdict=FLAG),))
    narrow, wide = (dict(wide_layout(line).events)["fc"] for line in (late, early))
    assert narrow < wide


def test_screens_take_no_room_when_there_is_none():
    without = DeliveryLine(EVENTS, USUAL.points[:4])
    assert wide_layout(without).scale.first < wide_layout(USUAL).scale.first
    assert wide_layout(without).ground is None


def test_line_without_told_times_says_that_its_spacing_is_typical():
    said = [words.text for words in wide_layout(DeliveryLine(UNTOLD, USUAL.points)).words]
    assert any("typical spacing" in text for text in said)
    assert "contact to release 146 ms" in [words.text for words in wide_layout(USUAL).words]


def test_starting_point_is_named_beside_its_mark():
    (knee,) = (one for one in wide_layout(USUAL).placed if one.point.key == "knee")
    assert [words.text for words in knee.words][-1] == "starting point"


def test_empty_session_has_its_lanes_and_events():
    svg = wide_svg(DeliveryLine(EVENTS, ()))
    for word in ("Arm", "Trunk", "Lower half", "Ball release", "no flag"):
        assert word in svg
