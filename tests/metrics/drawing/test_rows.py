import pytest

from metrics.drawing.marks import Verdict
from metrics.drawing.rows import ThrowDot, flag_row, session_line, session_line_head, throw_dots
from tests.metrics.drawing.svg import numbers, of_class, parse


def test_flags_stand_side_by_side_and_the_rest_is_counted():
    svg = flag_row([Verdict("flag", "low")] * 7)
    assert len(of_class(svg, "k-flag")) == 5
    assert "+2" in svg
    assert parse(svg).get("aria-label").endswith("and 2 more")


def test_no_flags_is_no_picture():
    assert flag_row([]) == ""


def test_sessions_stand_on_the_axis_that_the_head_shows():
    head = {each.text: float(each.get("x")) for each in parse(session_line_head())}
    strokes = of_class(session_line([(0, "motion_capture"), (60, "motion_capture")]), "seen")
    assert [numbers(stroke)[0] for stroke in strokes] == pytest.approx([head["today"], head["60"]])


def test_methods_differ_in_shape():
    svg = session_line([(5, "motion_capture"), (6, "video"), (7, "hands_on")])
    heights = [numbers(stroke)[2] - numbers(stroke)[1] for stroke in of_class(svg, "seen")]
    assert heights == [14, 6]
    assert len(of_class(svg, "dot")) == 1


def test_late_follow_up_is_marked_and_said():
    svg = session_line([(51, "motion_capture")], follow_up_in=-9)
    assert len(of_class(svg, "late")) == 1
    assert parse(svg).get("aria-label") == "1 session, last 51 days ago by motion capture; follow-up 9 days late"
    assert numbers(of_class(svg, "due")[0])[0] < 170


def test_sessions_older_than_the_line_are_left_out():
    assert of_class(session_line([(400, "video")]), "seen") == []


def test_throws_that_do_not_count_are_no_dots():
    dots = [ThrowDot(None, "not_scored"), ThrowDot(37.0), ThrowDot(38.0), ThrowDot(30.0, "excluded")]
    svg = throw_dots(dots, name="Ball speed by throw")
    slow, fast = of_class(svg, "dot")
    assert float(fast.get("cy")) < float(slow.get("cy"))
    assert len(of_class(svg, "dash")) == len(of_class(svg, "cross")) == 1


def test_many_throws_stay_within_the_width():
    svg = throw_dots([ThrowDot(30.0 + n % 7) for n in range(110)], name="Ball speed by throw")
    assert float(parse(svg).get("width")) == pytest.approx(420)
