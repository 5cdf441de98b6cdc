"""A number over the throws of a session, as SVG."""

from __future__ import annotations

import math
import re

import pytest

from metrics.drawing.drift import HEIGHT, WIDTH, DriftPoint, Third, drift_picture
from tests.metrics.drawing.svg import parse

POINTS = [DriftPoint(throw, value) for throw, value in ((3, 10.0), (4, 20.0), (6, 15.0))]


def dots(picture: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in re.findall(r'class="dot" cx="([\d.]+)" cy="([\d.]+)"', picture)]


def test_dots_stand_in_the_order_of_the_throws_and_higher_is_greater():
    drawn = dots(drift_picture(POINTS, [], name="Lead knee"))
    assert [x for x, _ in drawn] == sorted(x for x, _ in drawn)
    assert drawn[1][1] < drawn[2][1] < drawn[0][1]
    assert (drawn[1][0] - drawn[0][0]) * 2 == pytest.approx(drawn[2][0] - drawn[1][0])  # a throw between was not scored
    assert all(0 < x < WIDTH and 0 < y < HEIGHT for x, y in drawn)


def test_a_value_that_was_not_read_is_not_drawn():
    assert len(dots(drift_picture([*POINTS, DriftPoint(7, math.nan)], [], name="Lead knee"))) == 3


def test_one_throw_makes_no_picture():
    assert drift_picture(POINTS[:1], [], name="Lead knee") == ""
    assert drift_picture([POINTS[0], DriftPoint(9, math.nan)], [], name="Lead knee") == ""


def test_equal_values_stand_in_the_middle():
    heights = {y for _, y in dots(drift_picture([DriftPoint(1, 5.0), DriftPoint(2, 5.0)], [], name="Same"))}
    assert len(heights) == 1


def test_a_third_is_a_bar_over_its_throws_at_its_mean():
    picture = drift_picture(POINTS, [Third(3, 4, 15.0, "First third: 15°")], name="Lead knee")
    left, y, right = map(float, re.search(r'class="third" d="M([\d.]+),([\d.]+)H([\d.]+)"', picture).groups())
    drawn = dots(picture)
    assert y == drawn[2][1]
    assert left < drawn[0][0] < drawn[1][0] < right < drawn[2][0]


def test_the_picture_is_sound_and_text_cannot_break_out():
    picture = drift_picture(POINTS, [Third(3, 4, 15.0, "<b>")], name='"><script>', low_label="10°", high_label="<i>")
    assert "<script>" not in picture
    assert "<b>" not in picture
    parse(picture)


def test_throw_numbers_and_ends_of_the_values_are_written():
    picture = drift_picture(POINTS, [], name="Lead knee", low_label="10°", high_label="20°")
    for text in (">3<", ">6<", ">10°<", ">20°<", 'aria-label="Lead knee"'):
        assert text in picture
