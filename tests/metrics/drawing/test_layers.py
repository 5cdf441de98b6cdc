"""Layered layout: properties that hold for any graph, and small cases worked by hand."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from metrics.drawing.layers import BEND_HEIGHT, crossings, keep_apart, lay_out

GAP = 10.0


@st.composite
def graphs(draw):
    """Boxes with ranks and heights, and lines that never run backward in rank nor in the listed order."""
    count = draw(st.integers(1, 14))
    boxes = [f"box {index}" for index in range(count)]
    ranks = dict(zip(boxes, sorted(draw(st.lists(st.integers(0, 4), min_size=count, max_size=count))), strict=True))
    pairs = [(one, other) for index, one in enumerate(boxes) for other in boxes[index + 1 :]]
    lines = draw(st.lists(st.sampled_from(pairs), unique=True, max_size=25)) if pairs else []
    heights = {box: float(draw(st.integers(20, 80))) for box in boxes}
    return ranks, lines, heights


def in_columns(layout, heights):
    """column → (top, bottom) of everything in it, from the top."""
    found: dict[int, list[tuple[float, float]]] = {}
    for item, top in layout.top.items():
        is_bend = isinstance(item, tuple)
        column = item[2] if is_bend else layout.column[item]
        found.setdefault(column, []).append((top, top + (BEND_HEIGHT if is_bend else heights[item])))
    return {column: sorted(spans) for column, spans in found.items()}


@settings(max_examples=150, deadline=None)
@given(graphs())
def test_nothing_lies_on_anything_else(graph):
    ranks, lines, heights = graph
    for spans in in_columns(lay_out(ranks, lines, heights, GAP), heights).values():
        for (_, bottom), (top, _) in pairwise(spans):
            assert top - bottom >= GAP - 1e-6


@settings(max_examples=150, deadline=None)
@given(graphs())
def test_every_line_runs_to_the_right_and_bends_once_in_each_column_that_it_passes(graph):
    ranks, lines, heights = graph
    layout = lay_out(ranks, lines, heights, GAP)
    assert set(layout.lines) == set(lines)
    for (start, end), chain in layout.lines.items():
        stops = [layout.column[start], *(bend[2] for bend in chain), layout.column[end]]
        assert stops == list(range(stops[0], stops[-1] + 1))
        assert len(stops) > 1


@settings(max_examples=150, deadline=None)
@given(graphs())
def test_columns_keep_the_order_of_the_ranks(graph):
    ranks, lines, heights = graph
    layout = lay_out(ranks, lines, heights, GAP)
    by_column = sorted((layout.column[box], rank) for box, rank in ranks.items())
    assert [rank for _, rank in by_column] == sorted(ranks.values())
    assert min(layout.top.values()) == 0
    assert layout.columns == len(set(layout.column.values()))


def test_lines_that_need_not_cross_do_not():
    """Three pairs, listed so that the first order crosses three times."""
    ranks = dict.fromkeys("abc", 0.0) | dict.fromkeys("zyx", 1.0)
    layout = lay_out(ranks, [("a", "x"), ("b", "y"), ("c", "z")], dict.fromkeys(ranks, 20.0), GAP)
    assert sorted("abc", key=layout.top.__getitem__) == ["a", "b", "c"] or sorted(
        "abc", key=layout.top.__getitem__
    ) == ["c", "b", "a"]
    assert [layout.top[one] == layout.top[other] for one, other in ("ax", "by", "cz")] == [True] * 3


def test_crossings_are_counted():
    right = {"a": ["x", "z"], "b": ["x", "y"]}
    assert crossings([["a", "b"], ["x", "y", "z"]], right) == 2  # a–z over b–x and over b–y
    assert crossings([["b", "a"], ["y", "x", "z"]], right) == 0


def test_a_circle_is_laid_out_all_the_same():
    layout = lay_out({"a": 0.0, "b": 0.0}, [("a", "b"), ("b", "a")], {"a": 20.0, "b": 20.0}, GAP)
    assert layout.column["a"] != layout.column["b"]


def test_nothing_to_draw_has_no_size():
    layout = lay_out({}, [], {}, GAP)
    assert (layout.columns, layout.height) == (0, 0.0)


@pytest.mark.parametrize(
    ("wanted", "steps", "placed"),
    [
        ([0, 30], [10, 10], [0, 30]),  # far enough apart already
        ([10, 10], [10, 10], [5, 15]),  # both give way by half
        ([20, 0], [10, 10], [5, 15]),  # order is kept: the mean of 20 and 0 − 10 is 5
        ([0, 0, 0], [6, 6, 6], [-6, 0, 6]),
    ],
)
def test_places_move_apart_as_little_as_they_can(wanted, steps, placed):
    assert keep_apart(wanted, steps) == pytest.approx(placed)
