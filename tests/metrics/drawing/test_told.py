"""A verdict in the words of a family: the same that the mark shows, and no number of the measurement."""

from __future__ import annotations

import re

import pytest

from metrics.catalogue.plain import load_plain_words
from metrics.drawing.marks import Verdict
from metrics.drawing.told import end_word, picture_words, place_words, tenths, verdict_words

ENDS = ("too short", "good length", "too long")


@pytest.mark.parametrize(
    ("verdict", "ends", "words"),
    [
        (Verdict("in_range"), ENDS, "good length"),
        (Verdict("flag", "low"), ENDS, "too short"),
        (Verdict("flag", "high"), ENDS, "too long"),
        (Verdict("watch", "high"), ENDS, "a little long"),
        (Verdict("watch", "low", "likely"), ("used up", "good", "a lot left"), "a bit toward “used up”"),
        (Verdict("watch", "high", "cant_tell"), ENDS, "can’t tell"),
        (Verdict("not_scored"), ENDS, ""),
    ],
)
def test_the_place_is_said_by_the_word_of_its_end(verdict, ends, words):
    assert place_words(verdict, ends) == words


def test_in_range_stands_on_the_good_side_whatever_side_the_value_lies_on():
    assert end_word(Verdict("in_range", "high"), ENDS) == "good length"


@pytest.mark.parametrize(
    ("verdict", "probability", "words"),
    [
        (Verdict("flag", "low", "likely"), 0.8, "flag low, likely, about 8 in 10"),
        (Verdict("watch", "high", "sure"), 0.97, "watch, sure"),
        (Verdict("in_range", "", "likely"), None, "in range, likely"),
        (Verdict("flag", "low", "cant_tell"), 0.5, "watch or flag"),
        (Verdict("not_scored"), 0.9, "not scored"),
    ],
)
def test_the_verdict_beside_it_is_that_of_every_other_page(verdict, probability, words):
    assert verdict_words(verdict, probability) == words


@pytest.mark.parametrize(("chance", "of_ten"), [(0.0, 1), (0.04, 1), (0.749, 7), (0.75, 8), (0.94, 9), (1.0, 9)])
def test_a_chance_in_tenths_never_claims_what_is_not_sure(chance, of_ten):
    assert tenths(chance) == of_ten


@pytest.mark.parametrize("metric", sorted(load_plain_words()))
def test_the_name_of_a_picture_says_ends_and_place_and_holds_no_number(metric):
    plain = load_plain_words()[metric]
    name = picture_words(Verdict("flag", "high", "likely"), plain.ends, plain.high_headline, Verdict("watch", "low"))
    for word in plain.ends:
        assert f"“{word}”" in name
    assert f"The mark stands past the end tick, at “{plain.high_end}”." in name
    assert f"Last time it stood beside the good range, at “{plain.low_end}”." in name
    assert not re.search(r"\d", name)


def test_a_picture_without_a_verdict_claims_no_place():
    assert "mark" not in picture_words(Verdict("not_scored"), ENDS, "Your step")
