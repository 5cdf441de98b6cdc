"""A course over weeks: slope and interval against scipy, the test's words, and series that are short, long or odd."""

from __future__ import annotations

import math
import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from metrics.change.days import Series, in_blocks
from metrics.change.slopes import BOOTSTRAP_FROM, BOOTSTRAP_UP_TO, pair_slopes, sen_interval, weighted_median
from metrics.change.values import Word
from metrics.change.weeks import course_of
from metrics.judging.values import Limits
from tests.metrics.change.points import LIMITS, point, series

RISING = [78, 81, 80, 84, 86, 89, 91]


def made_up(length, number=0):
    chance = np.random.default_rng([length, number])
    return np.cumsum(chance.integers(1, 30, length)).astype(float), chance.normal(0, 3, length)


class TestSlope:
    @pytest.mark.parametrize("length", [5, 6, 7, 20, 61])
    def test_with_equal_weights_it_is_scipys(self, length):
        day, mean = made_up(length)
        pairs = pair_slopes(Series(day - day[0], mean, np.ones(length)))
        theirs = stats.theilslopes(mean, day)

        assert weighted_median(pairs.slope, np.ones(pairs.slope.size)) == pytest.approx(theirs.slope)
        assert sen_interval(pairs.slope, (1,) * length) == pytest.approx((theirs.low_slope, theirs.high_slope))

    def test_weights_are_the_inverse_variances_of_the_pair_slopes(self):
        day, mean = made_up(6)
        u = np.array([1.0, 2.0, 0.5, 1.5, 1.0, 3.0])
        pairs = pair_slopes(Series(day, mean, 1 / u**2))
        by_hand = sorted(
            ((mean[j] - mean[i]) / (day[j] - day[i]), (day[j] - day[i]) ** 2 / (u[i] ** 2 + u[j] ** 2))
            for i in range(6)
            for j in range(i + 1, 6)
        )

        assert list(zip(pairs.slope, pairs.weight, strict=True)) == [pytest.approx(one) for one in by_hand]

    @settings(max_examples=100, deadline=None)
    @given(st.lists(st.tuples(st.integers(-20, 20), st.integers(1, 6)), min_size=1, max_size=12))
    def test_weighted_median_is_the_median_of_values_repeated_as_often_as_they_weigh(self, weighed):
        values, weight = np.array(sorted(weighed), dtype=float).T

        assert weighted_median(values, weight) == np.median(np.repeat(values, weight.astype(int)))

    def test_one_wild_session_hardly_moves_it(self):
        wild = [*RISING[:3], 140, *RISING[4:]]

        assert course_of(series(wild)).slope_per_day == pytest.approx(course_of(series(RISING)).slope_per_day, rel=0.3)


class TestInterval:
    @pytest.mark.parametrize("length", [5, 6, 7])
    def test_below_eight_sessions_it_leaves_zero_out_exactly_when_the_course_is_real(self, length):
        for number in range(80):
            days, means = made_up(length, number)
            course = course_of(series(means + 0.1 * days, days=[int(day) for day in days]))

            assert (course.low > 0 or course.high < 0) == course.is_real

    @pytest.mark.parametrize("length", [8, 10, 20, 25])
    def test_it_holds_the_true_slope_in_about_95_of_100_series(self, length):
        """400 series, true slope 0.02 a day, sessions of 1 to 10 throws. Three Monte Carlo SD are 3.3 points."""
        held = 0
        for number in range(400):
            chance = np.random.default_rng([length, number])
            days = np.cumsum(chance.integers(7, 22, length))
            throws = chance.choice([1, 3, 5, 10], length)
            means = 0.02 * days + chance.normal(0, np.sqrt(16 / throws + 1.5**2))
            points = [
                point(mean, int(day), n=int(n), sd=4.0 if n > 1 else None)
                for mean, day, n in zip(means, days, throws, strict=True)
            ]
            course = course_of(points)
            held += course.low <= 0.02 <= course.high

        assert 0.95 - 0.033 - 0.015 <= held / 400 <= 0.995  # 1.5 points: what bootstrapping few sessions costs

    def test_the_same_series_gives_the_same_interval_every_time(self):
        points = series(np.sin(np.arange(12.0)) * 4 + 90)

        assert course_of(points) == course_of(points)

    def test_a_surest_pair_outside_sens_interval_is_taken_into_it(self):
        """Two sessions of 2,000 throws outweigh all others; the interval still holds their slope."""
        throws = [1, 1, 1, 1, 2000, 2000, 1]
        means, days = [108, 108, 102, 96, 99, 78, 81], [49, 97, 128, 158, 214, 230, 279]
        points = [
            point(mean, day, n=n, sd=4.0 if n > 1 else None, u_between=0.01)
            for mean, day, n in zip(means, days, throws, strict=True)
        ]
        course = course_of(points)

        assert course.slope_per_day == pytest.approx(-21 / 16)
        assert course.low == course.slope_per_day < course.high

    def test_interval_holds_the_slope(self):
        for length in (BOOTSTRAP_FROM - 1, BOOTSTRAP_FROM, BOOTSTRAP_UP_TO, BOOTSTRAP_UP_TO + 1):
            days, means = made_up(length)
            course = course_of(series(means, days=[int(day) for day in days]))

            assert course.low <= course.slope_per_day <= course.high


class TestWords:
    def test_rising_to_the_target_is_better(self):
        course = course_of(series(RISING))

        assert (course.word, course.is_real, course.direction, course.sessions) == (Word.BETTER, True, "rising", 7)
        assert course.p == pytest.approx(stats.kendalltau(range(7), RISING, method="exact").pvalue)
        assert course.difference == pytest.approx(course.slope_per_day * 84)
        assert course.starts_at == pytest.approx(78, abs=2)
        assert course.ends_at == pytest.approx(91, abs=2)

    @pytest.mark.parametrize(
        ("means", "word"),
        [
            (RISING[::-1], Word.WORSE),
            (np.linspace(92, 108, 6), Word.MOVED_INSIDE),
            (np.linspace(80, 120, 6), Word.CROSSED),
            (np.linspace(120, 80, 6), Word.CROSSED),
            ([95, 93, 97, 94, 96, 95], Word.NO_REAL_CHANGE),
            ([88] * 6, Word.NO_REAL_CHANGE),
        ],
    )
    def test_the_lines_ends_stand_against_the_target(self, means, word):
        assert course_of(series(means)).word is word

    def test_the_range_of_the_last_date_is_the_one_that_counts(self):
        points = series(RISING)
        points[-1] = point(RISING[-1], 84, limits=Limits(60.0, 75.0, 55.0, 80.0))

        assert course_of(points).word is Word.WORSE

    @pytest.mark.parametrize("limits", [None, Limits()])
    def test_without_a_target_it_is_real_and_rising_but_cannot_be_judged(self, limits):
        course = course_of(series(RISING, limits=limits))

        assert (course.is_real, course.word, course.direction) == (True, Word.CANNOT_BE_JUDGED, "rising")

    @pytest.mark.parametrize("sessions", [0, 1, 2, 3, 4])
    def test_too_few_sessions_say_how_many_more(self, sessions):
        course = course_of(series(RISING[:sessions]))

        assert (course.word, course.more_needed, course.is_real) == (Word.CANT_TELL, 5 - sessions, False)
        assert math.isnan(course.slope_per_day)


class TestOddSeries:
    def test_order_of_the_points_does_not_matter(self):
        points = series([*RISING, 95], days=[0, 9, 9, 30, 31, 50, 300, 300])

        assert course_of(points[::-1]) == course_of(points)

    def test_two_sessions_on_one_day_are_one(self):
        course = course_of(series([80, 84, 86, 88, 90], days=[0, 9, 9, 20, 30]))

        assert (course.sessions, course.more_needed) == (4, 1)

    def test_a_year_without_a_session_does_not_hide_the_course(self):
        course = course_of(series([80, 82, 83, 91, 93, 94], days=[0, 14, 28, 400, 414, 428]))

        assert course.word is Word.BETTER
        assert course.slope_per_day == pytest.approx(11 / 400, rel=0.15)

    def test_most_pairs_rising_and_a_falling_line_are_no_course(self):
        """Eight days of rising, and two years later lower than ever: order and line contradict each other."""
        course = course_of(series([80, 81, 82, 83, 84, 85, 86, 87, 70], days=[0, 1, 2, 3, 4, 5, 6, 7, 700]))

        assert course.p <= 0.05
        assert course.slope_per_day < 0
        assert (course.is_real, course.word) == (False, Word.NO_REAL_CHANGE)

    @pytest.mark.parametrize("unknown", [[3], [0, 1, 2, 3, 4, 5, 6]])
    def test_it_needs_no_session_uncertainty(self, unknown):
        points = [point(m, 14 * i, u_between=None if i in unknown else 1.5) for i, m in enumerate(RISING)]

        assert course_of(points).word is Word.BETTER

    def test_what_was_not_seen_is_no_session(self):
        points = [*series(RISING[:5]), point(math.nan, 200), point(90, 201, n=0)]

        assert course_of(points) == course_of(points[:5])

    @pytest.mark.parametrize(
        "changed", [{"prior_sd": math.nan, "sd": None}, {"prior_sd": 0.0, "sd": 0.0, "u_between": 0.0}]
    )
    def test_unknown_or_no_spread_makes_all_weigh_alike(self, changed):
        course = course_of(series(RISING, **changed))

        assert course.word is Word.BETTER
        assert course.slope_per_day == course_of(series(RISING)).slope_per_day

    def test_five_thousand_sessions_are_told_in_a_moment(self):
        chance = np.random.default_rng(1)
        means = 80 + 0.002 * np.arange(5000) + chance.normal(0, 3, 5000)
        points = series(means, days=range(5000))

        began = time.perf_counter()
        course = course_of(points)

        assert time.perf_counter() - began < 2.0
        assert (course.word, course.sessions) == (Word.BETTER, 5000)
        assert course.low <= 0.002 <= course.high

    def test_blocks_leave_nothing_out(self):
        day, mean = made_up(1003)
        weight = np.random.default_rng(2).uniform(0.5, 2, 1003)
        blocks = in_blocks(Series(day, mean, weight), 200)

        assert (blocks.day.size, np.all(np.diff(blocks.day) > 0)) == (200, True)
        assert blocks.weight.sum() == pytest.approx(weight.sum())
        assert np.average(blocks.mean, weights=blocks.weight) == pytest.approx(np.average(mean, weights=weight))


MIRRORED = Limits(-110.0, -90.0, -115.0, -85.0)
courses = st.lists(st.tuples(st.integers(60, 140), st.integers(0, 200)), min_size=1, max_size=14)


@settings(max_examples=100, deadline=None)
@given(courses, st.integers(-64, 64))
def test_shifting_values_and_range_together_changes_nothing(given_points, shift):
    names = ("target_low", "target_high", "flag_low", "flag_high")
    moved = Limits(*(float(getattr(LIMITS, name)) + shift for name in names))
    here = course_of([point(float(mean), day) for mean, day in given_points])
    there = course_of([point(float(mean + shift), day, limits=moved) for mean, day in given_points])

    assert (there.p, there.is_real, there.sessions) == (pytest.approx(here.p, nan_ok=True), here.is_real, here.sessions)
    assert there.slope_per_day == pytest.approx(here.slope_per_day, nan_ok=True, abs=1e-9)


@settings(max_examples=100, deadline=None)
@given(courses)
def test_mirrored_values_and_range_give_the_mirrored_course(given_points):
    here = course_of([point(float(mean), day) for mean, day in given_points])
    there = course_of([point(float(-mean), day, limits=MIRRORED) for mean, day in given_points])

    assert (there.p, there.word) == (pytest.approx(here.p, nan_ok=True), here.word)
    assert there.slope_per_day == pytest.approx(-here.slope_per_day, nan_ok=True, abs=1e-9)
