"""What a re-measurement says of a prescription."""

from __future__ import annotations

import pytest

from metrics.change.values import Word
from metrics.judging.values import Limits
from plans.responding.response import LEVELS, Work, respond, respond_finding
from plans.responding.values import Flag, Reason, ResponseWord
from tests.plans.responding.cases import FLAG, TERM, answered, day, seen

HIGH = Flag("stride_length", "high")


def of(*sessions, **changed):
    return respond_finding(answered(*sessions, **changed), TERM)


def test_words_are_the_glossarys():
    assert [word.value for word in ResponseWord] == [
        "better",
        "no real change",
        "worse",
        "can’t tell",
        "not comparable",
    ]


@pytest.mark.parametrize(
    ("then", "now", "word", "reason"),
    [
        (80, 95, ResponseWord.BETTER, Reason.NONE),
        (80, 88, ResponseWord.BETTER, Reason.NONE),
        (80, 84, ResponseWord.NO_REAL_CHANGE, Reason.NONE),
        (80, 76, ResponseWord.NO_REAL_CHANGE, Reason.NONE),
        (80, 70, ResponseWord.WORSE, Reason.NONE),
        (80, 113, ResponseWord.BETTER, Reason.CROSSED),
        (85, 125, ResponseWord.WORSE, Reason.CROSSED),
        (91, 108, ResponseWord.NO_REAL_CHANGE, Reason.INSIDE),
    ],
)
def test_words_from_a_measured_baseline(then, now, word, reason):
    found = of(seen(then, 5), seen(now, 36))

    assert (found.word, found.reason, found.baseline.estimated) == (word, reason, False)


def test_the_change_runs_from_baseline_to_re_measurement_and_not_from_the_flag():
    found = of(seen(86, 5), seen(95, 36))

    assert (found.change.difference, found.baseline.keys, found.measured_keys) == (9.0, (5,), (36,))


def test_the_first_comparable_session_on_or_after_the_follow_up_date_counts():
    found = of(seen(86, 5), seen(99, 34), seen(87, 35), seen(97, 50))

    assert (found.measured.mean, found.measured_keys) == (87, (35,))


def test_nothing_measured_yet_has_no_word_and_stays_due():
    found = of(seen(86, 5), seen(99, 34))

    assert (found.word, found.reason, found.stays_due) == (None, Reason.NOT_YET, True)
    assert found.baseline.keys == (5,)


@pytest.mark.parametrize("later", [seen(99, 36, comparable=False), seen(99, 36, n=0), seen(float("nan"), 36)])
def test_another_method_is_not_comparable_and_stays_due(later):
    found = of(seen(86, 5), later)

    assert (found.word, found.reason, found.stays_due) == (ResponseWord.NOT_COMPARABLE, Reason.OTHER_WAY, True)


def test_a_comparable_session_after_one_that_is_not_ends_the_wait():
    assert of(seen(86, 5), seen(99, 36, comparable=False), seen(96, 40)).word is ResponseWord.BETTER


def test_a_withdrawn_session_is_as_if_it_had_never_been():
    """The caller leaves it out; the response falls back to the next, or to none."""
    assert of(seen(86, 5), seen(96, 36), seen(87, 50)).word is ResponseWord.BETTER
    assert of(seen(86, 5), seen(87, 50)).word is ResponseWord.NO_REAL_CHANGE
    assert of(seen(86, 5)).word is None


def test_distances_are_to_the_range_of_the_later_date():
    moved = Limits(70.0, 85.0, 65.0, 90.0)

    assert of(seen(80, 5), seen(92, 36, limits=moved)).word is ResponseWord.WORSE


def test_without_a_session_to_session_uncertainty_it_cannot_be_told():
    found = of(seen(80, 5, u_between=None), seen(95, 36, u_between=None))

    assert (found.word, found.reason) == (ResponseWord.CANT_TELL, Reason.ERROR_NOT_KNOWN)


def test_a_real_change_without_a_target_cannot_be_told():
    found = of(seen(80, 5), seen(95, 36, limits=None))

    assert (found.word, found.reason, found.change.is_real) == (ResponseWord.CANT_TELL, Reason.NO_TARGET, True)


def test_without_any_baseline_it_cannot_be_told():
    raised = seen(80, limits=None)
    found = of(seen(95, 36), raised_by=raised, source=None)

    assert (found.word, found.reason, found.change) == (ResponseWord.CANT_TELL, Reason.NO_BASELINE, None)


def test_an_estimated_baseline_is_marked():
    found = of(seen(95, 36))

    assert (found.word, found.baseline.estimated) == (ResponseWord.BETTER, True)


@pytest.mark.parametrize(
    ("sessions", "level"),
    [
        ([seen(86, 5), seen(95, 36)], 0.04),
        ([seen(86, 5, n=4), seen(95, 36)], 0.025),
        ([seen(86, 5), seen(95, 36, n=1, sd=None)], 0.025),
        ([seen(95, 36)], 0.02),
        ([seen(95, 36, n=3)], 0.01),
    ],
)
def test_fewer_throws_and_an_estimate_ask_for_more(sessions, level):
    assert of(*sessions).level == level
    assert level in LEVELS.values()


def test_between_the_usual_level_and_its_own_a_change_cannot_be_told():
    found = of(seen(88.8, 36))

    assert 0.02 < found.change.p < 0.05
    assert (found.word, found.reason) == (ResponseWord.CANT_TELL, Reason.CLOSE)
    assert of(seen(88.8, 36), seen(81, 5)).word is ResponseWord.BETTER


def test_worse_than_an_estimate_must_be_worse_than_the_flag_too():
    """Without a source SD the estimate is 89.3: an athlete who stays at 80 did not get worse."""
    stays, falls = of(seen(80, 36), source=None), of(seen(68, 36), source=None)

    assert (stays.word, stays.reason) == (ResponseWord.CANT_TELL, Reason.ONLY_FROM_ESTIMATE)
    assert falls.word is ResponseWord.WORSE


def test_the_finding_that_is_named_first_decides_and_the_rest_stand_beside_it():
    first = answered(seen(86, 5), seen(87, 36))
    second = answered(seen(80, 5), seen(95, 36), flag=HIGH)

    found, turned = respond([first, second], TERM), respond([second, first], TERM)

    assert (found.word, [one.word for one in found.beside]) == (ResponseWord.NO_REAL_CHANGE, [ResponseWord.BETTER])
    assert (turned.word, turned.decides.flag) == (ResponseWord.BETTER, HIGH)


def test_a_prescription_stays_due_while_its_first_finding_is_not_comparable():
    first = answered(seen(86, 5), seen(87, 36, comparable=False))
    second = answered(seen(80, 5), seen(95, 36), flag=HIGH)

    assert respond([first, second], TERM).stays_due


def test_a_prescription_answers_something():
    with pytest.raises(ValueError, match="at least one finding"):
        respond([], TERM)


@pytest.mark.parametrize(
    ("other", "words"),
    [
        (Work("other", frozenset({FLAG, HIGH}), day(0)), "with two works running"),
        (Work("other", frozenset({FLAG}), day(36)), "with two works running"),
        (Work("other", frozenset({FLAG}), day(-30), day(7)), "with two works running"),
        (Work("own", frozenset({FLAG}), day(7)), ""),
        (Work("other", frozenset({HIGH}), day(0)), ""),
        (Work("other", frozenset({FLAG._replace(side="high")}), day(0)), ""),
        (Work("other", frozenset({FLAG}), day(-30), day(6)), ""),
        (Work("other", frozenset({FLAG}), day(37)), ""),
    ],
    ids=[
        "open",
        "begun on the day",
        "ended on the first day",
        "itself",
        "metric",
        "side",
        "ended before",
        "begun after",
    ],
)
def test_two_works_on_one_finding_are_told(other, words):
    found = respond([answered(seen(80, 5), seen(95, 36))], TERM, [other], key="own")

    assert found.works_words == words
    assert found.running_beside == (("other",) if words else ())


def test_three_works():
    others = [Work(number, frozenset({FLAG}), day(0)) for number in (1, 2)]

    assert respond([answered()], TERM, others, key=0).works_words == "with three works running"


def test_worked_change_is_the_change_packages():
    assert of(seen(86, 5), seen(95, 36)).change.word is Word.BETTER
