"""Severity, priority, families and the session score: by hand, by quadrature, slow against fast."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from metrics.judging.severity import (
    AVERAGE_OF_SOURCE,
    expected_severity,
    family_winners,
    priority,
    session_score,
    severity,
    shrink,
)
from metrics.judging.values import Limits
from tests.metrics.judging import slow

TWO_SIDED = Limits(90.0, 110.0, 85.0, 110.0)
SHAPES = {
    "watch on both sides": Limits(-1.0, 1.0, -2.0, 3.0),
    "flags at the edges": Limits(-1.0, 1.0, -1.0, 1.0),
    "high side open": Limits(target_low=-1.0, flag_low=-2.5),
    "no flag limits": Limits(-1.0, 1.0),
    "open, stated unit": Limits(target_high=0.5, flag_high=0.5, unit_high=2.0),
}


@pytest.mark.parametrize(
    ("mean", "expected"),
    [
        (90.0, 0.0),
        (100.0, 0.0),
        (87.5, 0.5),  # half of the watch zone of 5
        (85.0, 1.0),  # at the flag limit
        (80.0, 2.0),
        (60.0, 3.0),  # capped
        (110.0, 0.0),  # on the edge: inside
        (115.0, 1.5),  # no watch zone: 1 + 5/(20/2)
    ],
)
def test_severity_by_hand(mean, expected):
    assert severity(mean, TWO_SIDED) == pytest.approx(expected)


def test_side_without_a_flag_limit_stays_under_one():
    limits = Limits(90.0, 110.0, 85.0)

    assert severity(115.0, limits) == pytest.approx(0.5)
    assert severity(500.0, limits) == 0.99


def test_open_range_is_measured_by_its_stated_unit():
    assert severity(6.0, Limits(target_low=10.0, flag_low=10.0, unit_low=8.0)) == pytest.approx(1.5)
    assert math.isnan(severity(6.0, Limits(target_low=10.0, flag_low=10.0)))


def test_severity_equals_the_slow_version():
    rng = np.random.default_rng(2)
    low = rng.uniform(-5, 0, 500)
    limits = Limits(low, low + 4, low - rng.choice([0, 1.5], 500), low + 4 + rng.choice([0, 0.5], 500))
    mean = rng.uniform(-12, 12, 500)

    got = severity(mean, limits)

    for i in range(500):
        ends = (low[i], low[i] + 4), (limits.flag_low[i], limits.flag_high[i])
        assert got[i] == pytest.approx(slow.severity(mean[i], *ends), abs=1e-9)


def test_missing_mean_has_no_severity():
    assert math.isnan(severity(math.nan, TWO_SIDED))


def test_priority_is_weight_times_severity():
    assert priority([7, 0], [1.5, 3.0]).tolist() == [10.5, 0.0]


def test_family_is_led_by_priority_then_weight_then_order():
    families = [0, 0, 1, 1, 2, 2, -1, -1, 3]
    priorities = [1.0, 2.0, 0.0, 0.0, 5.0, 5.0, 0.0, math.nan, math.nan]
    weights = [9.0, 1.0, 3.0, 4.0, 2.0, 2.0, 1.0, 1.0, 1.0]

    got = family_winners(families, priorities, weights)

    assert got.tolist() == [False, True, False, True, True, False, True, False, False]
    assert family_winners([], [], []).shape == (0,)


def test_shrinking_is_the_posterior_of_a_normal_prior():
    # Textbook normal-normal update: precision-weighted mean, precisions add.
    mean, sd = shrink(12.0, 2.0, 5.0, 3.0)

    assert mean == pytest.approx((5 / 9 + 12 / 4) / (1 / 9 + 1 / 4))
    assert sd == pytest.approx(math.sqrt(1 / (1 / 9 + 1 / 4)))
    assert shrink(12.0, 2.0, math.nan, 3.0) == (12.0, 2.0)
    assert shrink(12.0, 0.0, 5.0, 3.0) == (12.0, 0.0)


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize(("mu", "sigma"), [(0.0, 0.5), (-1.4, 0.3), (2.5, 1.0), (-6.0, 2.0), (0.7, 0.01)])
def test_expected_severity_equals_quadrature(name, mu, sigma):
    limits = SHAPES[name]

    def moment(power):
        def term(x):
            return min(float(severity(x, limits)), 1.0) ** power * stats.norm.pdf(x, mu, sigma)

        corners = [x for x in (-2.5, -2, -1, 0.5, 1, 1.99, 2, 2.48, 3) if abs(x - mu) < 9 * sigma]
        return integrate.quad(term, mu - 9 * sigma, mu + 9 * sigma, points=corners, limit=400)[0]

    expected, sd = expected_severity(mu, sigma, limits)

    # Quadrature over the capped corner of an open side is the weaker of the two: 1e-6.
    assert expected == pytest.approx(moment(1), abs=1e-6)
    assert sd**2 == pytest.approx(moment(2) - moment(1) ** 2, abs=1e-6)


@given(st.floats(-5, 5), st.sampled_from([*SHAPES]))
def test_without_uncertainty_expected_severity_is_the_severity(mean, name):
    limits = SHAPES[name]
    edges = (limits.target_low, limits.target_high)
    if min(abs(mean - edge) for edge in edges) < 1e-6:
        return  # a step cannot be both sides of itself
    expected, sd = expected_severity(mean, 0.0, limits)

    assert expected == pytest.approx(min(float(severity(mean, limits)), 1.0), abs=1e-9)
    assert sd == pytest.approx(0.0, abs=1e-6)


def test_average_member_of_the_source_scores_about_85():
    # numbers: 2·∫ from 1 to 2 of P(Z > z) dz = 0.1497 (by quadrature), so 85.0.
    lost = 2 * integrate.quad(stats.norm.sf, 1, 2)[0]
    expected, _ = expected_severity(0.0, 1.0, Limits(-1, 1, -2, 2))

    assert expected == pytest.approx(lost, abs=1e-9)
    assert 100 * (1 - lost) == pytest.approx(AVERAGE_OF_SOURCE, abs=0.5)


def score(**changes):
    case = {
        "weights": [8.0, 4.0, 6.0, 2.0],
        "families": [0, 0, -1, -1],
        "expected": [0.5, 0.1, 0.25, math.nan],
        "expected_sd": [0.1, 0.3, 0.2, math.nan],
        "priorities": [4.0, 0.4, 1.5, math.nan],
    }
    return session_score(**{**case, **changes})


def test_session_score_by_hand():
    got = score()

    # One of the family (weight 8) and the lone metric (6): 1 - (8·0.5 + 6·0.25)/14; the weight of 2 was not seen.
    assert got.score == pytest.approx(100 * (1 - 5.5 / 14))
    assert got.half_width == pytest.approx(1.96 * 100 * math.hypot(0.8, 1.2) / 14)
    assert got.coverage == pytest.approx(14 / 16)
    assert got.not_shown == ""


def test_score_is_not_shown_under_forty_percent_coverage():
    nan = math.nan
    got = score(weights=[3.0, 1.0, 7.0, 1.0], expected=[0.5, nan, nan, nan], priorities=[1.5, nan, nan, nan])

    assert got.score is None
    assert got.coverage == pytest.approx(3 / 11)
    assert "27%" in got.not_shown


def test_nothing_scored_gives_no_score():
    got = session_score(weights=[], families=[], expected=[], expected_sd=[], priorities=[])

    assert (got.score, got.coverage) == (None, 0.0)
