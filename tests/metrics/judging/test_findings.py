"""Spread and uncertainty: hand-worked and published cases, a slow version, grouped against single, bad input."""

from __future__ import annotations

import math
import statistics

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from metrics.judging.findings import (
    effective_degrees,
    event_uncertainty,
    measure,
    measure_one,
    percent_time_uncertainty,
    prior_spread,
    session_sd_from_pairs,
    session_sd_from_sem,
    steadied_spread,
    summarise,
    summarise_groups,
)
from tests.metrics.judging import slow

readings = st.lists(st.floats(-200, 200), min_size=1, max_size=12)


def test_effective_degrees_of_the_guides_example():
    # GUM (JCGM 100:2008) G.4.2, example (from memory): relative uncertainties 0.25, 0.57, 0.82% from 10, 5
    # and 15 repetitions; combined 1.03%; effective degrees 19.0.
    u = math.sqrt(0.25**2 + 0.57**2 + 0.82**2)

    assert u == pytest.approx(1.03, abs=0.005)
    assert effective_degrees(1.03, [0.25, 0.57, 0.82], [9, 4, 14]) == pytest.approx(19.0, abs=0.1)


def test_session_worked_by_hand():
    # 82, 85, 88: mean 85, s = 3. s0 = 4: s_p² = (8·16 + 2·9)/10 = 14.6. u² = 14.6/3 + 4 + 1 = 9.8667.
    # nu = 9.8667²/((14.6/3)²/10) = 97.350/2.36844 = 41.10.
    got = measure_one([82.0, 85.0, 88.0], prior_sd=4.0, u_between=2.0, u_constant=1.0)

    assert (got.mean, got.sd, got.n) == (85.0, pytest.approx(3.0), 3)
    assert got.pooled_sd == pytest.approx(math.sqrt(14.6))
    assert got.spread_degrees == 10
    assert got.u == pytest.approx(3.14113, abs=1e-5)
    assert got.nu == pytest.approx(41.10, abs=0.01)


@given(readings, st.floats(0.1, 30), st.floats(0, 10), st.floats(0, 10))
def test_uncertainty_equals_the_slow_version(values, prior_sd, u_between, u_constant):
    got = measure_one(values, prior_sd=prior_sd, u_between=u_between, u_constant=u_constant)
    mean, u, nu = slow.uncertainty(values, prior_sd, u_between, u_constant)

    assert (got.mean, got.u) == pytest.approx((mean, u), rel=1e-9, abs=1e-9)
    assert got.nu == pytest.approx(nu, rel=1e-6)


def test_groups_equal_one_at_a_time():
    rng = np.random.default_rng(3)
    groups = rng.integers(0, 40, 300)
    values = rng.normal(1e6, 2.0, 300)  # a large mean: one-pass sums of squares would lose the spread

    got = summarise_groups(values, groups, 41)

    for g in range(40):
        own = values[groups == g].tolist()
        assert got.n[g] == len(own)
        assert got.mean[g] == pytest.approx(statistics.fmean(own))
        assert got.sd[g] == pytest.approx(statistics.stdev(own) if len(own) > 1 else math.nan, nan_ok=True)
    assert got.n[40] == 0
    assert math.isnan(got.mean[40])


def test_vector_measure_equals_rows():
    summary = summarise_groups([1.0, 2.0, 4.0, 9.0], [0, 0, 0, 1], 3)
    got = measure(summary, prior_sd=np.array([1.0, 2.0, 3.0]), u_between=0.5)

    assert got.row(0) == measure_one([1.0, 2.0, 4.0], prior_sd=1.0, u_between=0.5)
    assert got.row(1).u == measure_one([9.0], prior_sd=2.0, u_between=0.5).u
    assert math.isnan(got.row(2).u)


def test_readings_that_are_no_numbers_were_not_seen():
    assert summarise([80.0, math.nan, math.inf, 84.0]) == summarise([80.0, 84.0])
    assert summarise([None, 80.0]).n == 1
    assert summarise([]).n == 0


def test_one_throw_takes_the_typical_spread():
    got = measure_one([80.0], prior_sd=5.0)

    assert (got.u, got.nu, got.spread_degrees) == (5.0, 8.0, 8.0)
    assert math.isnan(got.sd)


def test_without_a_typical_spread_the_sessions_own_counts():
    assert measure_one([1.0, 3.0], prior_sd=math.nan).u == pytest.approx(1.0)
    assert measure_one([1.0, 3.0], prior_sd=math.nan).nu == pytest.approx(1.0)
    assert math.isnan(measure_one([1.0], prior_sd=math.nan).u)


def test_unknown_session_spread_is_left_out_and_stays_unknown():
    got = measure_one([80.0], prior_sd=5.0, u_between=math.nan)

    assert got.u == 5.0
    assert math.isnan(got.u_between)


def test_exact_readings_have_no_uncertainty_and_infinite_degrees():
    got = measure_one([3.0, 3.0], prior_sd=0.0)

    assert (got.u, got.nu) == (0.0, math.inf)


@given(readings, st.floats(0.1, 30), st.floats(0.01, 100), st.floats(-500, 500))
def test_shift_and_unit_change_scale_the_uncertainty(values, prior_sd, factor, shift):
    one = measure_one(values, prior_sd=prior_sd, u_between=1.0)
    other = measure_one([factor * (x + shift) for x in values], prior_sd=factor * prior_sd, u_between=factor)

    assert other.u == pytest.approx(factor * one.u, rel=1e-6)
    assert other.nu == pytest.approx(one.nu, rel=1e-5)


@given(st.floats(0, 50), st.integers(1, 40), st.floats(0.1, 50))
def test_steadied_spread_lies_between_the_two(sd, n, prior):
    got, degrees = steadied_spread(sd, n, prior)

    assert degrees == 8 + n - 1
    assert min(sd, prior) - 1e-9 <= got <= max(sd, prior) + 1e-9


def test_frame_rate_adds_a_frame_wide_rectangle():
    # GUM 4.3.7: a rectangle of full width a has SD a/√12. 600 deg/s at 100 Hz turns 6 deg a frame.
    assert prior_spread(0.0, 600.0, 100.0) == pytest.approx(6.0 / math.sqrt(12))
    assert prior_spread(3.0, -600.0, 100.0) == pytest.approx(math.hypot(3.0, 6.0 / math.sqrt(12)))
    assert prior_spread(3.0) == 3.0


def test_frame_jitter_equals_its_simulation():
    rng = np.random.default_rng(9)
    jitter = 600.0 * rng.uniform(0, 1 / 100.0, 200_000)

    assert prior_spread(0.0, 600.0, 100.0) == pytest.approx(jitter.std(), rel=0.01)


def test_open_event_is_a_rectangle_of_half_width_delta():
    # GUM 4.3.7: half width a gives a/√3. 10 ms at 300 deg/s is ±3 deg.
    assert event_uncertainty(-300.0, 0.010) == pytest.approx(3.0 / math.sqrt(3))
    assert event_uncertainty(0.0, 0.010) == 0.0


def test_percent_time_uncertainty_equals_its_simulation():
    rng = np.random.default_rng(4)
    start, end, time = 0.0, 0.150, 0.120
    s, e, t = (centre + rng.uniform(-d, d, 200_000) for centre, d in ((start, 0.004), (end, 0.002), (time, 0.003)))
    percent = 100 * (t - s) / (e - s)

    got = percent_time_uncertainty(80.0, 0.150, 0.003, 0.004, 0.002)

    assert got == pytest.approx(percent.std(), rel=0.01)  # linear in small windows; 200,000 draws
    assert math.isnan(percent_time_uncertainty(80.0, 0.0, 0.003, 0.004, 0.002))


def test_session_spread_from_pairs_takes_the_throws_share_out():
    # By hand: differences 3, -4, 5: Σd²/(2·3) = 50/6 = 8.3333; less 2.3333 leaves 6.
    assert session_sd_from_pairs([3.0, -4.0, 5.0], 7 / 3) == pytest.approx(math.sqrt(6.0))
    assert session_sd_from_pairs([0.1], 5.0) == 0.0
    with pytest.raises(ValueError, match="pair"):
        session_sd_from_pairs([], 1.0)


def test_session_spread_from_a_published_sem():
    # By hand: SEM 3 of means of 4 throws with within SD 4: 9 - 16/4 = 5.
    assert session_sd_from_sem(3.0, 4.0, 4) == pytest.approx(math.sqrt(5.0))
    assert session_sd_from_sem(1.0, 4.0, 4) == 0.0


def test_wrong_groups_are_refused():
    with pytest.raises(ValueError, match="shape"):
        summarise_groups([1.0, 2.0], [0], 1)
    with pytest.raises(ValueError, match="groups"):
        summarise_groups([1.0], [3], 2)
