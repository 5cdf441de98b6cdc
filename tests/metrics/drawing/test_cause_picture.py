"""The picture of cause links: everything drawn once, nothing on top of anything, in the order of the delivery."""

from __future__ import annotations

from itertools import combinations

import pytest

from metrics.catalogue import load_catalogue
from metrics.catalogue.causes import Link, load_links
from metrics.catalogue.causes.moments import ORDER
from metrics.drawing.cause_picture import (
    BOX_WIDTH,
    MOMENT_WORDS,
    draw_causes,
    places_in_delivery,
    span_in_delivery,
    up_and_down,
)
from tests.metrics.drawing.svg import NAMESPACE, numbers, of_class, parse

CATALOGUE = load_catalogue()
STRENGTH_CLASSES = {"cp-weak", "cp-moderate", "cp-strong"}


def link(effect: str, cause: str, strength: str = "moderate") -> Link:
    (effect, effect_direction), (cause, cause_direction) = effect.split(":"), cause.split(":")
    return Link(effect, effect_direction, cause, cause_direction, "mechanics", strength, "Why.", "test", "published")


ARM = "shoulder_external_rotation_fp:low"
STRIDE = "stride_length:low"
HIP = "hip_extensor_strength_back:low"
TORQUE = "elbow_varus_torque_max:high"
CHAIN = (link(ARM, STRIDE), link(STRIDE, HIP), link(TORQUE, ARM), link(ARM, "latissimus_length_throwing:low"))


def boxes_of(svg: str) -> list[tuple[float, float, float, float]]:
    """(left, top, right, bottom) of each box."""
    found = []
    for rect in parse(svg).iter(f"{{{NAMESPACE['xml']}}}rect") if "xmlns" in svg else parse(svg).iter("rect"):
        x, y, width, height = (float(rect.get(name) or 0) for name in ("x", "y", "width", "height"))
        found.append((x, y, x + width, y + height))
    return found


@pytest.fixture(scope="module")
def whole():
    return draw_causes(load_links(), CATALOGUE)


def test_every_shipped_link_is_drawn_once_between_its_ends(whole):
    drawn = sorted((each.get("data-cause"), each.get("data-effect")) for each in of_class(whole.svg, "cp-link"))
    assert drawn == sorted((":".join(one.cause_end), ":".join(one.effect_end)) for one in load_links())
    assert whole.links == load_links()


def test_every_finding_has_one_box(whole):
    ends = {end for one in load_links() for end in (one.cause_end, one.effect_end)}
    assert len(boxes_of(whole.svg)) == len(ends)


def test_no_box_lies_on_another(whole):
    for one, other in combinations(boxes_of(whole.svg), 2):
        apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
        assert apart, (one, other)


def test_everything_lies_inside_the_picture(whole):
    root = parse(whole.svg)
    width, height = float(root.get("width")), float(root.get("height"))
    assert all(x >= 0 and y >= 0 and right <= width and bottom <= height for x, y, right, bottom in boxes_of(whole.svg))


def test_no_shipped_link_runs_backward_and_lines_pass_between_boxes(whole):
    """A level stretch of a line crosses a column only where no box of that column is."""
    boxes = boxes_of(whole.svg)
    for each in of_class(whole.svg, "cp-line"):
        places = numbers(each)
        assert places[0] < places[-2]
        stretches = (each.get("d") or "").split("H")[:-1]
        for stretch, after in zip(stretches, (each.get("d") or "").split("H")[1:], strict=True):
            left, level = (float(part) for part in stretch.replace(",", " ").split()[-2:])
            assert float(after.split("C")[0]) == pytest.approx(left + BOX_WIDTH)
            assert not [box for box in boxes if box[0] < left + BOX_WIDTH and box[2] > left and box[1] < level < box[3]]


def test_three_strengths_are_three_widths():
    words = ("weak", "moderate", "strong")
    causes = (STRIDE, HIP, "stride_time:low")
    svg = draw_causes([link(ARM, cause, word) for cause, word in zip(causes, words, strict=True)], CATALOGUE).svg
    found = {each.get("data-cause"): (each.get("class") or "").split()[-1] for each in of_class(svg, "cp-link")}
    assert found == {cause: f"cp-{word}" for cause, word in zip(causes, words, strict=True)}
    assert set(found.values()) == STRENGTH_CLASSES


def test_columns_follow_the_delivery_from_screens_to_loads():
    places = places_in_delivery(CHAIN, CATALOGUE)
    order = sorted(places, key=places.__getitem__)
    assert order[-1] == tuple(TORQUE.split(":"))
    assert [places[tuple(end.split(":"))] for end in (HIP, "latissimus_length_throwing:low")] == [0, 0]
    assert places[tuple(STRIDE.split(":"))] == places[tuple(ARM.split(":"))] < places[tuple(TORQUE.split(":"))]
    svg = draw_causes(CHAIN, CATALOGUE).svg
    heads = [each.text for each in of_class(svg, "cp-head")]
    assert heads == ["Screens and context", "To foot plant", "Loads and outcomes"]


def test_cause_and_effect_of_one_moment_stand_side_by_side():
    left = {each.get("data-cause"): numbers(of_class(draw_causes(CHAIN, CATALOGUE).svg, "cp-line")[index])[0]
            for index, each in enumerate(of_class(draw_causes(CHAIN, CATALOGUE).svg, "cp-link"))}  # fmt: skip
    assert left[HIP] < left[STRIDE] < left[ARM]


def test_maximum_in_an_interval_stands_no_later_than_its_effect():
    first, last = span_in_delivery("shoulder_horizontal_abduction_max", CATALOGUE)
    assert first < last
    effect = "elbow_flexion_fp:low"
    places = places_in_delivery([link(effect, "shoulder_horizontal_abduction_max:high")], CATALOGUE)
    assert places["shoulder_horizontal_abduction_max", "high"] <= places["elbow_flexion_fp", "low"]


def test_around_one_finding_are_its_causes_and_effects_only():
    aside = link("elbow_flexion_fp:low", "stride_time:low")
    links = (*CHAIN, aside)
    assert up_and_down(links, ARM) == CHAIN
    assert up_and_down(links, ARM, down=False) == (CHAIN[0], CHAIN[1], CHAIN[3])
    assert up_and_down(links, "stride_length") == CHAIN[:3]
    assert up_and_down(links, "nothing_known") == ()


def test_the_chosen_box_is_marked_and_named_in_the_text():
    picture = draw_causes(CHAIN, CATALOGUE, chosen=ARM)
    assert len(of_class(picture.svg, "cp-chosen")) == 1
    assert picture.told.startswith("4 cause links of Shoulder external rotation at foot plant, low between 5 findings")
    root = parse(picture.svg)
    assert (root.get("role"), root.get("aria-label")) == ("img", picture.told)


def test_names_of_any_length_are_wrapped_to_the_box():
    for metric in CATALOGUE.metrics.values():
        svg = draw_causes([link(f"{metric.key}:low", "elbow_wobble:high")], CATALOGUE).svg
        assert max(len(span.text or "") for span in parse(svg).iter("tspan")) <= 19


def test_retired_metrics_are_drawn_by_their_key_and_say_so():
    svg = draw_causes([link(ARM, "elbow_wobble:low")], CATALOGUE).svg
    assert "elbow wobble" in svg
    assert "low: retired" in svg


def test_words_of_a_link_cannot_break_the_picture():
    odd = Link("stride_length", "low", "stride_time", "low", "timing", "weak", '</title><a b="&">', "x", "published")
    assert parse(draw_causes([odd], CATALOGUE).svg) is not None


def test_no_links_make_an_empty_picture_that_says_so():
    picture = draw_causes([], CATALOGUE)
    assert picture.told == "No cause links to draw."
    assert boxes_of(picture.svg) == []


def test_every_place_in_the_delivery_has_a_head():
    assert len(MOMENT_WORDS) == len(ORDER)
