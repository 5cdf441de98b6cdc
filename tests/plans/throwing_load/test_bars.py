"""Bars of pitches: as tall as they are many, the sources apart, and readable by a machine."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from plans.throwing_load import Column, Count, Source, bars_svg, day_columns, days_between, week_columns, weeks
from plans.throwing_load.bars import BOTTOM, HEIGHT, TOP, WIDTH

MONDAY = dt.date(2026, 4, 13)
SVG = "{http://www.w3.org/2000/svg}"


def parts(svg: str, name: str) -> list[ElementTree.Element]:
    root = ElementTree.fromstring(svg)
    return [one for one in root.iter() if one.tag.removeprefix(SVG) == name]


def heights(svg: str) -> dict[str, float]:
    return {one.attrib["class"]: float(one.attrib["height"]) for one in parts(svg, "rect")}


def test_the_tallest_bar_fills_the_picture_and_the_others_are_in_proportion():
    svg = bars_svg([Column(80, 0, 0, "M"), Column(0, 40, 0, "T"), Column(0, 0, 20, "W")], name="pitches")
    room = HEIGHT - TOP - BOTTOM
    assert heights(svg) == {"entered": room, "session": pytest.approx(room / 2, abs=0.1), "drill": room / 4}


def test_sources_of_a_day_stand_on_each_other():
    svg = bars_svg([Column(30, 20, 10, "M")], name="pitches")
    tops = sorted((float(one.attrib["y"]), float(one.attrib["height"])) for one in parts(svg, "rect"))
    for (upper, tall), (lower, _) in pairwise(tops):
        assert upper + tall == pytest.approx(lower, abs=0.15)
    assert tops[-1][0] + tops[-1][1] == pytest.approx(HEIGHT - BOTTOM, abs=0.1)


def test_few_pitches_do_not_look_like_many():
    assert heights(bars_svg([Column(2, 0, 0, "M")], name="pitches"))["entered"] < (HEIGHT - TOP - BOTTOM) / 5


def test_everything_stays_inside_the_picture():
    svg = bars_svg([Column(index, 3, 1, "M") for index in range(26)], name="pitches", numbers=False)
    for one in parts(svg, "rect"):
        assert float(one.attrib["x"]) >= 0
        assert float(one.attrib["x"]) + float(one.attrib["width"]) <= WIDTH
        assert float(one.attrib["y"]) >= TOP - 0.1


def test_a_day_off_an_unknown_day_and_pitches_without_a_number_read_differently():
    counts = [Count(MONDAY, 0), Count(MONDAY + dt.timedelta(days=1), None), Count(MONDAY + dt.timedelta(days=2), 20)]
    days = days_between([*counts, Count(MONDAY + dt.timedelta(days=2), None)], MONDAY, MONDAY + dt.timedelta(days=3))
    said = [one.text for one in parts(bars_svg(day_columns(days), name="pitches"), "text")]
    assert said == ["M", "+", "T", "20+", "W", "?", "T"]


def test_a_week_is_the_least_where_a_day_is_unknown_and_labelled_every_fourth_time():
    days = days_between([Count(MONDAY, 40, Source.SESSION)], MONDAY, MONDAY + dt.timedelta(days=34))
    columns = week_columns(weeks(days))
    assert [one.label for one in columns] == ["13 Apr", "", "", "", "11 May"]
    assert (columns[0].session, columns[0].least, columns[1].unknown) == (40, True, True)


def test_its_name_is_escaped_and_nothing_is_coloured_by_itself():
    svg = bars_svg([Column(5, 0, 0, "<M>")], name='5 < 6 & "so"')
    assert ElementTree.fromstring(svg).attrib["aria-label"] == '5 < 6 & "so"'
    assert "fill=" not in svg
    assert "style" not in svg


def test_without_a_column_there_is_no_picture():
    assert bars_svg([], name="pitches") == ""
