"""What chance alone gives: against the normal table, a simulation, and by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from metrics.judging.chance import by_chance, chance_outside, true_flag_chance
from metrics.judging.values import Limits

NORMAL = Limits(-1.0, 1.0, -2.0, 2.0)


def test_about_three_of_64_metrics_of_an_average_pitcher_lie_outside():
    # Normal table: 4.55% beyond two SD; 64 of them make 2.9.
    outside = chance_outside(NORMAL, np.zeros(64), 1.0)

    assert outside.sum() == pytest.approx(64 * 0.0455, abs=0.01)


def test_open_side_adds_nothing():
    assert chance_outside(Limits(target_low=-1.0, flag_low=-2.0), 0.0, 1.0) == pytest.approx(0.02275, abs=1e-5)
    assert chance_outside(Limits(-1.0, 1.0), 0.0, 1.0) == 0.0


def test_true_flag_chance_by_hand():
    # SD 1, u 0.5: r = 0.8. Mean 2.5 shrinks to 2.0, which is the limit: even odds.
    assert true_flag_chance(2.5, 0.5, NORMAL, 0.0, 1.0) == pytest.approx(0.5)
    assert true_flag_chance(-2.5, 0.5, NORMAL, 0.0, 1.0) == pytest.approx(0.5)
    assert math.isnan(true_flag_chance(2.5, 0.5, NORMAL, math.nan, 1.0))


def test_flags_that_are_not_real_are_counted_as_a_simulation_finds_them():
    rng = np.random.default_rng(8)
    truth = rng.normal(size=4_000_000)
    measured = truth + 0.4 * rng.normal(size=truth.size)
    near = np.abs(measured - 2.3) < 0.02

    share = np.mean(truth[near] > 2.0)

    # About 6,000 draws lie in the window: standard error 0.0064; three of them.
    assert true_flag_chance(2.3, 0.4, NORMAL, 0.0, 1.0) == pytest.approx(share, abs=0.02)


def test_both_counts_say_what_they_left_out():
    got = by_chance(
        mean=np.array([2.5, 0.0, 3.0]),
        u=np.array([0.5, 0.5, 0.5]),
        limits=NORMAL,
        is_flag=np.array([True, False, True]),
        source_mean=np.array([0.0, 0.0, np.nan]),
        source_sd=np.array([1.0, 1.0, np.nan]),
    )

    assert got.ordinary_variety.expected == pytest.approx(2 * 2 * stats.norm.sf(2))
    assert (got.ordinary_variety.counted, got.ordinary_variety.without_source) == (2, 1)
    assert got.measuring_error.expected == pytest.approx(0.5)
    assert (got.measuring_error.counted, got.measuring_error.without_source) == (1, 1)


def test_no_findings_expect_nothing():
    none = np.array([])
    got = by_chance(mean=none, u=none, limits=NORMAL, is_flag=none.astype(bool), source_mean=none, source_sd=none)

    assert (got.ordinary_variety.expected, got.measuring_error.counted) == (0.0, 0)
