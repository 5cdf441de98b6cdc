"""Two sessions: worked by hand, held against textbook and published numbers, and what cannot be judged."""

from __future__ import annotations

import datetime
import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from metrics.change.pair import change_between
from metrics.change.values import Word
from metrics.judging.findings import session_sd_from_pairs
from metrics.judging.values import Limits
from tests.metrics.change.points import LIMITS, point

# Shrout & Fleiss 1979, Psychol Bull 86:420, table 2: six targets, four judges. The matrix is from memory; the first
# test shows by its published intraclass correlations (.17 .29 .71 .44 .62 .91) that it is the right one.
RATINGS = np.array([[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]], dtype=float)


def mean_squares(table):
    """Between targets, within targets, between judges, residual."""
    n, k = table.shape
    rows, columns, grand = table.mean(axis=1), table.mean(axis=0), table.mean()
    between = k * np.sum((rows - grand) ** 2) / (n - 1)
    within = np.sum((table - rows[:, None]) ** 2) / (n * (k - 1))
    judges = n * np.sum((columns - grand) ** 2) / (k - 1)
    residual = np.sum((table - rows[:, None] - columns + grand) ** 2) / ((n - 1) * (k - 1))
    return between, within, judges, residual


def test_the_classic_ratings_are_typed_in_right():
    n, k = RATINGS.shape
    b, w, j, e = mean_squares(RATINGS)
    found = [
        (b - w) / (b + (k - 1) * w),
        (b - e) / (b + (k - 1) * e + k * (j - e) / n),
        (b - e) / (b + (k - 1) * e),
        (b - w) / b,
        (b - e) / (b + (j - e) / n),
        (b - e) / b,
    ]

    assert [round(one, 2) for one in found] == [0.17, 0.29, 0.71, 0.44, 0.62, 0.91]


def test_error_of_measurement_from_all_pairs_of_judges_is_the_published_within_mean_square():
    differences = [row[i] - row[j] for row in RATINGS for i, j in itertools.combinations(range(4), 2)]

    assert session_sd_from_pairs(differences, 0.0) ** 2 == pytest.approx(6.26, abs=0.005)


@pytest.mark.parametrize("square", [6.26, 1.02], ids=["absolute agreement", "consistency"])
def test_minimal_detectable_change_of_the_ratings_is_the_textbooks(square):
    """MDC95 = 1.96·√2·SEM for an error known from elsewhere, SEM = √mean square (Weir 2005, from memory)."""
    known_error = {"n": 1, "sd": None, "prior_sd": 0.0, "u_between": math.sqrt(square)}

    change = change_between(point(100, **known_error), point(104, day=7, **known_error))

    assert change.detectable == pytest.approx(1.96 * math.sqrt(2) * math.sqrt(square), rel=1e-4)
    assert change.nu == math.inf
    assert change.is_real == (square == 1.02)


def test_pair_worked_by_hand():
    # s_p² = (8·16 + 4·9 + 2·25)/(8+5+3-2) = 214/14 = 15.2857; share of the throws 15.2857·(1/5 + 1/3) = 8.15238.
    # u_d² = 8.15238 + 2·2.25 = 12.65238; nu = 12.65238²/(8.15238²/14) = 33.72; t = 2.0328 (scipy); MDC = 7.231.
    change = change_between(point(82, n=5, sd=3.0), point(91, day=30, n=3, sd=5.0))

    assert (change.difference, change.u) == (9.0, pytest.approx(math.sqrt(12.65238), abs=1e-6))
    assert change.nu == pytest.approx(33.72, abs=0.005)
    assert change.detectable == pytest.approx(stats.t.ppf(0.975, change.nu) * change.u)
    assert change.detectable == pytest.approx(7.231, abs=0.001)
    assert change.p == pytest.approx(2 * stats.t.sf(9 / change.u, change.nu))
    assert (change.is_real, change.word, change.direction) == (True, Word.BETTER, "rising")
    assert (change.low, change.high) == pytest.approx((9 - 7.231, 9 + 7.231), abs=0.001)


def test_without_a_session_effect_it_is_students_t_with_the_catalogue_as_eight_more_degrees():
    """With a catalogue that agrees exactly: the pooled two-sample t of scipy, its degrees raised by 8."""
    a, b = np.array([80.0, 84.0, 88.0]), np.array([90.0, 94.0, 98.0])
    change = change_between(
        point(84, n=3, sd=4.0, prior_sd=4.0, u_between=0.0), point(94, day=9, n=3, sd=4.0, prior_sd=4.0, u_between=0.0)
    )
    pooled = stats.ttest_ind(b, a)

    assert change.difference / change.u == pytest.approx(pooled.statistic)
    assert change.nu == pytest.approx(pooled.df + 8)


@pytest.mark.parametrize(
    ("then", "now", "word"),
    [
        (75, 95, Word.BETTER),
        (75, 88, Word.BETTER),
        (100, 120, Word.WORSE),
        (88, 75, Word.WORSE),
        (80, 120, Word.CROSSED),
        (120, 80, Word.CROSSED),
        (91, 109, Word.MOVED_INSIDE),
        (120, 104, Word.BETTER),
        (88, 90, Word.NO_REAL_CHANGE),
        (110, 90, Word.MOVED_INSIDE),
    ],
)
def test_words_of_a_real_change(then, now, word):
    assert change_between(point(then), point(now, day=20)).word is word


def test_distances_are_to_the_range_of_the_later_date():
    """From 88 to 98 is toward 90 to 110, and away from 70 to 85, the range that applies by then."""
    later = Limits(70.0, 85.0, 65.0, 90.0)

    assert change_between(point(88), point(98, day=20)).word is Word.BETTER
    assert change_between(point(88), point(98, day=20, limits=later)).word is Word.WORSE
    assert change_between(point(88, day=20, limits=later), point(98)).word is Word.WORSE


def test_the_typical_spread_of_two_frame_rates_is_their_mean_square():
    """A slower camera blurs the second session: s0 3 and 5 count like √17."""
    one = change_between(point(80, prior_sd=3.0), point(90, day=9, prior_sd=5.0))
    even = change_between(point(80, prior_sd=17**0.5), point(90, day=9, prior_sd=17**0.5))

    assert (one.u, one.nu) == (pytest.approx(even.u), pytest.approx(even.nu))


def test_what_is_measured_exactly_differs_or_does_not():
    same = {"n": 1, "sd": None, "prior_sd": 0.0, "u_between": 0.0}

    assert change_between(point(80, **same), point(81, day=3, **same)).is_real
    assert not change_between(point(80, **same), point(80, day=3, **same)).is_real


class TestWhatCannotBeJudged:
    @pytest.mark.parametrize("which", ["then", "now"])
    def test_unknown_session_uncertainty(self, which):
        then, now = (
            point(m, day=d, u_between=None if which == w else 1.5) for m, d, w in [(70, 0, "then"), (99, 9, "now")]
        )
        change = change_between(then, now)

        assert (change.word, change.is_real, change.difference) == (Word.CANNOT_BE_JUDGED, False, 29.0)
        assert math.isnan(change.p)
        assert math.isnan(change.detectable)

    def test_a_value_that_was_not_seen(self):
        change = change_between(point(math.nan), point(99, day=9))

        assert (change.word, change.is_real) == (Word.CANNOT_BE_JUDGED, False)
        assert change_between(point(70, n=0), point(99, day=9)).word is Word.CANNOT_BE_JUDGED

    def test_one_throw_a_session_without_a_typical_spread(self):
        bare = {"n": 1, "sd": None, "prior_sd": math.nan}

        assert change_between(point(70, **bare), point(99, day=9, **bare)).word is Word.CANNOT_BE_JUDGED

    @pytest.mark.parametrize("limits", [None, Limits()])
    def test_a_real_change_without_a_target_is_neither_better_nor_worse_but_rises(self, limits):
        change = change_between(point(70), point(99, day=9, limits=limits))

        assert (change.is_real, change.word, change.direction) == (True, Word.CANNOT_BE_JUDGED, "rising")
        assert change_between(point(70), point(70.5, day=9, limits=limits)).word is Word.NO_REAL_CHANGE


def test_a_target_open_on_one_side_has_no_far_side():
    at_least = Limits(target_low=90.0)

    assert change_between(point(80, limits=at_least), point(120, day=9, limits=at_least)).word is Word.BETTER
    assert change_between(point(95, limits=at_least), point(140, day=9, limits=at_least)).word is Word.MOVED_INSIDE


def test_own_spread_alone_when_the_catalogue_has_none():
    a = change_between(
        point(80, n=4, sd=2.0, prior_sd=math.nan, u_between=0.0),
        point(90, day=9, n=4, sd=4.0, prior_sd=math.nan, u_between=0.0),
    )

    assert a.u**2 == pytest.approx((3 * 4 + 3 * 16) / 6 * (2 / 4))
    assert a.nu == pytest.approx(6)


measured = st.builds(
    point,
    st.integers(60, 140).map(float),
    day=st.integers(0, 300),
    n=st.integers(2, 10),
    sd=st.integers(0, 8).map(float),
    u_between=st.integers(0, 4).map(float),
)
MIRRORED = Limits(-110.0, -90.0, -115.0, -85.0)


@settings(max_examples=100, deadline=None)
@given(measured, measured, st.integers(-64, 64))
def test_shifting_values_and_range_together_changes_nothing(then, now, shift):
    limits = Limits(
        *(float(getattr(LIMITS, name)) + shift for name in ("target_low", "target_high", "flag_low", "flag_high"))
    )
    moved = [
        point(
            one.mean + shift,
            (one.date - point(0).date).days,
            n=one.n,
            sd=one.sd,
            u_between=one.u_between,
            limits=limits,
        )
        for one in (then, now)
    ]

    assert change_between(*moved) == change_between(then, now)


@settings(max_examples=100, deadline=None)
@given(measured, measured)
def test_mirrored_values_and_range_give_the_same_word(then, now):
    mirrored = [
        point(-one.mean, (one.date - point(0).date).days, n=one.n, sd=one.sd, u_between=one.u_between, limits=MIRRORED)
        for one in (then, now)
    ]
    change, mirror = change_between(then, now), change_between(*mirrored)

    assert (mirror.word, mirror.p, mirror.difference) == (change.word, change.p, -change.difference)


@settings(max_examples=100, deadline=None)
@given(measured, measured)
def test_backwards_it_is_as_real_and_the_other_way(then, now):
    there, back = change_between(then, now), change_between(now, then)

    assert (back.is_real, back.difference) == (there.is_real, -there.difference)
    assert there.is_real == (there.p <= 0.05 and there.difference != 0) or abs(there.p - 0.05) < 1e-9
    assert isinstance(then.date, datetime.date)
