"""Arcs run from an effect to its cause, say how the cause stands, and show for one flag at a time."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from metrics.drawing.delivery_line import Arc, DeliveryLine, upright_svg, wide_svg
from metrics.drawing.delivery_line.arcs import End, leftward, upward
from tests.metrics.drawing.delivery_line.lines import EVENTS, FLAG, USUAL, point
from tests.metrics.drawing.svg import of_class, parse

PICTURES = [wide_svg, upright_svg]
ends = st.builds(End, st.floats(240, 1190), st.floats(90, 900), st.floats(4, 14))


def places(course: str) -> list[tuple[float, float]]:
    """Start, two handles and end of a curve."""
    found = [float(text) for text in re.findall(r"-?\d+(?:\.\d+)?", course)]
    return list(zip(found[::2], found[1::2], strict=True))


def along(course: str, share: float) -> tuple[float, float]:
    """A place on a cubic Bézier curve, by its definition (Bernstein polynomials)."""
    weights = ((1 - share) ** 3, 3 * share * (1 - share) ** 2, 3 * share**2 * (1 - share), share**3)
    return tuple(sum(w * place[axis] for w, place in zip(weights, places(course), strict=True)) for axis in (0, 1))


def groups(svg: str) -> dict[str, list]:
    return {each.get("data-arcs"): list(each) for each in parse(svg).iter() if each.get("data-arcs")}


@given(ends, ends)
def test_arc_begins_and_ends_at_the_edges_of_its_marks(effect, cause):
    start, *_, end = places(leftward(effect, cause))
    assert abs(complex(start[0] - effect.x, start[1] - effect.y)) <= effect.reach + 0.02
    assert abs(complex(end[0] - cause.x, end[1] - cause.y)) <= cause.reach * 1.12 + 0.02


@given(ends, ends, st.floats(0, 1))
def test_arc_stays_inside_the_picture(effect, cause, share):
    x, y = along(leftward(effect, cause, highest=60.0, leftmost=2.0), share)
    assert 2.0 - 0.02 <= x <= max(effect.x, cause.x) + cause.reach
    assert 60.0 - 0.02 <= y <= max(effect.y, cause.y) + 0.02


def test_arc_to_a_lower_cause_leaves_level_and_falls_on_it_from_above():
    start, first, second, end = places(leftward(End(900, 100, 10), End(400, 300, 10)))
    assert first[1] == start[1]
    assert second[1] < end[1] < 300


def test_arc_to_a_higher_cause_bows_above_both():
    course = leftward(End(900, 300, 10), End(400, 280, 10))
    assert along(course, 0.5)[1] < 280


def test_arc_between_marks_of_one_moment_goes_round_on_the_left():
    assert along(leftward(End(500, 100, 10), End(500, 300, 10)), 0.5)[0] < 490


def test_upright_arc_leaves_upward_and_reaches_its_cause_from_below():
    start, *_, end = places(upward(End(90, 300, 10), End(160, 100, 10)))
    assert start[1] < 300
    assert end[1] > 100


@pytest.mark.parametrize("picture", PICTURES)
def test_arcs_of_every_flag_are_there_and_only_those_of_the_selected_show(picture):
    svg = picture(USUAL)
    assert set(groups(svg)) == {"elbow", "trunk", "knee"}
    assert [each.get("data-arcs") for each in of_class(svg, "arcs") if "on" in each.get("class").split()] == ["elbow"]


@pytest.mark.parametrize("picture", PICTURES)
def test_nothing_selected_shows_no_arc(picture):
    line = DeliveryLine(USUAL.events, USUAL.points, USUAL.arcs)
    assert not [each for each in of_class(picture(line), "arcs") if "on" in each.get("class").split()]


def test_state_of_the_cause_is_the_stroke_of_its_arc():
    classes = [each.get("class") for each in groups(wide_svg(USUAL))["elbow"]]
    assert sorted(classes) == ["arc dash", "arc solid used", "arc solid used", "arc thin"]


def test_arc_becomes_solid_when_its_cause_was_measured_and_is_out():
    flags = (point("knee", "lower_half", -40.0, FLAG), point("hip", "screen", None))
    before, after = (
        groups(wide_svg(DeliveryLine(EVENTS, flags, (Arc("knee", "hip", state),), "knee")))["knee"]
        for state in ("unmeasured", "out")
    )
    assert [each.get("class") for each in before + after] == ["arc dash", "arc solid"]


def test_link_of_two_flags_is_drawn_once_and_used_twice():
    svg = wide_svg(USUAL)
    used = [each.get("href") for arcs in groups(svg).values() for each in arcs]
    drawn = {f"#{each.get('id')}" for each in parse(svg).iter() if "-arc-" in (each.get("id") or "")}
    assert len(used) == 5
    assert set(used) == drawn
    assert len(drawn) == 4


def test_group_names_every_point_that_its_arcs_reach():
    (group,) = (each for each in parse(wide_svg(USUAL)).iter() if each.get("data-arcs") == "elbow")
    assert set(group.get("data-kin").split()) == {"elbow", "trunk", "knee", "separation", "hip"}


def test_arc_to_something_that_is_not_on_the_line_is_left_out():
    line = DeliveryLine(EVENTS, USUAL.points, (Arc("elbow", "nothing", "out"), Arc("elbow", "elbow", "out")), "elbow")
    assert groups(wide_svg(line))["elbow"] == []


def test_two_pictures_of_a_page_share_no_name():
    names = [each.get("id") for picture in PICTURES for each in parse(picture(USUAL)).iter() if each.get("id")]
    assert len(names) == len(set(names))
