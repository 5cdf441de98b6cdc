"""What an intervention did for a flag, told only when enough athletes and a difference stand behind it."""

from __future__ import annotations

from itertools import count

import pytest

from plans.responding.response import Answered
from plans.responding.shares import newcombe, wilson
from plans.responding.values import Flag, ResponseWord
from plans.responding.works_here import Claim, Outcome, course_without_work, usual_days, works_here
from tests.plans.responding.cases import FLAG, PEOPLE, RAISED, day, seen

BETTER, SAME, WORSE = ResponseWord.BETTER, ResponseWord.NO_REAL_CHANGE, ResponseWord.WORSE
CANT, NOT = ResponseWord.CANT_TELL, ResponseWord.NOT_COMPARABLE
_athletes = count(1000)


def outcome(word, *, athlete=None, intervention="hip work", flag=FLAG, start=7, days=42, before=7):
    athlete = next(_athletes) if athlete is None else athlete
    return Outcome(athlete, flag, intervention, word, day(start), before, days)


def many(word, number, **changed):
    return [outcome(word, **changed) for _ in range(number)]


def only_cell(outcomes):
    (cell,) = works_here(outcomes).cells
    return cell


def test_counts_and_wilson_intervals_of_a_cell():
    cell = only_cell([*many(BETTER, 4), *many(SAME, 3), *many(WORSE, 1), *many(CANT, 2)])

    assert cell.with_work.total == 10
    assert cell.with_work.counts == {BETTER: 4, SAME: 3, WORSE: 1, CANT: 2}
    assert cell.with_work.shares[BETTER] == wilson(4, 10)
    assert (cell.intervention, cell.flag) == ("hip work", FLAG)


def test_not_comparable_is_no_response_yet():
    assert only_cell([*many(BETTER, 5), *many(NOT, 3)]).with_work.total == 5


def test_one_response_an_athlete_and_it_is_the_first():
    again = [
        outcome(BETTER, athlete=1, start=90),
        outcome(SAME, athlete=1, start=7),
        outcome(BETTER, athlete=1, start=50),
    ]
    cell = only_cell([*again, *many(SAME, 4)])

    assert (cell.with_work.total, cell.with_work.counts[BETTER]) == (5, 0)


def test_under_five_athletes_nothing_is_told():
    cell = only_cell([*many(BETTER, 4), *many(SAME, 9, intervention=None)])

    assert cell.with_work.hidden
    assert (cell.with_work.total, cell.with_work.counts, cell.with_work.shares) == (0, {}, {})
    assert (cell.difference, cell.claim) == (None, Claim.TOO_FEW)
    assert not cell.without_work.hidden


def test_many_responses_of_four_athletes_are_four():
    assert only_cell([outcome(BETTER, athlete=one % 4, start=one) for one in range(40)]).with_work.hidden


def test_without_enough_courses_beside_it_nothing_is_claimed():
    cell = only_cell([*many(BETTER, 30), *many(SAME, 4, intervention=None)])

    assert cell.without_work.hidden
    assert (cell.difference, cell.claim) == (None, Claim.TOO_FEW)


def test_better_is_claimed_for_the_difference_only():
    """Nine of ten better is no proof when eight of ten got better without."""
    alone = [*many(BETTER, 9), *many(SAME, 1)]
    also = [*many(BETTER, 8, intervention=None), *many(SAME, 2, intervention=None)]
    seldom = [*many(BETTER, 3, intervention=None), *many(SAME, 7, intervention=None)]

    assert only_cell([*alone, *also]).claim is Claim.NOT_SHOWN
    assert only_cell([*alone, *seldom]).claim is Claim.BETTER
    assert only_cell([*alone, *seldom]).difference == newcombe(9, 10, 3, 10)


def test_less_often_better_is_told_too():
    worse = [*many(SAME, 10), *many(BETTER, 10, intervention=None)]

    assert only_cell(worse).claim is Claim.WORSE


def test_the_course_without_work_is_that_of_other_athletes_with_the_same_flag():
    worked = [outcome(BETTER, athlete=one) for one in range(6)]
    same_athletes = [outcome(SAME, athlete=one, intervention=None) for one in range(6)]
    other_flag = many(SAME, 6, intervention=None, flag=Flag("stride_length", "low"))

    assert only_cell([*worked, *same_athletes, *other_flag]).without_work.hidden


@pytest.mark.parametrize(("days", "is_hidden"), [(27, True), (28, False), (63, False), (64, True)])
def test_the_course_took_about_as_many_weeks(days, is_hidden):
    cell = only_cell([*many(BETTER, 6, days=42), *many(SAME, 6, intervention=None, days=days)])

    assert cell.without_work.hidden is is_hidden


def test_of_an_athletes_courses_the_one_with_the_nearest_number_of_days_counts_whatever_it_says():
    courses = [
        outcome(BETTER, athlete="one", intervention=None, days=50),
        outcome(SAME, athlete="one", intervention=None, days=44),
        *many(SAME, 4, intervention=None),
    ]

    assert only_cell([*many(BETTER, 6), *courses]).without_work.counts[BETTER] == 0


def test_each_intervention_and_flag_has_its_cell():
    table = works_here(
        [*many(BETTER, 5), *many(SAME, 5, intervention="ankle work"), *many(SAME, 5, flag=Flag("x", "low"))]
    )

    assert [(cell.flag.metric, cell.intervention) for cell in table.cells] == [
        (FLAG.metric, "hip work"),
        (FLAG.metric, "ankle work"),
        ("x", "hip work"),
    ]


def test_how_many_claims_chance_alone_would_make_is_told():
    compared = [*many(SAME, 6), *many(SAME, 6, intervention="ankle work"), *many(SAME, 6, intervention=None)]
    hidden = many(SAME, 3, intervention="shoulder work")

    assert works_here([*compared, *hidden]).false_claims_expected == pytest.approx(2 * 0.025)
    assert works_here([]).false_claims_expected == 0


def test_usual_days_are_medians():
    given = [outcome(SAME, before=before, days=days) for before, days in [(3, 40), (7, 41), (30, 90)]]

    assert usual_days(given) == (7, 41)
    with pytest.raises(ValueError, match="at least one"):
        usual_days([])


def test_a_course_without_work_is_judged_from_the_session_after_the_flag():
    """Nobody decided on work because of it, so it may be flagged again."""
    sessions = [seen(82, 6, is_flag=True), seen(83, 50)]
    found = course_without_work(Answered(FLAG, RAISED, sessions, PEOPLE), 7, 42)

    assert (found.baseline.keys, found.measured_keys, found.word) == ((6,), (50,), SAME)


def test_a_course_without_work_waits_as_long_as_the_work_took():
    found = course_without_work(Answered(FLAG, RAISED, [seen(95, 48)], PEOPLE), 7, 42)

    assert found.word is None
