"""Within one session: first third against last third, with scipy's Welch interval."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from metrics.change.drift import drift_within

TIRING = np.array([30, 31, 29, 32, 30, 31, 33, 32, 34, 33, 35, 34, 36, 35, 37, 36, 38.0])


@pytest.mark.parametrize("throws", [15, 16, 17])
def test_the_interval_is_scipys(throws):
    drift = drift_within(np.arange(throws), TIRING[:throws])
    theirs = stats.ttest_ind(TIRING[:throws][-5:], TIRING[:5], equal_var=False).confidence_interval(0.95)

    assert (drift.low, drift.high) == pytest.approx((theirs.low, theirs.high))
    assert drift.throws == 5
    assert drift.difference == pytest.approx(drift.last - drift.first)
    assert drift.is_real


def test_throws_are_taken_in_order_of_their_numbers_and_those_not_read_left_out():
    numbers = np.arange(1, 19)
    values = np.append(TIRING, math.nan)
    mixed = np.random.default_rng(1).permutation(18)

    assert drift_within(numbers[mixed], values[mixed]) == drift_within(numbers[:17], TIRING)


def test_below_fifteen_throws_that_were_read_there_is_no_answer():
    assert drift_within(range(14), TIRING[:14]) is None
    assert drift_within(range(17), [*TIRING[:14], math.nan, math.nan, math.nan]) is None
    assert drift_within([], []) is None


def test_a_steady_session_has_no_drift():
    drift = drift_within(range(15), [30.0, 31.0, 29.0] * 5)

    assert not drift.is_real
    assert drift.low < 0 < drift.high


def test_throws_all_alike_differ_by_nothing():
    drift = drift_within(range(15), [30.0] * 15)

    assert (drift.low, drift.difference, drift.high, drift.is_real) == (0.0, 0.0, 0.0, False)


def test_numbers_and_values_must_belong_together():
    with pytest.raises(ValueError, match="one shape"):
        drift_within([1, 2], [1.0])


def test_a_steady_thrower_is_called_drifting_in_about_one_of_twenty_sessions():
    """3,000 sessions of 20 throws without drift; three Monte Carlo SD are 1.2 points."""
    values = np.random.default_rng(2).normal(30, 2, (3000, 20))
    share = np.mean([drift_within(range(20), one).is_real for one in values])

    assert share == pytest.approx(0.05, abs=0.012)
