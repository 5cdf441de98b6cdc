"""What a response says on a page: the worked example of docs/responses.md, in both systems of units."""

from __future__ import annotations

import datetime as dt
from types import SimpleNamespace

import pytest

from plans.responding.response import Response as Answer
from plans.responding.response import Work, respond
from plans.responding.values import Reason
from plans.selectors.response_words import NO_RESPONSE, decided_words, response_of, response_words
from plans.services.responses import told
from tests.plans.responding.cases import TERM, answered, day, seen


def stored(answer: Answer, **changed):
    """A response as it is kept, with the metric of the worked example and changed numbers."""
    kept = told(answer)
    kept["findings"][0] |= {"metric": "elbow_flexion_fp", **changed}
    return SimpleNamespace(word=answer.word or "", told=kept)


def finding(**changed) -> dict:
    """The second worked line of the page that a coach reads: 78 to 91, u of the difference 2."""
    return {
        "baseline": {"mean": 78.07, "date": "2026-03-31", "estimated": True},
        "now": {"mean": 91.0, "date": "2026-05-26"},
        "change": {"difference": 12.93, "u": 2.04},
        **changed,
    }


BETTER = respond([answered(seen(98.0, 40))], TERM)


def test_better_says_its_numbers_and_where_they_begin():
    words = response_words(stored(BETTER, **finding()), "us")
    assert words.sentence == "Better: elbow flexion at foot plant 78° → 91° (+13° ± 4), baseline estimated."
    assert (words.word, words.stays_due, words.reason) == ("better", False, "")
    assert (words.decides.baseline_on, words.decides.measured_on) == (dt.date(2026, 3, 31), dt.date(2026, 5, 26))


def test_a_measured_baseline_is_not_called_estimated():
    words = response_words(stored(respond([answered(seen(86.0, 5), seen(98.0, 40))], TERM)), "us")
    assert (words.decides.baseline, words.decides.then, words.decides.now) == ("", "86°", "98°")


def test_before_the_measurement_nothing_is_said_but_where_it_stood():
    words = response_words(stored(respond([answered()], TERM)), "us")
    assert (words.title, words.word, words.stays_due) == ("Not measured yet", "", True)
    assert words.reason == Reason.NOT_YET
    assert words.numbers == ""
    assert words.sentence == "Not measured yet: elbow flexion at foot plant, baseline 81°, estimated."


def test_what_is_not_comparable_stays_due_and_says_why():
    words = response_words(stored(respond([answered(seen(98.0, 40, comparable=False))], TERM)), "us")
    assert (words.title, words.stays_due) == ("Not comparable", True)
    assert "The follow-up stays due." in words.reason


def test_two_works_running_are_told_at_the_end():
    other = Work("other", frozenset({BETTER.decides.flag}), day(9))
    words = response_words(stored(respond([answered(seen(98.0, 40))], TERM, [other], key="own")), "us")
    assert words.sentence.endswith(", with two works running.")


def test_a_fall_has_a_true_minus():
    fall = finding(change={"difference": -6.2, "u": 1.5})
    assert "(−6° ± 3)" in response_words(stored(BETTER, **fall), "us").sentence


@pytest.mark.parametrize(
    ("metric", "system", "numbers"),
    [
        ("ball_speed", "us", "78.3 mph → 80.5 mph (+2.2 mph ± 1.8)"),
        ("ball_speed", "metric", "126.0 km/h → 129.6 km/h (+3.6 km/h ± 3)"),
        ("no_longer_known", "metric", "35.0 → 36.0 (+1.0 ± 0.8)"),
    ],
)
def test_numbers_stand_in_the_units_of_the_reader(metric, system, numbers):
    """35 m/s is 126 km/h, and 78.3 mph by the exact mile of 1,609.344 m."""
    values = {
        "metric": metric,
        "baseline": {"mean": 35.0, "date": "2026-03-31"},
        "now": {"mean": 36.0, "date": "2026-05-26"},
        "change": {"difference": 1.0, "u": 0.4},
    }
    assert response_words(stored(BETTER, **values), system).numbers == numbers


def test_other_findings_stand_beside_it_with_their_own_words():
    words = response_words(stored(respond([answered(seen(98.0, 40)), answered()], TERM)), "us")
    assert [one.word for one in words.beside] == [""]


def test_work_that_nothing_was_measured_for_says_so():
    assert response_words(None, "us") == NO_RESPONSE
    assert NO_RESPONSE.sentence == "Nothing measured to start from."
    assert NO_RESPONSE.stays_due


def test_a_decision_keeps_the_words_of_its_day():
    kept = stored(BETTER, **finding())
    follow_up = SimpleNamespace(decision="closed", decided_on={"word": "better", **kept.told}, response=None)
    assert decided_words(follow_up, "us") == response_of(follow_up, "us") == response_words(kept, "us")


def test_numbers_that_are_not_known_are_left_out():
    bare = finding(change=None, baseline=None)
    assert response_words(stored(BETTER, **bare), "us").numbers == "91°"
