"""*Really changing?* in one word, and who moved: from no session to many, with ranges that move, open and close."""

from __future__ import annotations

import itertools
import math
import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from metrics.change.answer import Moved, really_changing, who_moved
from metrics.change.days import uncertainties
from metrics.change.kendall import level_spent
from metrics.change.values import Word
from metrics.judging.values import Limits
from tests.metrics.change.points import LIMITS, point, series

NARROWER = Limits(95.0, 110.0, 90.0, 115.0)
RISING = [78, 81, 80, 84, 86, 89, 91]
STILL = [88, 87, 89, 88, 87, 89, 88]


class TestWord:
    def test_nothing_and_one_session_cannot_tell_yet(self):
        for points, more in (([], 5), (series([88]), 4), (series([88, 99], days=[3, 3]), 4)):
            answer = really_changing(points)

            assert (answer.word, answer.more_needed, answer.is_real) == (Word.CANT_TELL, more, False)
            assert (answer.change, answer.course, answer.direction) == (None, None, "")
            assert math.isnan(answer.p)

    def test_two_sessions_far_apart_are_better_or_worse_at_once(self):
        answer = really_changing(series([75, 95]))

        assert (answer.word, answer.more_needed, answer.direction) == (Word.BETTER, 3, "rising")
        assert answer.p == answer.change.p

    def test_before_five_sessions_the_first_stands_against_the_last(self):
        there_and_back = series([75, 97, 96, 76])

        assert really_changing(there_and_back).word is Word.CANT_TELL
        assert really_changing(there_and_back[:3]).word is Word.BETTER

    def test_few_sessions_that_do_not_differ_cannot_show_that_nothing_changes(self):
        answer = really_changing(series(STILL[:4]))

        assert (answer.word, answer.more_needed, answer.change.word) == (Word.CANT_TELL, 1, Word.NO_REAL_CHANGE)

    @pytest.mark.parametrize(
        ("means", "word"), [(RISING, Word.BETTER), (RISING[::-1], Word.WORSE), (STILL, Word.NO_REAL_CHANGE)]
    )
    def test_from_five_sessions_the_course_says_it(self, means, word):
        answer = really_changing(series(means))

        assert (answer.word, answer.more_needed) == (word, 0)
        assert answer.course.sessions == 7

    def test_better_with_four_sessions_is_not_lost_with_the_fifth(self):
        """A jump after the first session: five means in no perfect order, whose exact test can never call it real."""
        points = series([75, 96, 95, 97, 95.5])
        answer = really_changing(points)

        assert really_changing(points[:4]).word is Word.BETTER
        assert not answer.course.is_real
        assert (answer.word, answer.by, answer.direction) == (Word.BETTER, answer.change, "rising")

    def test_what_the_two_tests_use_of_the_level_adds_up_to_it(self):
        """First against last counts as real only within what the test of order leaves: 5% - 1.7% with five sessions."""
        spent = level_spent(np.arange(5.0), 0.05)
        near = [really_changing(series([80, 84, 81, 85, 80 + 0.01 * step])).change for step in range(300, 1200)]
        between = [change for change in near if 0.05 - spent < change.p < 0.05]

        assert spent == pytest.approx(2 / 120)
        assert between
        for change in between:
            answer = really_changing(series([80, 84, 81, 85, 80 + change.difference]))
            assert (change.is_real, answer.is_real) == (True, False)

    def test_the_difference_that_counts_grows_with_what_the_course_takes(self):
        two, five = really_changing(series([80, 84])), really_changing(series([80, 84, 81, 85, 82]))

        assert two.detectable == two.change.detectable
        assert five.detectable > five.change.detectable
        for above, real in ((-0.01, False), (0.01, True)):
            nearly = really_changing(series([80, 99, 81, 98, 80 + five.detectable + above]))
            assert (nearly.by is nearly.change) is real
        assert math.isnan(really_changing(series([88] * 12)).detectable)
        assert math.isnan(really_changing([]).detectable)

    def test_p_is_at_most_five_percent_exactly_when_it_is_real(self):
        chance = np.random.default_rng(4)
        for sessions, _ in itertools.product(range(2, 14), range(40)):
            answer = really_changing(
                series(88 + chance.normal(0, 3, sessions) + np.linspace(0, chance.uniform(0, 8), sessions))
            )

            assert (answer.p <= 0.05 + 1e-12) == answer.is_real

    def test_above_ten_sessions_the_course_stands_alone(self):
        assert really_changing(series([75, *[95] * 10])).change is None
        assert really_changing(series([75, *[95, 96, 94] * 3])).change is not None


def test_a_line_against_its_own_order_has_shown_nothing():
    answer = really_changing(series([80, 81, 82, 83, 84, 85, 86, 87, 79], days=[0, 1, 2, 3, 4, 5, 6, 7, 700]))

    assert answer.course.p <= 0.05
    assert not answer.is_real
    assert answer.p > 0.5


class TestBadInput:
    @pytest.mark.parametrize("unknown", [0, 1, 2, 3])
    def test_unknown_session_uncertainty_of_the_first_or_last_of_four_cannot_be_judged(self, unknown):
        points = [
            point(mean, 14 * i, u_between=None if i == unknown else 1.5) for i, mean in enumerate([75, 80, 90, 95])
        ]
        answer = really_changing(points)

        assert answer.word is (Word.CANNOT_BE_JUDGED if unknown in (0, 3) else Word.BETTER)
        assert answer.more_needed == 1

    def test_without_session_uncertainty_five_sessions_are_judged_by_their_own_scatter(self):
        answer = really_changing(series(RISING, u_between=None))

        assert (answer.word, answer.change, answer.p) == (Word.BETTER, None, answer.course.p)

    def test_a_session_not_seen_is_left_out(self):
        points = [*series(RISING), point(math.nan, 500), point(math.inf, 501), point(10, 502, n=0)]

        assert really_changing(points) == really_changing(points[:7])

    @pytest.mark.parametrize("sessions", [2, 7])
    @pytest.mark.parametrize("limits", [None, Limits()])
    def test_without_a_target_a_real_change_has_a_direction_and_no_better_or_worse(self, sessions, limits):
        answer = really_changing(series([*RISING[: sessions - 1], 99], limits=limits))

        assert (answer.word, answer.is_real, answer.direction) == (Word.CANNOT_BE_JUDGED, True, "rising")
        assert really_changing(series(STILL, limits=limits)).word is Word.NO_REAL_CHANGE

    def test_a_target_open_on_one_side(self):
        at_least = Limits(target_low=90.0, flag_low=85.0)

        assert really_changing(series(RISING, limits=at_least)).word is Word.BETTER

    def test_a_gap_of_a_year(self):
        assert really_changing(series([75, 95], days=[0, 365])).word is Word.BETTER
        assert really_changing(series(RISING, days=[0, 14, 28, 400, 414, 428, 442])).word is Word.BETTER


class TestWhoMoved:
    @pytest.mark.parametrize(
        ("means", "last", "moved"),
        [
            (RISING, LIMITS, Moved.ATHLETE),
            (RISING, NARROWER, Moved.BOTH),
            (STILL, NARROWER, Moved.RANGE),
            (STILL, LIMITS, Moved.NEITHER),
            (STILL, None, Moved.RANGE),
            (STILL, Limits(90.0, 110.0, 85.0), Moved.RANGE),
        ],
    )
    def test_athlete_range_both_or_neither(self, means, last, moved):
        points = series(means)
        points[-1] = point(means[-1], 84, limits=last)

        assert who_moved(points) is moved
        assert who_moved(points, really_changing(points)) is moved

    def test_a_shift_of_less_than_a_tenth_of_u_is_no_move(self):
        points = series(STILL)
        u = uncertainties(points[-1:])[0]

        def shifted(by):
            return Limits(90.0 + by, 110.0, 85.0, 115.0)

        assert who_moved([*points[:-1], point(88, 84, limits=shifted(0.09 * u))]) is Moved.NEITHER
        assert who_moved([*points[:-1], point(88, 84, limits=shifted(0.11 * u))]) is Moved.RANGE

    def test_without_u_any_shift_beyond_rounding_is_a_move(self):
        points = series(STILL, u_between=None)

        def ends_with(limits):
            return [*points[:-1], point(88, 84, limits=limits, u_between=None)]

        assert who_moved(ends_with(Limits(90.01, 110.0, 85.0, 115.0))) is Moved.RANGE
        assert who_moved(ends_with(Limits(90.0 + 1e-12, 110.0, 85.0, 115.0))) is Moved.NEITHER

    def test_one_session_moves_nobody(self):
        assert who_moved(series([88])) is Moved.NEITHER
        assert who_moved([]) is Moved.NEITHER


given_points = st.lists(st.tuples(st.integers(60, 140), st.integers(0, 120)), min_size=0, max_size=12)
MIRRORED = Limits(-110.0, -90.0, -115.0, -85.0)


def compared(answer):
    return answer.word, answer.more_needed, answer.is_real, pytest.approx(answer.p, nan_ok=True)


@settings(max_examples=100, deadline=None)
@given(given_points, st.integers(-64, 64), st.randoms(use_true_random=False))
def test_neither_a_shift_nor_another_order_changes_the_answer(numbers, shift, shuffler):
    limits = Limits(90.0 + shift, 110.0 + shift, 85.0 + shift, 115.0 + shift)
    here = [point(float(mean), day) for mean, day in numbers]
    there = [point(float(mean + shift), day, limits=limits) for mean, day in numbers]
    shuffler.shuffle(there)

    assert compared(really_changing(there)) == compared(really_changing(here))
    assert who_moved(there) is who_moved(here)


@settings(max_examples=100, deadline=None)
@given(given_points)
def test_mirrored_it_is_the_same_word_in_the_other_direction(numbers):
    here = really_changing([point(float(mean), day) for mean, day in numbers])
    there = really_changing([point(float(-mean), day, limits=MIRRORED) for mean, day in numbers])

    assert compared(there) == compared(here)
    assert there.direction == {"rising": "falling", "falling": "rising", "": ""}[here.direction]


def test_seventy_metrics_of_150_sessions_cost_less_than_their_numbers_are_worth():
    """Against ten plain passes over all pairs of the same numbers, so that a slow machine slows both."""
    chance = np.random.default_rng(7)
    metrics = [series(88 + chance.normal(0, 3, 150), days=range(0, 1050, 7)) for _ in range(70)]
    first, second = np.triu_indices(150, 1)

    def seconds(work):
        best = math.inf
        for _ in range(3):
            began = time.process_time()
            work()
            best = min(best, time.process_time() - began)
        return best

    plain = seconds(
        lambda: [
            np.sort(np.array([p.mean for p in one])[second] - np.array([p.mean for p in one])[first]) for one in metrics
        ]
    )
    ours = seconds(lambda: [really_changing(one) for one in metrics])

    assert ours < 10 * plain
