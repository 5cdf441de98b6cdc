"""When a heel or toe touches: exact for one that falls evenly, stops within 6 ms and stays; steady in noise."""

from __future__ import annotations

import numpy as np
import pytest

from metrics.kinematics.landing import FALLING_S, _meets_ground
from tests import synthesis
from tests.metrics.kinematics.trials import Trial, event_errors_s
from tests.synthesis.curves import Curve, Knot, Landing

RATE_HZ, TOUCH_S, MILLIMETRE = 240.0, 0.3007, 0.001
TIMES = np.arange(150) / RATE_HZ


def height(speed: float) -> np.ndarray:
    """A landmark that falls at one speed (m/s) and comes to rest as the synthesiser's feet do, m."""
    fall = Curve([Knot(0.0, 1.0, -speed), Knot(TOUCH_S, 1.0 - speed * TOUCH_S, -speed)])
    return Landing(fall, TOUCH_S, 0.006)(TIMES)


def touch(heights: np.ndarray, near_s: float) -> float:
    for falling_s, tried_s in FALLING_S:
        near_s = _meets_ground(heights, near_s, falling_s, tried_s, RATE_HZ)
    return near_s


@pytest.mark.parametrize("off_s", [-0.007, 0.0, 0.005])
@pytest.mark.parametrize("speed", [0.4, 1.0, 2.0])
def test_touch_of_an_even_fall_is_found_to_a_twentieth_of_a_millisecond(speed, off_s):
    assert touch(height(speed), TOUCH_S + off_s) == pytest.approx(TOUCH_S, abs=5e-5)


def test_touch_beside_a_gap_or_the_file_s_end_stays_where_it_was():
    heights = height(1.0)
    heights[round(TOUCH_S * RATE_HZ) + 2] = np.nan
    assert touch(heights, 0.302) == 0.302
    assert touch(height(1.0)[: round(TOUCH_S * RATE_HZ) + 3], 0.302) == 0.302


@pytest.mark.parametrize(("sinking", "late_s"), [(0.1, 0.0014), (0.2, 0.0028)])
def test_foot_that_sinks_on_after_its_touch_is_found_a_little_late(sinking, late_s):
    """What the assumption that it stays costs: a fall of 1 m/s, then a sinking (m/s) that fades within 30 ms."""
    after = np.maximum(TIMES - TOUCH_S - 0.006, 0.0)
    heights = height(1.0) - sinking * (0.003 * (after > 0) + 0.030 * (1 - np.exp(-after / 0.030)))
    assert touch(heights, TOUCH_S) - TOUCH_S == pytest.approx(late_s, abs=0.0003)


def test_one_millimetre_of_noise_moves_the_touch_of_a_foot_by_less_than_two_milliseconds():
    rng = np.random.default_rng(3)
    found = [touch(height(0.9) + rng.normal(0.0, MILLIMETRE, TIMES.shape), TOUCH_S + 0.002) for _ in range(200)]
    assert np.std(found) < 0.0015
    assert abs(np.mean(found) - TOUCH_S) < 0.0003


def test_slow_landing_is_found_in_noise():
    style = synthesis.style_of("college").but(landing="heel", landing_speed=0.5)
    one = Trial(synthesis.record(synthesis.Delivery(style=style), synthesis.Room(rate_hz=RATE_HZ)))
    errors = [event_errors_s(one.measured(noise_m=MILLIMETRE, number=k), one)["fc"] for k in range(10)]
    assert np.std(errors, ddof=1) < 0.003
    assert abs(np.mean(errors)) < 0.0025
