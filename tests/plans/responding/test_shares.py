"""Intervals of shares: held against published tables, scipy, statsmodels and a slow independent version."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, stats

from plans.responding.shares import newcombe, wilson

# Newcombe 1998, Stat Med 17:857, table I, method 3. Typed in from memory; statsmodels 0.15.0 proportion_confint
# (method "wilson") gives the same four digits.
PUBLISHED = [
    (81, 263, 0.2553, 0.3662),
    (15, 148, 0.0624, 0.1605),
    (0, 20, 0.0, 0.1611),
    (1, 29, 0.0061, 0.1718),
]

# Newcombe 1998, Stat Med 17:873, table II, method 10. Typed in from memory; statsmodels 0.15.0
# confint_proportions_2indep (method "newcomb") gives the same four digits. The last row is not from memory: chapter 4
# of Fagerland, Lydersen & Laake, Statistical Analysis of Contingency Tables (2017), epinephrine after Perondi 2004, as
# the tests of their R package contingencytables have it.
PUBLISHED_DIFFERENCES = [
    (56, 70, 48, 80, 0.0524, 0.3339),
    (9, 10, 3, 10, 0.1705, 0.8090),
    (6, 7, 2, 7, 0.0582, 0.8062),
    (5, 56, 0, 29, -0.0381, 0.1926),
    (0, 10, 0, 20, -0.1611, 0.2775),
    (0, 10, 0, 10, -0.2775, 0.2775),
    (10, 10, 0, 20, 0.6791, 1.0),
    (10, 10, 0, 10, 0.6075, 1.0),
    (7, 34, 1, 34, 0.0189, 0.3404),
]

SHARE = st.integers(1, 400).flatmap(lambda total: st.tuples(st.integers(0, total), st.just(total)))


@pytest.mark.parametrize(("count", "total", "low", "high"), PUBLISHED)
def test_wilson_is_the_published_table(count, total, low, high):
    found = wilson(count, total)

    assert (found.low, found.high) == pytest.approx((low, high), abs=0.00005)


@given(SHARE, st.floats(0.5, 0.999))
def test_wilson_is_scipys(share, confidence):
    theirs = stats.binomtest(*share).proportion_ci(confidence, method="wilson")

    found = wilson(*share, confidence)

    assert (found.low, found.high) == pytest.approx((theirs.low, theirs.high), abs=1e-12)


@given(SHARE.filter(lambda share: 0 < share[0] < share[1]))
def test_wilsons_ends_are_where_the_score_test_just_rejects(share):
    """An independent way to them: solve |p - π| = z·√(π(1-π)/n) numerically."""
    count, total = share
    p, z = count / total, stats.norm.ppf(0.975)

    def score(truth):
        return (p - truth) ** 2 - z**2 * truth * (1 - truth) / total

    found = wilson(count, total)

    assert found.low == pytest.approx(optimize.brentq(score, 0.0, p), abs=1e-9)
    assert found.high == pytest.approx(optimize.brentq(score, p, 1.0), abs=1e-9)


@given(SHARE)
def test_wilson_lies_within_zero_and_one_around_its_share_and_mirrors(share):
    count, total = share
    found, mirrored = wilson(count, total), wilson(total - count, total)

    assert 0.0 <= found.low <= found.estimate <= found.high <= 1.0
    assert (found.low, found.high) == pytest.approx((1 - mirrored.high, 1 - mirrored.low), abs=1e-12)


@pytest.mark.parametrize("share", [(-1, 5), (6, 5), (0, 0)])
def test_wilson_refuses_what_is_no_share(share):
    with pytest.raises(ValueError, match="expected 0 ≤ count ≤ total"):
        wilson(*share)


@pytest.mark.parametrize("confidence", [0.0, 1.0, 95, math.nan])
def test_a_confidence_is_between_zero_and_one(confidence):
    with pytest.raises(ValueError, match="confidence"):
        wilson(1, 5, confidence)


@pytest.mark.parametrize(("count", "total", "other", "other_total", "low", "high"), PUBLISHED_DIFFERENCES)
def test_newcombe_is_the_published_table(count, total, other, other_total, low, high):
    found = newcombe(count, total, other, other_total)

    assert found.estimate == pytest.approx(count / total - other / other_total)
    assert (found.low, found.high) == pytest.approx((low, high), abs=0.0000501)  # one end is 0.80625 to five digits


@given(SHARE, SHARE)
def test_newcombe_turns_round_when_the_groups_change_places(one, other):
    there, back = newcombe(*one, *other), newcombe(*other, *one)

    assert (there.low, there.high) == pytest.approx((-back.high, -back.low), abs=1e-12)
    assert -1.0 <= there.low <= there.estimate <= there.high <= 1.0


@given(SHARE)
def test_newcombe_of_two_equal_groups_holds_zero(share):
    found = newcombe(*share, *share)

    assert found.low <= 0.0 <= found.high
