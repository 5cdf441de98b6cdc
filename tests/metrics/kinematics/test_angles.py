"""Every angle, speed, length and time against the synthesiser's truth, without filter and noise.

The truth comes from the rotations and curves that made the markers, by code that shares nothing with the measurement.
Moments are the true ones here, so that this is the error of the numbers alone; test_events has the moments'.
"""

from __future__ import annotations

from functools import cache

import pytest

from metrics.catalogue import load_catalogue
from tests.metrics.kinematics.between_frames import WAYS, missed
from tests.metrics.kinematics.trials import LANDINGS, RATES_HZ, spread

# Greatest error of a peak, as a share of it: between frames its top is rounded off.
SPEED_SHARE = {1000.0: 0.0005, 480.0: 0.002, 300.0: 0.01, 240.0: 0.02, 100.0: 0.10}
# The landing foot stops and the arm turns round within less than a frame of 10 ms: no way to read between frames shows
# all of it, as test_no_interpolation_… below measures.
FAST_AT_100_HZ = {
    "lead_knee_flexion_fp": 0.4, "lead_knee_extension": 0.4, "lead_hip_flexion_fp": 0.4, "elbow_flexion_br": 0.5,
    "arm_slot_br": 0.3, "release_height": 0.006,
}  # fmt: skip
FASTEST_LEG = "lead_knee_extension_velocity_max"  # its peak is the landing itself
TOLERANCES = {"m": 0.0015, "cm": 0.15, "m/s": 0.003}


@cache
def errors() -> list[tuple[float, str, str, float, float]]:
    """Rows of (rate, metric key, unit, error, truth)."""
    metrics = load_catalogue().metrics
    rows = []
    for trial in spread():
        found = trial.measured(filter_hz=None, events_s=trial.truth_s)
        for landing in LANDINGS:
            values = found.at_landing(landing)
            rows += [
                (trial.made.room.rate_hz, key, metrics[key].storage_unit, values[key].value - true, true)
                for key, true in trial.truth(landing).items()
                if key != "ball_speed"
            ]
    return rows


def worst(rate_hz: float, unit: str) -> dict[str, float]:
    """Metric key → greatest error (size) at a rate."""
    found: dict[str, float] = {}
    for rate, key, its_unit, error, _ in errors():
        if (rate, its_unit) == (rate_hz, unit):
            found[key] = max(found.get(key, 0.0), abs(error))
    return found


def beyond(found: dict[str, float], tolerance: float, rate_hz: float) -> dict[str, float]:
    """What is further from the truth than it may be."""
    wider = FAST_AT_100_HZ if rate_hz == 100.0 else {}
    return {key: error for key, error in found.items() if error > wider.get(key, tolerance)}


def test_every_metric_of_movement_has_a_truth_to_be_held_against():
    metrics = load_catalogue().metrics.values()
    without = {metric.key for metric in metrics if not metric.is_screen} - {key for _, key, *_ in errors()}
    forces = {key for key in without if "force" in key or "torque" in key or "impulse" in key}
    assert without - forces == {"ball_speed"}


@pytest.mark.parametrize("rate_hz", RATES_HZ)
def test_angles_are_within_a_fifth_of_a_degree(rate_hz):
    found = worst(rate_hz, "deg")
    assert len(found) > 35
    assert beyond(found, 0.2, rate_hz) == {}


@pytest.mark.parametrize("way", WAYS)
def test_no_interpolation_of_a_hundred_frames_shows_every_angle_to_a_fifth_of_a_degree(way):
    """Why FAST_AT_100_HZ is there: the true curves, read between their own frames."""
    assert max(missed(way).values()) > 0.2


@pytest.mark.parametrize("rate_hz", RATES_HZ)
def test_speeds_lose_only_what_the_frames_round_off(rate_hz):
    shares = {
        (key, error / true)
        for rate, key, unit, error, true in errors()
        if rate == rate_hz and unit == "deg/s" and key != FASTEST_LEG
    }
    assert len(shares) >= 6
    assert {key: share for key, share in shares if not abs(share) < SPEED_SHARE[rate_hz]} == {}


@pytest.mark.parametrize("rate_hz", RATES_HZ)
@pytest.mark.parametrize("unit", sorted(TOLERANCES))
def test_lengths_and_travel_are_exact_to_a_millimetre_and_a_half(rate_hz, unit):
    found = worst(rate_hz, unit)
    assert found
    assert beyond(found, TOLERANCES[unit], rate_hz) == {}


@pytest.mark.parametrize("rate_hz", RATES_HZ)
def test_times_of_extremes_are_within_half_a_frame_or_a_millisecond(rate_hz):
    frame_ms = 1000.0 / rate_hz
    ms = worst(rate_hz, "ms")
    percent = {key: 1.5 * error for key, error in worst(rate_hz, "% fc-br").items()}  # 0.15 s: 1% is 1.5 ms
    assert len(ms) >= 5
    assert {key: e for key, e in (ms | percent).items() if e > max(1.0, 0.6 * frame_ms)} == {}


def test_the_order_of_the_peaks_is_right_at_every_rate():
    assert {error for _, _, unit, error, _ in errors() if unit == "count"} == {0.0}
