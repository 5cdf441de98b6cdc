"""When a curve is at its top: exact where the curve is what is fitted, steady where it is noisy."""

from __future__ import annotations

import math

import numpy as np
import pytest

from metrics.kinematics.tops import CLOSE_DEGREE, SURE_S, _fitted, fitted_top, sharpened
from tests.metrics.kinematics.trials import Trial, event_errors_s, trial
from tests.synthesis import LEVELS

RATE_HZ, TOP_S = 480.0, 0.2013
TIMES = np.arange(200) / RATE_HZ


def parabola(times: np.ndarray) -> np.ndarray:
    return 170.0 - 2e5 * (times - TOP_S) ** 2


@pytest.mark.parametrize("off_s", [-0.006, 0.0, 0.004])
def test_top_of_a_parabola_is_exact_wherever_it_is_sought(off_s):
    assert math.isclose(fitted_top(parabola(TIMES), TOP_S + off_s, 0.025, RATE_HZ, degree=2), TOP_S, abs_tol=1e-9)


def test_top_is_found_over_frames_that_are_not_seen():
    curve = parabola(TIMES)
    curve[95:98] = np.nan
    assert math.isclose(fitted_top(curve, TOP_S, 0.025, RATE_HZ, degree=2), TOP_S, abs_tol=1e-9)


def test_no_top_near_leaves_the_time_as_it_is():
    assert fitted_top(TIMES, 0.2, 0.025, RATE_HZ) == 0.2
    assert sharpened(-parabola(TIMES), TOP_S, RATE_HZ) == TOP_S


def test_sharpened_is_exact_without_noise_and_stays_where_frames_are_far_apart():
    assert math.isclose(sharpened(parabola(TIMES), TOP_S + 0.002, RATE_HZ), TOP_S, abs_tol=1e-6)
    slow = np.arange(40) / 100.0
    assert sharpened(parabola(slow), TOP_S + 0.002, 100.0) == TOP_S + 0.002


def test_sharpened_follows_noise_less_than_the_close_fit_does():
    rng = np.random.default_rng(1)
    noisy = [parabola(TIMES) + rng.normal(0.0, 3.0, TIMES.shape) for _ in range(200)]
    found = np.array([sharpened(curve, TOP_S, RATE_HZ) for curve in noisy])
    assert np.std(found) < SURE_S


def test_spread_of_the_close_fit_is_what_its_equations_say():
    rng = np.random.default_rng(2)
    frame, reach, noise = round(TOP_S * RATE_HZ), 6.0, 0.3
    clean = _fitted(parabola(TIMES), frame, reach, CLOSE_DEGREE, tapered=False)
    noisy = [
        _fitted(parabola(TIMES) + rng.normal(0.0, noise, TIMES.shape), frame, reach, CLOSE_DEGREE, tapered=False)
        for _ in range(400)
    ]
    assert np.std([fit.top for fit in noisy]) == pytest.approx(noise * clean.sway(), rel=0.15)


@pytest.mark.parametrize("level", sorted(LEVELS))
def test_arm_s_turns_are_found_to_a_frame_of_a_thousandth_at_every_level(level):
    one: Trial = trial(level, rate_hz=1000.0, phase=0.4)
    errors = event_errors_s(one.measured(), one)
    assert {event: errors[event] for event in ("mer", "mir") if not abs(errors[event]) <= 0.001} == {}
