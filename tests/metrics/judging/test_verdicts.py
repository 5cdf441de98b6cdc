"""Probabilities against scipy.stats and JCGM 106, shares against a Monte Carlo, identities, bad input."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from metrics.judging.sides import chance_beyond
from metrics.judging.values import Limits, Thresholds
from metrics.judging.verdicts import (
    CANT_TELL,
    FLAG,
    IN_RANGE,
    NONE,
    SURENESS,
    WATCH,
    ZONES,
    judge,
    judge_one,
    supported_decimals,
)
from tests.metrics.judging import slow

NORMAL_LIMITS = Limits(-1.0, 1.0, -2.0, 2.0)
sizes = st.floats(0.05, 5.0)
means = st.floats(-8.0, 8.0)
degrees = st.sampled_from([3.0, 8.0, 15.5, 80.0, math.inf])


def random_findings(count, seed=5):
    rng = np.random.default_rng(seed)
    low = rng.uniform(-5, 0, count)
    high = low + rng.uniform(0.5, 8, count)
    flag_low = low - rng.choice([0.0, 1.0, 2.5], count)
    flag_high = high + rng.choice([0.0, 1.0, 2.5], count)
    mean, u = rng.uniform(-9, 11, count), rng.uniform(0.05, 1.5, count)
    nu = rng.choice([8.0, 12.3, 40.0, np.inf], count)
    return mean, u, nu, Limits(low, high, flag_low, flag_high)


def test_conformance_probability_of_a_one_sided_limit():
    # JCGM 106:2012, section 7, example of a diode's breakdown voltage (from memory): limit -5.4 V,
    # measured -5.47 V, u = 0.05 V; conforming below the limit with probability 0.92.
    beyond = chance_beyond(-5.47 - -5.4, 0.05)

    assert 1.0 - beyond == pytest.approx(0.92, abs=0.005)


@pytest.mark.parametrize(("p", "z"), [(0.80, 0.84), (0.90, 1.28), (0.95, 1.64), (0.99, 2.33), (0.999, 3.09)])
def test_conformance_probability_by_distance_in_units_of_u(p, z):
    # JCGM 106:2012, table of one-sided conformance probabilities (from memory); also any normal table.
    verdict = judge_one(10.0 - 2.5 * z, 2.5, math.inf, Limits(target_high=10.0))

    assert verdict.p_in == pytest.approx(p, abs=0.002)  # z has two decimals


def test_probabilities_equal_scipy_stats():
    mean, u, nu, limits = random_findings(400)

    got = judge(mean, u, nu, limits, Thresholds(too_narrow=0.0))

    for i in range(mean.size):
        ends = (limits.target_low[i], limits.target_high[i]), (limits.flag_low[i], limits.flag_high[i])
        *_, p_in, p_out, p_flag = slow.verdict(mean[i], u[i], nu[i], *ends)
        # Both are computed in double precision by different routes; 1e-9 leaves room for the t's series.
        assert (got.p_in[i], got.p_out[i], got.p_flag[i]) == pytest.approx((p_in, p_out, p_flag), abs=1e-9)


def test_vector_verdicts_equal_the_slow_version():
    mean, u, nu, limits = random_findings(1500, seed=6)

    got = judge(mean, u, nu, limits)

    for i in np.flatnonzero(got.not_scored == NONE):
        ends = (limits.target_low[i], limits.target_high[i]), (limits.flag_low[i], limits.flag_high[i])
        zone, sure, probability, *_ = slow.verdict(mean[i], u[i], nu[i], *ends)
        assert SURENESS[got.sure[i]] == sure
        if zone is not None:
            assert ZONES[got.zone[i]] == zone
            assert got.probability[i] == pytest.approx(probability, abs=1e-9)
    assert {*got.zone[got.not_scored == NONE]} == {IN_RANGE, WATCH, FLAG}
    assert CANT_TELL in got.sure
    assert (got.not_scored != NONE).any()


def test_one_finding_is_judged_as_in_a_crowd():
    mean, u, nu, limits = random_findings(50)
    many = judge(mean, u, nu, limits)

    for i in range(50):
        alone = Limits(*(getattr(limits, name)[i] for name in ("target_low", "target_high", "flag_low", "flag_high")))
        one, row = judge_one(mean[i], u[i], nu[i], alone), many.row(i)
        assert (one.zone, one.side, one.sure, one.not_scored) == (row.zone, row.side, row.sure, row.not_scored)
        assert one.probability == pytest.approx(row.probability, nan_ok=True)


def test_without_uncertainty_a_normal_population_splits_as_the_normal_table_says():
    # 68.27% within one SD, 4.55% beyond two: any table of the normal distribution.
    population = stats.norm.ppf((np.arange(200_000) + 0.5) / 200_000)

    got = judge(population, 0.0, math.inf, NORMAL_LIMITS)

    assert np.mean(got.zone == IN_RANGE) == pytest.approx(0.683, abs=0.0005)
    assert np.mean(got.zone == FLAG) == pytest.approx(0.0455, abs=0.0005)
    assert (got.sure == SURENESS.index("sure")).all()


def test_shares_equal_a_monte_carlo_of_the_same_rule():
    """u/SD = 0.3: our shares by integration over the measured mean; theirs by throwing dice, by words."""
    u = 0.3
    grid = np.linspace(-6, 6, 24_001)
    got = judge(grid, u, math.inf, NORMAL_LIMITS)
    density = stats.norm.pdf(grid, scale=math.hypot(1, u)) * (grid[1] - grid[0])
    held = got.sure != CANT_TELL
    ours = [float(density[(got.zone == code) & held].sum()) for code in range(3)] + [float(density[~held].sum())]

    rng = np.random.default_rng(20)
    draws = 20_000
    measured = rng.normal(size=draws) + u * rng.normal(size=draws)
    seen = {"in_range": 0, "watch": 0, "flag": 0, None: 0}
    for x in measured:
        seen[quick_rule(abs(x), u)] += 1
    theirs = [seen[key] / draws for key in ("in_range", "watch", "flag", None)]

    # Standard error of a share from 20,000 draws is at most 0.0035; four of them.
    assert ours == pytest.approx(theirs, abs=0.014)
    assert sum(ours) == pytest.approx(1.0, abs=1e-6)


def quick_rule(x, u):
    """The rule in words for a range of ±1, flags at ±2, by the error function alone."""

    def above(limit):
        return 0.5 * math.erfc((limit - x) / (u * math.sqrt(2)))

    if above(2) >= 0.80:
        return "flag"
    if above(-1) - above(1) >= 0.67:
        return "in_range"
    return "watch" if above(1) >= 0.80 else None


@given(means, sizes, degrees)
def test_mirrored_range_gives_the_mirrored_verdict(mean, u, nu):
    limits, mirrored = Limits(-1, 3, -2.5, 3.5), Limits(-3, 1, -3.5, 2.5)
    if mean == 1.0:
        return  # the middle belongs to neither side
    one, other = judge_one(mean, u, nu, limits), judge_one(-mean, u, nu, mirrored)

    assert (one.zone, one.sure, one.other_zone) == (other.zone, other.sure, other.other_zone)
    assert (one.near_side, other.near_side) in {("low", "high"), ("high", "low"), ("", "")}
    assert (one.p_in, one.p_out, one.p_flag) == pytest.approx((other.p_in, other.p_out, other.p_flag), nan_ok=True)


@given(means, sizes, st.floats(-50, 50), st.sampled_from([0.0254, 57.29577951308232, 1000.0]))
def test_shift_and_unit_change_do_not_touch_the_probabilities(mean, u, shift, factor):
    def moved(x):
        return (x + shift) * factor

    one = judge(mean, u, 12.0, NORMAL_LIMITS, Thresholds(too_narrow=0.0))
    other = judge(
        moved(mean), u * factor, 12.0, Limits(*(moved(x) for x in (-1, 1, -2, 2))), Thresholds(too_narrow=0.0)
    )

    if abs(mean) > 1e-9:  # rounding may put a mean at the very middle on either side
        assert one.p_out == pytest.approx(other.p_out, abs=1e-9)
        assert one.p_flag == pytest.approx(other.p_flag, abs=1e-9)
    assert one.p_in == pytest.approx(other.p_in, abs=1e-9)


@given(means, sizes, degrees)
def test_statements_are_nested_and_chances(mean, u, nu):
    v = judge_one(mean, u, nu, NORMAL_LIMITS, Thresholds(too_narrow=0.0))

    assert 0 <= v.p_flag <= v.p_out <= 1
    assert 0 <= v.p_in <= 1
    assert v.p_in + v.p_out <= 1 + 1e-12


def test_range_that_no_mean_can_reach_is_too_narrow():
    # At the middle p_in = P(|z| < width/2u); 0.67 needs 0.974 u each way, so 1.95 u in all (normal table).
    narrow, enough = judge_one(0.0, 1.04, math.inf, Limits(-1, 1)), judge_one(0.0, 1.02, math.inf, Limits(-1, 1))

    assert narrow.not_scored is not None
    assert narrow.not_scored.code == "too_narrow"
    assert enough.zone == "in_range"


def test_open_sides_never_flag_there():
    limits = Limits(target_low=10.0, flag_low=5.0)

    assert judge_one(1e6, 1.0, math.inf, limits).zone == "in_range"
    assert judge_one(0.0, 1.0, math.inf, limits).zone == "flag"
    assert judge_one(-1e6, 1.0, math.inf, Limits(target_low=10.0)).zone == "watch"


def test_mean_exactly_on_an_edge_without_uncertainty_is_inside():
    assert judge_one(1.0, 0.0, math.inf, NORMAL_LIMITS).zone == "in_range"
    assert judge_one(2.0, 0.0, math.inf, NORMAL_LIMITS).zone == "watch"
    assert judge_one(-2.0000001, 0.0, math.inf, NORMAL_LIMITS).zone == "flag"


@pytest.mark.parametrize(
    ("mean", "u", "nu", "limits", "code"),
    [
        (math.nan, 1.0, 8.0, NORMAL_LIMITS, "no_reading"),
        (math.inf, 1.0, 8.0, NORMAL_LIMITS, "no_reading"),
        (0.0, math.nan, 8.0, NORMAL_LIMITS, "no_uncertainty"),
        (0.0, math.inf, 8.0, NORMAL_LIMITS, "no_uncertainty"),
        (0.0, -1.0, 8.0, NORMAL_LIMITS, "no_uncertainty"),
        (0.0, 1.0, math.nan, NORMAL_LIMITS, "no_uncertainty"),
        (0.0, 1.0, 0.0, NORMAL_LIMITS, "no_uncertainty"),
        (0.0, 1.0, 8.0, Limits(), "no_range"),
        (0.0, 1.0, 8.0, Limits(target_low=math.nan, target_high=1.0), "no_range"),
    ],
)
def test_bad_numbers_are_not_scored_and_say_why(mean, u, nu, limits, code):
    verdict = judge_one(mean, u, nu, limits)

    assert verdict.not_scored is not None
    assert verdict.not_scored.code == code
    assert verdict.zone == ""
    assert math.isnan(verdict.p_in)


def test_no_findings_give_no_verdicts():
    got = judge(np.array([]), np.array([]), np.array([]), NORMAL_LIMITS)

    assert got.zone.shape == (0,)


def test_shapes_that_do_not_fit_are_refused():
    with pytest.raises(ValueError, match="shape"):
        judge(np.zeros(3), np.ones(2), math.inf, NORMAL_LIMITS)


@pytest.mark.parametrize(
    ("u", "decimals"), [(2.0, 0), (0.3, 1), (0.96, 0), (0.04, 2), (25.0, 0), (0.0, 6), (math.nan, 6)]
)
def test_value_carries_no_more_digits_than_its_uncertainty_supports(u, decimals):
    assert supported_decimals(u) == decimals


@pytest.mark.parametrize("wrong", [{"flag": 0.3}, {"in_range": 1.2}, {"recurring_k": 4}, {"perhaps_flag": -0.1}])
def test_senseless_thresholds_are_refused(wrong):
    with pytest.raises(ValueError):
        Thresholds(**wrong)
