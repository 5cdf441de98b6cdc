"""The pitcher at the events: at one scale, on one floor, never one on another."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from metrics.drawing.delivery_line import DeliveryLine, wide_svg
from metrics.drawing.delivery_line.figures import HEIGHT, placed_figures
from metrics.drawing.delivery_line.wide_layout import wide_layout
from tests.metrics.drawing.delivery_line.lines import EVENTS, TIMES
from tests.metrics.drawing.svg import of_class, parse

STANDING = (
    ("head", ((0.0, 1.75), (0.1, 1.75))),
    ("trunk", ((0.0, 1.0), (0.0, 1.5))),
    ("leg", ((0.0, 1.0), (-0.2, 0.0))),
    ("throwing", ((0.0, 1.5), (0.6, 1.6))),
)
FIGURES = dict.fromkeys(TIMES, STANDING)
places = st.lists(st.floats(0, 1200), min_size=6, max_size=6).map(lambda xs: list(zip(TIMES, xs, strict=True)))


def feet(figure):
    return max(y for _, points in figure.strokes for _, y in points)


@given(places)
def test_figures_stand_on_the_floor_inside_the_picture_and_apart(events):
    figures = placed_figures(FIGURES, events, 90.0, 1200.0)
    for figure in figures:
        assert feet(figure) == pytest.approx(HEIGHT)
        assert figure.box.left >= 90.0
        assert figure.box.right <= 1200.0
        assert figure.box.top >= 0.0
    assert not any(one.box.meets(other.box) for one, other in combinations(figures, 2))


@given(st.floats(0.5, 6.0))
def test_however_tall_it_fits_above_the_line(height):
    (figure,) = placed_figures({"fc": (("trunk", ((0.0, 0.0), (0.0, height))),)}, [("fc", 600.0)], 0.0, 1200.0)
    assert figure.box.top >= 0.0


def test_all_figures_have_one_scale():
    bent = (("trunk", ((0.0, 0.0), (0.3, 0.9))),)
    figures = placed_figures({"fc": STANDING, "br": bent}, [("fc", 400.0), ("br", 900.0)], 0.0, 1200.0)
    assert len({figure.scale for figure in figures}) == 1


def test_figure_of_nothing_seen_is_left_out():
    assert placed_figures({"fc": (), "br": (("leg", ()),)}, [("fc", 400.0), ("br", 900.0)], 0.0, 1200.0) == []


def test_events_of_a_usual_throw_all_have_room():
    layout = wide_layout(DeliveryLine(EVENTS, (), figures=FIGURES))
    assert [figure.event for figure in layout.figures] == list(TIMES)
    assert min(words.box.top for words in layout.words) > HEIGHT


def test_head_is_a_circle_and_the_throwing_arm_has_its_own_class():
    svg = wide_svg(DeliveryLine(EVENTS, (), figures={"fc": STANDING}))
    (head,) = of_class(svg, "head")
    assert head.tag.endswith("circle")
    assert len(of_class(svg, "throwing")) == 1


def test_without_figures_the_picture_is_lower_and_has_no_floor():
    bare, drawn = DeliveryLine(EVENTS, ()), DeliveryLine(EVENTS, (), figures=FIGURES)
    assert of_class(wide_svg(bare), "floor") == []
    assert float(parse(wide_svg(bare)).get("height")) < float(parse(wide_svg(drawn)).get("height"))
