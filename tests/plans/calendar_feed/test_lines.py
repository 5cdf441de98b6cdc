"""Content lines: the examples of RFC 5545, and for any text at all that nothing is torn, lost or let out."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans.calendar_feed.lines import escaped, folded
from tests.plans.calendar_feed.entries import unescaped, unfolded

ANY_TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=400)
PLAIN_TEXT = st.text(st.characters(exclude_categories=["Cs", "Cc", "Zl", "Zp"]), max_size=400)
WIDE_TEXT = st.text(st.sampled_from("aé’漢🙂 \\"), max_size=300)


def test_the_reader_of_these_tests_unfolds_the_standards_example():
    """RFC 5545, section 3.1: three physical lines that are one."""
    text = "DESCRIPTION:This is a lo\r\n ng description\r\n  that exists on a long line.\r\n"

    assert unfolded(text) == ["DESCRIPTION:This is a long description that exists on a long line."]


def test_lines_of_text_are_written_as_the_standards_example():
    """RFC 5545, section 3.3.11."""
    text = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."

    assert escaped(text) == r"Project XYZ Final Review\nConference Room - 3B\nCome Prepared."


def test_the_four_signs_are_escaped_and_a_colon_is_not():
    """RFC 5545, section 3.3.11: backslash, semicolon, comma and line break; a colon SHALL NOT be."""
    assert escaped("a\\b;c,d\ne:f") == r"a\\b\;c\,d\ne:f"


def test_a_backslash_before_an_n_is_no_line_break():
    assert escaped(r"C:\new") == r"C:\\new"
    assert unescaped(escaped(r"C:\new")) == r"C:\new"


@pytest.mark.parametrize("sign", ["\r\n", "\r", "\n", "\x0b", "\x0c", "\x85", "\u2028", "\u2029"])
def test_nothing_that_some_reader_takes_for_a_line_break_stays_one(sign):
    assert escaped(f"Ada{sign}END:VEVENT") == r"Ada\nEND:VEVENT"


def test_control_signs_are_left_out_and_half_a_pair_is_replaced():
    assert escaped("A\x00d\x07a\x7f\tM") == "Ada\tM"
    assert escaped("A\ud83dda") == "A\ufffdda"


@settings(deadline=None)
@given(ANY_TEXT)
def test_escaped_text_is_one_line_of_signs_that_the_grammar_knows(text):
    written = escaped(text)

    assert len(written.splitlines()) <= 1
    assert not any((ord(sign) < 32 and sign != "\t") or ord(sign) == 127 for sign in written)


@settings(deadline=None)
@given(PLAIN_TEXT)
def test_text_comes_back_as_it_was(text):
    assert unescaped(escaped(text)) == text


@pytest.mark.parametrize(
    ("octets", "lines"), [(74, 1), (75, 1), (76, 2), (75 + 74, 2), (75 + 75, 3)], ids=lambda one: str(one)
)
def test_a_line_of_75_octets_is_whole_and_a_continuation_holds_74_more(octets, lines):
    assert folded("a" * octets).count("\r\n") == lines


@settings(deadline=None)
@given(st.one_of(PLAIN_TEXT, WIDE_TEXT))
def test_no_physical_line_is_longer_than_75_octets_and_no_sign_is_torn(text):
    written = folded(text).encode()
    physical = written.split(b"\r\n")

    assert physical[-1] == b""
    assert max(map(len, physical)) <= 75
    for line in physical:
        line.decode()  # a torn sign is not UTF-8 by itself
    assert all(line.startswith(b" ") for line in physical[1:-1])
    assert unfolded(written.decode()) == [text]


@settings(deadline=None)
@given(WIDE_TEXT)
def test_lines_are_as_few_as_they_can_be(text):
    """A continuation begins only where the next sign would not have gone in: at most three octets stay free."""
    physical = folded(text).split("\r\n")[:-1]

    for line, following in itertools.pairwise(physical):
        assert len(line.encode()) + len(following[1].encode()) > 75
