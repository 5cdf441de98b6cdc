"""The measure of reading, held against a published example and words that were counted by hand."""

from __future__ import annotations

import pytest

from tests.reading import (
    blocks_of,
    counted_by_hand,
    grade_of_counts,
    reading_grade,
    sentences_of,
    syllables,
    syllables_by_rule,
    words_of,
)

# The example of Wikipedia's page "Flesch–Kincaid readability tests", 13 words. Editions of that page count it in two
# ways: 24 syllables, grade 11.3 (-lian and -ilian spoken as one), or 26 syllables, grade 13.1 (as two). The rules take
# the higher count, which makes a text harder and never easier.
PLATYPUS = "The Australian platypus is seemingly a hybrid of a mammal and reptilian creature."
# That page too: the lowest grade that the formula can give is −3.40, each sentence a word of one syllable.
LOWEST = -3.40


@pytest.mark.parametrize(("spoken", "grade"), [(24, 11.3), (26, 13.1)])
def test_the_formula_gives_the_published_grades(spoken, grade):
    assert grade_of_counts(sentences=1, words=13, spoken=spoken) == pytest.approx(grade, abs=0.05)


def test_the_published_example_has_its_published_words_and_the_higher_of_its_counts():
    assert len(words_of(PLATYPUS)) == 13
    assert sum(map(syllables, words_of(PLATYPUS))) == 26
    assert reading_grade([PLATYPUS]) == pytest.approx(13.1, abs=0.05)


def test_the_lowest_grade_is_the_published_one():
    assert reading_grade(["Go.", "Stop."]) == pytest.approx(LOWEST, abs=0.005)


def test_the_list_that_was_counted_by_hand_is_long_enough_to_judge_the_rules():
    assert len(counted_by_hand()) >= 200


def test_the_rules_alone_agree_with_the_words_that_were_counted_by_hand():
    """Where a dictionary allows two counts (*real*, *tired*, *toward*) the hand took the higher one."""
    by_hand = counted_by_hand()
    wrong = {word: syllables_by_rule(word) for word, count in by_hand.items() if syllables_by_rule(word) != count}
    assert len(wrong) <= 0.03 * len(by_hand), wrong
    assert sum(map(syllables_by_rule, by_hand)) == pytest.approx(sum(by_hand.values()), rel=0.02)


def test_a_head_or_a_button_is_no_sentence_and_makes_no_page_easier():
    page = "<main id='m'><h2>Got better</h2><p>You step well. It is <b>real</b>.</p><a>Report pain</a></main>"
    assert blocks_of(page) == ["Got better", "You step well. It is real.", "Report pain"]
    assert sentences_of(blocks_of(page)) == ["You step well.", "It is real."]


def test_a_number_with_a_point_ends_no_sentence():
    assert sentences_of(["You: 0.53 m. Good: from 0.70 m."]) == ["You: 0.53 m.", "Good: from 0.70 m."]


def test_hard_words_and_long_sentences_raise_the_grade():
    easy = ["You step short.", "Step out."]
    hard = ["Biomechanical assessment necessitates comprehensive interpretation of measurements."]
    assert reading_grade(easy) < 2
    assert reading_grade(hard) > 12
    assert reading_grade([" ".join(easy).replace(". S", " and s")]) > reading_grade(easy)
