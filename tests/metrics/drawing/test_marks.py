"""Marks against their construction: disc 0.40 s, half disc 0.52 s, triangle 1.12 by 0.92 s, dash 0.8 s."""

import pytest

from metrics.drawing.marks import Verdict, mark_at, verdict_mark
from metrics.drawing.words import either_words, percent, spoken_verdict, zone_words
from tests.metrics.drawing.svg import numbers, of_class, parse


def body(verdict, size=12.0):
    return parse(mark_at(verdict, size, 0, 0))[0]


def test_disc_has_radius_040_of_its_size():
    assert set(map(abs, numbers(body(Verdict("in_range"), 20)))) == {8, 0, 1}


@pytest.mark.parametrize(("side", "flat_side"), [("low", -3.12), ("high", 3.12)])
def test_half_disc_has_radius_052_and_its_dome_on_the_side_that_is_off(side, flat_side):
    start_x, start_y, radius, *_ = numbers(body(Verdict("watch", side)))
    assert (start_x, radius) == (-6.24, 6.24)
    assert start_y == flat_side  # the flat edge lies away from the dome: above it when low


@pytest.mark.parametrize(("side", "point"), [("low", 6), ("high", -6)])
def test_triangle_points_to_the_side_that_is_off(side, point):
    tip_x, tip_y, corner_x, base_y, other = numbers(body(Verdict("flag", side)))
    assert (tip_x, tip_y) == (0, point)
    assert corner_x - other == pytest.approx(1.12 * 12)
    assert abs(tip_y - base_y) == pytest.approx(0.92 * 12)


def test_dash_is_08_of_its_size():
    left, _, right = numbers(body(Verdict("not_scored")))
    assert right - left == pytest.approx(0.8 * 12)


@pytest.mark.parametrize("zone", ["in_range", "watch", "flag"])
def test_sure_is_filled_likely_hollow_cant_tell_hollow_with_a_question_mark(zone):
    pictures = {sure: mark_at(Verdict(zone, "low", sure), 12, 0, 0) for sure in ("sure", "likely", "cant_tell")}
    assert [len(of_class(pictures[sure], "hol")) for sure in pictures] == [0, 1, 1]
    assert ["?" in pictures[sure] for sure in pictures] == [False, False, True]


def test_question_mark_stands_at_the_upper_right():
    (question,) = of_class(mark_at(Verdict("in_range", "", "cant_tell"), 12, 0, 0), "q")
    assert float(question.get("x")) > 4.8
    assert float(question.get("y")) < 0


def test_mark_beside_its_word_is_silent_and_a_mark_alone_is_named():
    assert parse(verdict_mark(Verdict("flag", "low"))).get("aria-hidden") == "true"
    alone = parse(verdict_mark(Verdict("flag", "low"), name="flag low, sure"))
    assert (alone.get("role"), alone.get("aria-label")) == ("img", "flag low, sure")


def test_every_zone_has_its_own_shape_so_that_colour_never_speaks_alone():
    paths = [body(Verdict(zone, "high")).get("d") for zone in ("in_range", "watch", "flag", "not_scored")]
    assert len(set(paths)) == 4


@pytest.mark.parametrize(
    ("probability", "expected"),
    [(0.949, "94%"), (0.95, "95%"), (0.99999, "99%"), (1.0, "99%"), (0.29, "29%"), (None, "")],
)
def test_chance_is_rounded_down_and_never_certain(probability, expected):
    assert percent(probability) == expected


def test_words_of_the_verdicts():
    assert zone_words(Verdict("flag", "low")) == "flag low"
    assert zone_words(Verdict("watch", "low")) == "watch"
    assert zone_words(Verdict("")) == "not scored"
    assert spoken_verdict(Verdict("watch", "low", "likely")) == "watch low, likely"
    assert either_words(Verdict("flag", "high", "cant_tell"), "watch") == "watch or flag"
    assert either_words(Verdict("watch", "high", "cant_tell"), "in_range") == "in range or watch"
