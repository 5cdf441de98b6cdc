"""What both pictures hold: links with spoken names, every text escaped, nothing that the content policy refuses."""

from __future__ import annotations

import re
import time

import pytest

from metrics.drawing.delivery_line import Arc, DeliveryLine, selected_words, upright_svg, wide_svg
from metrics.drawing.delivery_line.speaking import causes_words, spoken_flag
from tests.metrics.drawing.delivery_line.lines import EVENTS, FLAG, IN, NONE, USUAL, WATCH, point
from tests.metrics.drawing.svg import of_class, parse

PICTURES = [wide_svg, upright_svg]
HOSTILE = "<script>alert('1')</script> & \"knee\""


def crowded() -> DeliveryLine:
    """Every one of 90 metrics flagged, with 150 links."""
    lanes = ("arm", "trunk", "lower_half", "sequence", "screen")
    points = tuple(
        point(f"m{i}", lanes[i % 5], (0.0, 28.0, 115.0, 146.0)[i % 4], FLAG, name=f"Metric with a long name {i}")
        for i in range(90)
    )
    arcs = tuple(Arc(f"m{i % 90}", f"m{(i * 7 + 3) % 90}", "out", i % 3 == 0) for i in range(150))
    return DeliveryLine(EVENTS, points, arcs, "m0", "m4")


@pytest.mark.parametrize("picture", PICTURES)
def test_every_flag_is_a_link_to_its_finding_with_a_spoken_name(picture):
    links = of_class(picture(USUAL), "flag-link")
    assert {each.get("href") for each in links} == {"/elbow", "/trunk", "/knee"}
    (elbow,) = (each for each in links if each.get("data-flag") == "elbow")
    assert elbow.get("aria-label") == (
        "Elbow, 44°, flag low, sure. Its possible causes: Trunk (out of range) and Separation (in range)."
    )
    assert elbow.get("aria-current") == "true"
    assert elbow.get("data-side") == "low"


@pytest.mark.parametrize("picture", PICTURES)
def test_links_follow_one_another_as_time_does(picture):
    assert [each.get("data-flag") for each in of_class(picture(USUAL), "flag-link")] == ["knee", "trunk", "elbow"]


@pytest.mark.parametrize("picture", PICTURES)
def test_picture_is_a_named_group_and_its_ornament_is_silent(picture):
    root = parse(picture(USUAL))
    assert root.get("role") == "group"
    assert root.get("aria-label").startswith("Delivery line: 3 flags")
    spoken = [each for each in root if each.tag.endswith("g") and each.get("aria-hidden") != "true"]
    assert spoken == []


@pytest.mark.parametrize("picture", PICTURES)
def test_hostile_names_are_escaped(picture):
    points = (
        point("a", verdict=FLAG, name=HOSTILE, value_text=HOSTILE, note=HOSTILE, url='"><script>'),
        point('b"<', "screen", None, NONE, name=HOSTILE),
    )
    svg = picture(DeliveryLine(EVENTS, points, (Arc("a", 'b"<', "unmeasured", words=HOSTILE),), "a", "a"))
    assert "<script>" not in svg
    parse(svg)


@pytest.mark.parametrize("picture", PICTURES)
def test_picture_asks_for_nothing_that_the_content_policy_refuses(picture):
    svg = picture(crowded())
    assert not re.search(r"\sstyle=|\son[a-z]+=|<style|<script|javascript:", svg)


@pytest.mark.parametrize("picture", PICTURES)
def test_session_without_any_finding_still_gives_a_picture(picture):
    svg = picture(DeliveryLine(EVENTS, ()))
    assert parse(svg).get("aria-label").startswith("Delivery line: no flag")
    assert of_class(svg, "flag-link") == []


@pytest.mark.parametrize("picture", PICTURES)
def test_one_finding(picture):
    svg = picture(DeliveryLine(EVENTS, (point("elbow", verdict=FLAG),), selected="elbow"))
    (link,) = of_class(svg, "flag-link")
    assert link.get("aria-label").endswith("No link leads to a cause of it.")


@pytest.mark.parametrize("picture", PICTURES)
def test_every_metric_flagged_with_150_links_is_drawn_whole(picture):
    began = time.perf_counter()
    svg = picture(crowded())
    assert time.perf_counter() - began < 2.0  # a guard: it takes a tenth of that
    assert len(of_class(svg, "flag-link")) == 90


def test_mark_is_that_of_the_verdict():
    points = (point("a", verdict=FLAG), point("b", verdict=WATCH), point("c", verdict=IN), point("d", verdict=NONE))
    svg = wide_svg(DeliveryLine(EVENTS, points))
    for kind in ("k-flag", "k-watch", "k-in", "k-none"):
        assert len(of_class(svg, kind)) == 1


def test_selected_flag_and_its_causes_are_marked_and_nothing_else():
    points = (*USUAL.points, point("alone"))
    svg = wide_svg(DeliveryLine(EVENTS, points, USUAL.arcs, "trunk"))
    chosen = {each.get("data-key") for each in of_class(svg, "pt") if "on" in each.get("class").split()}
    assert chosen == {"trunk", "knee"}


def test_sentence_names_causes_that_the_explanation_uses_first():
    arcs = (
        Arc("elbow", "separation", "in_range"),
        Arc("elbow", "hip", "unmeasured"),
        Arc("elbow", "trunk", "out", True),
    )
    line = DeliveryLine(EVENTS, USUAL.points, arcs, "elbow")
    assert causes_words(line, "elbow") == (
        "Its possible causes: Trunk (out of range), Hip (not measured) and Separation (in range)."
    )
    assert selected_words(line, USUAL.points[0])[1].startswith(", 44°, flag low. Its possible causes")


def test_more_than_three_causes_are_counted():
    points = (point("elbow", verdict=FLAG), *(point(f"c{i}") for i in range(6)))
    line = DeliveryLine(EVENTS, points, tuple(Arc("elbow", f"c{i}", "in_range") for i in range(6)))
    assert causes_words(line, "elbow").endswith("C2 (in range) and 3 more.")


def test_starting_point_is_said():
    assert "starting point" in spoken_flag(USUAL, USUAL.points[2])
    assert "starting point" not in spoken_flag(USUAL, USUAL.points[0])
