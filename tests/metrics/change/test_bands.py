"""The band of the difference of two bundles of curves: direction, coverage, gaps, and what is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest

from metrics.change.bands import difference_band

TIME = np.linspace(0, 1, 50)


def bundle(throws, number, shift=0.0, spread=3.0):
    """Smooth curves around one arc, each off by an amount and a tilt of its own."""
    chance = np.random.default_rng(number)
    off, tilt = chance.normal(0, spread, (2, throws, 1))
    return 60 * np.sin(np.pi * TIME) + shift + off + tilt * (TIME - 0.5)


def test_it_is_the_later_bundle_minus_the_earlier():
    band = difference_band(bundle(8, 1), bundle(8, 2, shift=20))

    assert band.mean == pytest.approx(bundle(8, 2, shift=20).mean(axis=0) - bundle(8, 1).mean(axis=0))
    assert np.all(band.low > 0)
    assert np.all((band.low <= band.mean) & (band.mean <= band.high))


def test_the_same_throws_give_the_same_band():
    one, other = (difference_band(bundle(5, 1), bundle(6, 2)) for _ in range(2))

    assert np.array_equal(one.low, other.low)


def test_a_bundle_against_itself_differs_by_nothing():
    band = difference_band(bundle(6, 1), bundle(6, 1))

    assert band.mean == pytest.approx(np.zeros(50))
    assert np.all((band.low < 0) & (band.high > 0))


@pytest.mark.parametrize("spread", [1.0, 3.0])
@pytest.mark.parametrize("throws", [(3, 3), (4, 8), (5, 5), (3, 10), (10, 10)])
def test_it_holds_the_true_difference_in_about_95_of_100_points(throws, spread):
    """10,000 points that know nothing of each other, true difference nothing; docs/change.md says 92 to 97%."""
    chance = np.random.default_rng(6)
    band = difference_band(chance.normal(0, spread, (throws[0], 10_000)), chance.normal(0, 1, (throws[1], 10_000)))

    assert 0.92 <= np.mean((band.low <= 0) & (band.high >= 0)) <= 0.97


def test_fewer_than_three_throws_a_side_have_no_band():
    assert difference_band(bundle(2, 1), bundle(9, 2)) is None
    assert difference_band(bundle(9, 1), bundle(2, 2)) is None


def test_where_fewer_than_three_curves_were_seen_there_is_a_gap_and_nowhere_else():
    a, b = bundle(5, 1), bundle(5, 2)
    a[:3, 10] = math.nan
    a[:2, 11] = math.nan
    band = difference_band(a, b)

    assert list(np.flatnonzero(np.isnan(band.mean))) == [10]
    assert np.array_equal(np.isnan(band.low), np.isnan(band.mean))
    assert np.array_equal(np.isnan(band.high), np.isnan(band.mean))
    assert band.mean[11] == pytest.approx(b[:, 11].mean() - a[2:, 11].mean())


def test_curves_on_different_points_are_refused():
    with pytest.raises(ValueError, match="same points"):
        difference_band(np.zeros((3, 50)), np.zeros((3, 51)))
