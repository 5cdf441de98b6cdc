"""Amounts as people type them."""

from __future__ import annotations

import pytest

from plans.typed_doses import NotASpan, parse_load, parse_span, type_span


@pytest.mark.parametrize(
    ("typed", "span"),
    [
        ("3", [3, 3]),
        ("2 to 3", [2, 3]),
        ("2-3", [2, 3]),
        ("2–3", [2, 3]),
        (" 10 TO 12 ", [10, 12]),
        ("", None),
        ("  ", None),
    ],
)
def test_one_number_or_two(typed, span):
    assert parse_span(typed) == span


@pytest.mark.parametrize(
    ("typed", "kg"),
    [
        ("2 kg", [2, 2]),
        ("2 to 4 kg", [2, 4]),
        ("1,5", [1.5, 1.5]),
        ("10 lb", [4.54, 4.54]),
        ("2 to 4 lbs", [0.91, 1.81]),
    ],
)
def test_a_load_in_kg_or_pounds(typed, kg):
    assert parse_load(typed) == kg


@pytest.mark.parametrize("typed", ["many", "-2", "2 to", "2 to 3 to 4", "3.5", "2 kg", "99999", "1e3", "²", "2;3"])
def test_what_is_no_whole_number_is_said(typed):
    with pytest.raises(NotASpan, match="whole number"):
        parse_span(typed)


@pytest.mark.parametrize("span", [[3, 3], [2, 3], [1.81, 3.63]])
def test_what_is_typed_back_reads_the_same(span):
    assert parse_load(type_span(span)) == span
