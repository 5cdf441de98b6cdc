"""What must hold whatever is thrown: the room's axes, the body's size and time's direction."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from metrics.kinematics import Setup, ThrowMeasurement, find_throws, measure_throw
from metrics.kinematics.joints import Sizes
from metrics.kinematics.landmarks import Markers
from metrics.kinematics.movement import STANDS_ON, Movement
from metrics.kinematics.reading import LOADS
from sessions.formats.recording import Recording
from tests.metrics.kinematics.bridge import as_recording
from tests.metrics.kinematics.trials import trial

HIPS = {"drive_knee", "lead_knee", "drive_hip", "lead_hip"}  # their centre has constants in millimetres
SPEEDS = sorted(name for name in STANDS_ON if name.endswith(("_velocity", "_speed")))
ANGLES = sorted(STANDS_ON.keys() - {*SPEEDS, *LOADS, "glove_drift"})
HALF_WIDTHS = {"elbow": 0.04, "wrist": 0.03, "knee": 0.05, "ankle": 0.04}


@cache
def recording() -> Recording:
    return as_recording(trial("high_school", height=1.75, rate_hz=240.0, phase=0.4).made)


def measured(positions: np.ndarray, setup: Setup, height_m: float = 1.75, events=None) -> ThrowMeasurement:
    made = recording()
    moved = Recording(made.labels, positions, made.rate_hz, made.units)
    (throw,) = find_throws(moved, setup=setup)
    return measure_throw(
        moved, height_m=height_m, mass_kg=70.0, side="right", setup=setup, throw=throw, events=events
    )  # fmt: skip


@cache
def usual() -> ThrowMeasurement:
    return measured(recording().positions, Setup(axes=np.eye(3)))


def values(found: ThrowMeasurement) -> dict[str, float]:
    return {key: one.value for key, one in found.metrics.items() if one.value is not None}


@pytest.mark.parametrize("number", range(4))
def test_turning_and_moving_the_lab_changes_nothing(number):
    rng = np.random.default_rng(number)
    turn = Rotation.random(random_state=number).as_matrix()
    found = measured(recording().positions @ turn.T + rng.uniform(-5, 5, 3), Setup(axes=turn.T))
    assert found.events == pytest.approx(usual().events, abs=1e-7)
    assert values(found) == pytest.approx(values(usual()), rel=1e-5, abs=1e-5)


@pytest.mark.parametrize("share", [0.72, 1.15])
def test_scaling_the_body_leaves_every_angle_and_speed_of_turning(share):
    found = measured(share * recording().positions, Setup(axes=np.eye(3)), 1.75 * share, usual().events)
    before, after = values(usual()), values(found)
    turning = {key for key, one in usual().metrics.items() if one.unit in {"deg", "deg/s", "count"}} & before.keys()
    exact = {key for key in turning if not any(key.startswith(name) for name in HIPS)}
    assert len(exact) > 40
    assert {key: after[key] for key in exact} == pytest.approx({key: before[key] for key in exact}, abs=1e-6)
    about = {key: abs(after[key] - before[key]) for key in turning - exact if usual().metrics[key].unit == "deg"}
    assert max(about.values()) < 3.0


@pytest.mark.parametrize("share", [0.72, 1.15])
def test_scaling_the_body_scales_lengths(share):
    found = measured(
        share * recording().positions, Setup(axes=np.eye(3), foot_marker_height_m=share * 0.02), 1.75 * share,
        usual().events,
    )  # fmt: skip
    lengths = {key for key, one in usual().metrics.items() if one.unit in {"m", "cm"} and one.value is not None}
    assert len(lengths) > 5
    for key in lengths:
        assert found.metrics[key].value == pytest.approx(share * usual().metrics[key].value, abs=1e-6)


@cache
def forward_and_backward() -> tuple[Movement, Movement]:
    """The same markers with time running on, and running back."""
    markers = usual().movement.markers
    back = Markers(markers.labels, markers.positions[::-1], markers.rate_hz)
    frame, last = len(markers) // 2, len(markers) - 1
    sizes = Sizes.of(markers)
    return (
        Movement.of(markers, sizes, HALF_WIDTHS.__getitem__, frame, frame),
        Movement.of(back, sizes, HALF_WIDTHS.__getitem__, last - frame, last - frame),
    )


@pytest.mark.parametrize("name", SPEEDS)
def test_reversing_time_turns_every_speed_round(name):
    forward, backward = forward_and_backward()
    assert np.nanmax(np.abs(forward.curve(name))) > 0.5
    np.testing.assert_allclose(backward.curve(name)[::-1], -forward.curve(name), atol=1e-6)


@pytest.mark.parametrize("name", ANGLES)
def test_reversing_time_leaves_every_angle(name):
    forward, backward = forward_and_backward()
    np.testing.assert_allclose(backward.curve(name)[::-1], forward.curve(name), atol=1e-9)


@pytest.mark.parametrize(("name", "rates"), [
    ("pelvis_velocity", "pelvis_rotation"), ("trunk_velocity", "trunk_rotation"),
])  # fmt: skip
def test_turning_about_the_vertical_is_the_rate_of_the_heading(name, rates):
    """While a segment stands upright, opening lowers its heading at the rate at which it turns about its long axis."""
    markers = usual().movement.markers
    standing = np.broadcast_to(markers.positions[:1], (240, *markers.positions.shape[1:]))
    angle = np.radians(30.0) * np.sin(np.arange(240) / 30.0)
    turns = Rotation.from_rotvec(np.outer(angle, [0.0, 0.0, 1.0])).as_matrix()
    turned = Markers(markers.labels, np.einsum("fij,fmj->fmi", turns, standing), 240.0)
    movement = Movement.of(turned, Sizes.of(turned), HALF_WIDTHS.__getitem__)
    expected = np.degrees(np.radians(30.0) * np.cos(np.arange(240) / 30.0) * 240.0 / 30.0)
    segment = movement.joints.pelvis if "pelvis" in name else movement.joints.thorax
    lean = segment[0, 2, 1]  # share of the turn that is about the long axis
    np.testing.assert_allclose(movement.curve(name)[2:-2], lean * expected[2:-2], rtol=1e-4, atol=1e-3)
    opened = -np.gradient(movement.curve(rates), 1 / 240.0)
    np.testing.assert_allclose(opened[2:-2], expected[2:-2], rtol=1e-2, atol=1.0)
