"""The drawn trend: every value at its place on two linear axes, the range as steps, nothing outside the picture."""

from __future__ import annotations

import datetime as dt
import random
import re
from dataclasses import replace
from itertools import pairwise

import pytest

from metrics.drawing.delivery_line.lettering import width_of
from metrics.drawing.marks import Verdict
from metrics.drawing.trend import Cue, Fitted, Moved, Picture, Point, Stretch, large_trend, small_trend
from metrics.drawing.trend.plot import Box, apart, plot_of, ticks_of
from tests.metrics.drawing.svg import numbers, of_class, parse

START = dt.date(2025, 2, 18)
IN_RANGE, LOW, DOUBT = Verdict("in_range"), Verdict("flag", "low"), Verdict("watch", "high", "cant_tell")
BOX = Box(0, 0, 100, 100)
SIZES = ("small", "desk", "phone")


def after(days: int) -> dt.date:
    return START + dt.timedelta(days=days)


def point(days: int, mean: float | None, **changes) -> Point:
    return Point(after(days), mean, 2.0, IN_RANGE, **changes)


def picture(*points: Point, **changes) -> Picture:
    last = max((one.day for one in points), default=START)
    range_of = changes.pop("stretches", (Stretch(START, last, 5.0, 18.0, -2.0, 26.0),))
    return Picture(name="Lead knee extension", unit="deg", decimals=0, points=points, stretches=range_of, **changes)


def drawn(given: Picture, size: str) -> str:
    return small_trend(given) if size == "small" else large_trend(given, size)


def places(svg: str) -> list[tuple[float, float]]:
    groups = [each for each in parse(svg).iter() if each.tag == "g" and each.get("transform")]
    return [tuple(float(n) for n in re.findall(r"-?[\d.]+", each.get("transform") or "")) for each in groups]


def texts(svg: str) -> list[str]:
    return [each.text or "" for each in parse(svg).iter() if each.tag == "text"]


# ---- places -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", SIZES)
def test_days_and_values_keep_their_proportions(size):
    """Three points on a line stay on a line, at a third and the whole of the way."""
    svg = drawn(picture(point(0, 0.0), point(30, 6.0), point(90, 18.0)), size)
    (x0, y0), (x1, y1), (x2, y2) = places(svg)
    assert (x1 - x0) / (x2 - x0) == pytest.approx(1 / 3, abs=0.002)
    assert (y1 - y0) / (y2 - y0) == pytest.approx(1 / 3, abs=0.006)
    assert y2 < y0  # higher is up


@pytest.mark.parametrize("size", SIZES)
def test_the_uncertainty_line_reaches_from_mean_minus_to_mean_plus_its_half_width(size):
    """Held against the band, whose edges are 13 apart: ±2 is 4/13 of it."""
    svg = drawn(picture(point(0, 10.0), point(60, 12.0)), size)
    (line,) = of_class(svg, "un")
    rows = [float(y) for y in re.findall(r"M[\d.]+,([\d.]+)V", line.get("d") or "")]
    ends = [float(y) for y in re.findall(r"V([\d.]+)", line.get("d") or "")]
    (band,) = of_class(svg, "band")
    _, top, _, bottom, _ = numbers(band)
    for high, low in zip(rows, ends, strict=True):
        assert low - high == pytest.approx(4 / 13 * (bottom - top), abs=0.25)


def test_a_limit_stands_where_a_point_of_its_value_stands():
    svg = large_trend(picture(point(0, 5.0), point(60, 18.0)))
    (_, low_y), (_, high_y) = places(svg)
    _, top, _, bottom, _ = numbers(of_class(svg, "band")[0])
    assert (top, bottom) == (pytest.approx(high_y, abs=0.11), pytest.approx(low_y, abs=0.11))


@pytest.mark.parametrize("size", SIZES)
def test_the_range_steps_on_the_day_on_which_it_moved(size):
    stretches = (Stretch(START, after(40), 0.0, 10.0), Stretch(after(40), after(80), 5.0, 15.0))
    given = picture(
        point(0, 4.0), point(40, 4.0), point(80, 4.0), stretches=stretches, moved=(Moved(after(40), "high school"),)
    )
    svg = drawn(given, size)
    first, second = (of_class(svg, "band")[0].get("d") or "").rstrip("Z").split("ZM")
    right_of_first = float(re.search(r"H([\d.]+)", first)[1])
    left_of_second = float(second.split(",")[0])
    assert right_of_first == left_of_second == pytest.approx(places(svg)[1][0], abs=0.11)
    assert numbers(of_class(svg, "moved")[0])[0] == right_of_first


@pytest.mark.parametrize("size", SIZES)
def test_an_open_side_runs_to_the_end_of_the_plot_and_has_no_edge(size):
    svg = drawn(picture(point(0, 4.0), point(60, 8.0), stretches=(Stretch(START, after(60), 5.0, None),)), size)
    assert (of_class(svg, "edge")[0].get("d") or "").count("M") == 1
    assert of_class(svg, "limit") == []
    assert len(of_class(svg, "band")) == 1


@pytest.mark.parametrize("size", SIZES)
def test_without_a_range_there_is_no_band(size):
    svg = drawn(picture(point(0, 4.0), stretches=()), size)
    assert of_class(svg, "band") == of_class(svg, "edge") == of_class(svg, "limit") == []
    assert len(of_class(svg, "k-in")) == 1


@pytest.mark.parametrize("size", SIZES)
def test_the_line_of_what_changes_goes_from_its_first_to_its_last_value(size):
    line = Fitted(START, 5.0, after(60), 18.0)
    svg = drawn(picture(point(0, 5.0), point(60, 18.0), fitted=line), size)
    x0, y0, x1, y1 = numbers(of_class(svg, "fit")[0])
    assert [(x0, y0), (x1, y1)] == [pytest.approx(place, abs=0.11) for place in places(svg)]


# ---- what is set off --------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", SIZES)
def test_what_is_not_comparable_is_paler_behind_the_others_and_joined_by_nothing(size):
    svg = drawn(picture(point(0, 9.0), point(30, 30.0, comparable=False), point(60, 11.0)), size)
    (pale,) = of_class(svg, "pale")
    assert sum("k-in" in (each.get("class") or "") for each in pale.iter()) == 1
    assert svg.index('class="pale"') < svg.index("k-in", svg.index("</g></g>"))
    assert of_class(svg, "fit") == []


@pytest.mark.parametrize("size", SIZES)
def test_a_finding_without_a_value_is_a_short_dash_at_the_foot(size):
    svg = drawn(picture(point(0, 9.0), Point(after(30), None, None, Verdict("not_scored"))), size)
    assert len(of_class(svg, "k-none")) == 1
    foot = numbers(of_class(svg, "foot")[0])[1]
    assert places(svg)[1][1] == pytest.approx(foot - 6, abs=0.11)


@pytest.mark.parametrize("size", SIZES)
def test_two_on_one_day_stand_beside_each_other(size):
    svg = drawn(picture(point(0, 9.0), point(0, 9.0, nudge=1), point(60, 9.0)), size)
    (first, _), (second, _), _ = places(svg)
    assert second - first == pytest.approx(4.0, abs=0.11)


def test_cues_are_numbered_under_the_foot_and_those_of_one_day_share_a_mark():
    given = picture(point(0, 9.0), point(90, 9.0), cues=(Cue(after(30), 1), Cue(after(30), 2), Cue(after(900), 3)))
    svg = large_trend(given)
    assert [text for text in texts(svg) if text in ("1, 2", "3")] == ["1, 2"]
    assert len(of_class(svg, "cue")) == 1


def test_a_cue_shortly_after_the_last_session_still_has_its_place():
    assert len(of_class(large_trend(picture(point(0, 9.0), point(90, 9.0), cues=(Cue(after(100), 1),))), "cue")) == 1


@pytest.mark.parametrize("size", SIZES)
def test_each_verdict_has_its_own_shape_and_fill(size):
    points = tuple(replace(point(30 * place, 9.0), verdict=each) for place, each in enumerate((IN_RANGE, LOW, DOUBT)))
    svg = drawn(picture(*points), size)
    assert [len(of_class(svg, name)) for name in ("k-in", "k-flag", "k-watch")] == [1, 1, 1]
    assert "?" in texts(svg)


def test_the_latest_value_is_written_as_it_was_given():
    assert "−7.2°" in texts(large_trend(picture(point(0, 9.0), point(60, -7.21), now="−7.2°")))
    assert "−7°" in texts(large_trend(picture(point(0, 9.0), point(60, -7.21))))


# ---- nothing on top of anything ---------------------------------------------------------------------------


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("seed", range(40))
def test_nothing_lies_outside_the_picture_and_no_letters_on_top_of_others(size, seed):
    svg = drawn(any_picture(seed), size)
    root = parse(svg)
    width, height = float(root.get("width") or 0), float(root.get("height") or 0)
    for x, y in places(svg):
        assert 0 <= x <= width
        assert 0 <= y <= height
    boxes = [
        box for each in root.iter() if each.tag == "text" and each.get("class") != "now" for box in [_box(each, size)]
    ]
    for left, top, right, bottom in boxes:
        assert left >= -0.6
        assert right <= width + 0.6
        assert top >= -0.6
        assert bottom <= height + 0.6
    for place, one in enumerate(boxes):
        for other in boxes[place + 1 :]:
            assert not _overlap(one, other), (one, other)


def any_picture(seed: int) -> Picture:
    chance = random.Random(seed)
    count, days = chance.choice((1, 2, 5, 12, 60)), chance.choice((1, 20, 90, 400, 3000))
    offsets = sorted(chance.randrange(days) for _ in range(count))
    scale = chance.choice((0.01, 1.0, 40.0, 3000.0))
    points = tuple(
        Point(after(day), scale * chance.gauss(0, 3), scale * chance.random(), chance.choice((IN_RANGE, LOW)))
        for day in offsets
    )
    begun = sorted({points[0].day, *chance.choices([one.day for one in points], k=3)})
    edges = [*begun, points[-1].day]
    stretches = tuple(
        Stretch(first, last, *(None if chance.random() < 0.2 else scale * each for each in (-2, 2 + n, -5, 5 + n)))
        for n, (first, last) in enumerate(pairwise(edges))
    )
    moved = tuple(
        Moved(day, chance.choice(("college from 1 September 2026", "range moved with height"))) for day in begun[1:]
    )
    return picture(*points, stretches=stretches, moved=moved, cues=tuple(Cue(day, n) for n, day in enumerate(begun, 1)))


def _box(text, size: str) -> tuple[float, float, float, float]:
    """Of letters, by widths that are estimated on the wide side."""
    letters = 12.0 if size == "small" or text.get("class", "").startswith("q") else 12.5
    width, x, y = width_of(text.text or "", letters) / 1.06, float(text.get("x")), float(text.get("y"))
    left = {"middle": x - width / 2, "end": x - width}.get(text.get("text-anchor", ""), x)
    return left, y - 9, left + width, y + 2


def _overlap(one, other) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


@pytest.mark.parametrize("days", [1, 20, 60, 200, 700, 2500, 9000])
def test_the_axis_names_few_days_each_at_its_own_place(days):
    plot = plot_of(picture(point(0, 1.0), point(days, 2.0)), BOX)
    ticks = ticks_of(plot, 7, 0.5, 100)
    assert 1 <= len(ticks) <= 8
    assert len({tick.words for tick in ticks}) == len(ticks)
    assert [tick.x for tick in ticks] == sorted(tick.x for tick in ticks)


def test_a_month_is_named_where_it_begins():
    plot = plot_of(picture(point(0, 1.0), point(200, 2.0)), Box(0, 0, 1000, 100))
    words = {tick.words: tick.x for tick in ticks_of(plot, 9, 12.0, 1000)}
    assert words["Jun"] == pytest.approx(plot.x(dt.date(2025, 6, 1)))
    assert "Mar 2025" in words


@pytest.mark.parametrize("count", [0, 1, 3, 6])
def test_labels_are_moved_apart_and_keep_their_order(count):
    chance = random.Random(count)
    wanted = [chance.uniform(0, 100) for _ in range(count)]
    put = apart(wanted, 15.0, 0.0, 100.0)
    order = sorted(range(count), key=lambda place: wanted[place])
    assert all(put[b] - put[a] >= 15.0 - 1e-9 for a, b in pairwise(order))
    assert all(0.0 <= place <= 100.0 + 1e-9 for place in put)


@pytest.mark.parametrize("size", SIZES)
def test_a_name_cannot_break_out_of_the_picture(size):
    given = replace(picture(point(0, 1.0)), name='<script>"&', moved=(Moved(START, "<b>"),))
    svg = drawn(given, size)
    assert parse(svg).get("aria-label") == '<script>"&'
    assert "<b>" not in svg
