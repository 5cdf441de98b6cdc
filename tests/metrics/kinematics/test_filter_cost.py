"""The table of what filter and noise cost is what its maker finds, and is used where a value is given."""

import math

import pytest

from metrics.catalogue import filter_costs as costs
from metrics.measuring.output import what_the_filter_takes
from tests.metrics.kinematics import filter_cost
from tests.metrics.kinematics.trials import trial

RATE = 240
LAYBACK = "shoulder_external_rotation_max@mer"


def test_the_table_is_what_its_maker_finds():
    fresh = filter_cost.costs(float(RATE))
    stored = {key: cost for (key, rate), cost in costs.load_costs().items() if rate == RATE}
    assert stored.keys() == fresh.keys()
    assert len(stored) > 100
    for key, (low_by, noise_sd) in fresh.items():
        expected = None if filter_cost.hangs_on_the_arm(key) else pytest.approx(low_by, rel=2e-2, abs=1e-6)
        assert stored[key].low_by == expected, key
        assert stored[key].noise_sd == pytest.approx(noise_sd, rel=2e-2, abs=1e-6), key


def test_layback_reads_some_degrees_low_at_every_rate():
    """The design expects some degrees; which ones depends on how fast the arm turns over (measured here: about two)."""
    layback = [cost.low_by for (key, _), cost in costs.load_costs().items() if key == LAYBACK]
    assert len(layback) == len(filter_cost.RATES_HZ)
    assert all(1.0 < low_by < 10.0 for low_by in layback)


def test_slow_angles_lose_next_to_nothing():
    for key in ("lead_knee_flexion_br@br", "trunk_forward_tilt_br@br", "pelvis_rotation_fp@fp", "stride_offset@fp"):
        assert abs(costs.load_costs()[key, RATE].low_by) < 1.0


def test_the_nearest_rate_of_the_table_is_used_and_an_unknown_reading_has_no_cost():
    assert costs.cost_of("elbow_flexion_br@br", 250.0) == costs.load_costs()["elbow_flexion_br@br", RATE]
    assert costs.cost_of("elbow_flexion_br@br", 2000.0) == costs.load_costs()["elbow_flexion_br@br", 500]
    assert costs.cost_of("no_such@br", 240.0) is None


def test_a_value_says_what_the_default_filter_takes_and_another_filter_says_nothing():
    one = trial(rate_hz=float(RATE))
    layback = one.measured().metrics[LAYBACK]
    assert layback.low_by == costs.load_costs()[LAYBACK, RATE].low_by
    assert layback.uncertainty is not None
    assert math.isfinite(layback.uncertainty)
    assert one.measured(filter_hz=None).metrics[LAYBACK].low_by is None


@pytest.mark.parametrize(
    ("low_by", "decimals", "words"),
    [
        (2.25, 0, "reads low by about 2"),
        (-365.0, 0, "reads high by about 365"),
        (0.4, 0, ""),
        (0.14, 1, "reads low by about 0.1"),
    ],
)
def test_how_it_is_said(low_by, decimals, words):
    assert what_the_filter_takes(low_by, decimals) == words
