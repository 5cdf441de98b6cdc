"""Mann-Kendall: exact counts against scipy and against all orders written out, the approximation against the exact."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from metrics.change.kendall import score_variance, trend_chance


def score_of(values):
    return float(sum(np.sign(b - a) for a, b in itertools.combinations(values, 2)))


@settings(max_examples=100, deadline=None)
@given(st.permutations(range(10)), st.integers(2, 10))
def test_exact_chance_is_scipys(order, length):
    values = np.array(order[:length], dtype=float)
    theirs = stats.kendalltau(range(length), values, method="exact")

    assert trend_chance(score_of(values), values) == pytest.approx(theirs.pvalue, abs=1e-12)


@pytest.mark.parametrize("values", [[1, 1, 2, 3, 4], [1, 1, 2, 2, 3, 3], [5, 5, 5, 5, 7, 6], [0, 0, 0, 1, 1, 1, 2]])
def test_exact_chance_with_ties_is_that_of_all_orders_written_out(values):
    own = abs(score_of(values))
    scores = [abs(score_of(order)) for order in itertools.permutations(values)]

    chance = trend_chance(score_of(values), np.array(values, dtype=float))

    assert chance == pytest.approx(np.mean([score >= own for score in scores]), abs=1e-12)


def test_four_values_in_perfect_order_cannot_reach_five_percent_and_five_can():
    assert trend_chance(6, np.arange(4.0)) == pytest.approx(2 / 24)
    assert trend_chance(10, np.arange(5.0)) == pytest.approx(2 / 120)


@pytest.mark.parametrize("length", [11, 15, 25, 60])
def test_above_ten_the_approximation_stays_near_the_exact_chance(length):
    chance = np.random.default_rng(length)
    for _ in range(60):
        values = chance.permutation(length).astype(float) + np.arange(length) * chance.uniform(-0.6, 0.6)
        exact = stats.kendalltau(range(length), values, method="exact").pvalue

        assert trend_chance(score_of(values), values) == pytest.approx(exact, abs=0.003 if exact < 0.1 else 0.01)


@settings(max_examples=100, deadline=None)
@given(st.lists(st.integers(0, 5), min_size=11, max_size=30).filter(lambda values: len(set(values)) > 1))
def test_variance_with_ties_is_scipys(values):
    """scipy's asymptotic chance has no continuity correction; its z gives back the variance it used."""
    score = score_of(values)
    ties = tuple(np.unique(values, return_counts=True)[1])
    theirs = stats.kendalltau(range(len(values)), values, method="asymptotic").pvalue

    assert 2 * stats.norm.sf(abs(score) / score_variance(ties) ** 0.5) == pytest.approx(theirs, abs=1e-9)


def test_values_all_alike_show_nothing():
    assert trend_chance(0, np.full(6, 3.0)) == 1.0
    assert trend_chance(0, np.full(40, 3.0)) == 1.0
