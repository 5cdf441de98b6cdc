"""Many metrics at once: Benjamini-Hochberg against scipy, and what chance alone would give."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import false_discovery_control

from metrics.change.many import benjamini_hochberg, expected_by_chance


@settings(max_examples=200, deadline=None)
@given(st.lists(st.floats(1e-6, 1.0), min_size=1, max_size=80), st.sampled_from([0.01, 0.05, 0.1, 0.25]))
def test_it_is_scipys(p_values, rate):
    adjusted = false_discovery_control(p_values, method="bh")
    if np.any(np.abs(adjusted - rate) < 1e-12):
        return  # exactly on the rate, rounding decides

    assert list(benjamini_hochberg(p_values, rate)) == list(adjusted <= rate)


def test_ten_values_by_hand():
    """The steps are 0.01, 0.02 … 0.10. The third, 0.029, is under its 0.03; the fourth, 0.045, over its 0.04."""
    p_values = [0.2, 0.001, 0.045, 0.029, 0.9, 0.02, 0.3, 0.5, 0.6, 0.7]

    assert list(np.flatnonzero(benjamini_hochberg(p_values))) == [1, 3, 5]


def test_what_was_not_tested_is_neither_named_nor_counted():
    with_gaps = benjamini_hochberg([0.04, math.nan, 0.09, math.nan])

    assert list(with_gaps) == [True, False, True, False]
    assert expected_by_chance([0.04, math.nan, 0.9]) == pytest.approx(0.1)
    assert list(benjamini_hochberg([])) == []
    assert not benjamini_hochberg([math.nan, math.nan]).any()
    assert expected_by_chance([math.nan]) == 0.0


@pytest.mark.parametrize("rate", [0.0, 1.0, -0.1, math.nan])
def test_a_rate_that_is_no_share_is_refused(rate):
    with pytest.raises(ValueError, match="rate is a share"):
        benjamini_hochberg([0.1], rate)


def test_named_changes_are_false_at_most_as_often_as_the_rate_says():
    """60 metrics, 20 of them truly changed by 3 SD: the mean share of false names over 400 draws, bounded by 10%."""
    chance = np.random.default_rng(3)
    shares = []
    for _ in range(400):
        z = chance.normal(0, 1, 60)
        z[:20] += 3.0
        named = benjamini_hochberg([math.erfc(abs(one) / math.sqrt(2)) for one in z])
        shares.append(named[20:].sum() / max(named.sum(), 1))

    assert 0.04 < np.mean(shares) < 0.10
