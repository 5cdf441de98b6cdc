"""Angles of 20 random deliveries against `biorbd`, frame by frame: see library_angles for what is compared with what.

Two angles are only ours (ONLY_OURS, printed by `pytest -s`): separation and arm slot.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from metrics.kinematics.joints import Sizes
from metrics.kinematics.landmarks import Markers
from metrics.kinematics.movement import Movement
from tests import synthesis
from tests.metrics.kinematics.library_angles import ANGLES, ONLY_OURS, library_angles

DELIVERIES = 20
FRAMES = 30  # of each, spread over the whole recording
AGREEMENT = 1e-6  # deg; the goal is 0.1
NOISE = 0.001  # m on every marker: epicondyles are then no longer square to their limb

# Turns about the joint's own axis, as the epicondyles give it; the library's Cardan angle turns about that axis squared
# to the limb. They are the same until noise tilts the axis.
HINGES = {"drive_knee_flexion", "lead_knee_flexion", "elbow_flexion"}
HINGE_AGREEMENT = 0.3  # deg with noise


@cache
def recorded(number):
    """A throw of one's own: a body of 1.3 to 2.05 m, a level, a habit; and the body's constant lengths (m)."""
    rng = np.random.default_rng(number)
    level, habit = rng.choice(list(synthesis.LEVELS)), rng.choice(list(synthesis.HABITS))
    style = synthesis.style_of(level, habit).varied(rng)
    body = synthesis.Body(rng.uniform(1.30, 2.05), 80.0)
    recording = synthesis.record(synthesis.Delivery(body, style), synthesis.Room(rate_hz=120.0))
    return recording, (body.pelvis_width, body.pelvis_depth, body.length("biacromial"))


@cache
def compared(noise):
    """Angle → differences (deg) of ours from the library's, all deliveries in a row; NaN where it is undefined."""
    off = {name: [] for name in ANGLES}
    for number in range(DELIVERIES):
        clean, sizes = recorded(number)
        recording = synthesis.with_noise(clean, noise, np.random.default_rng(number))
        markers = Markers(recording.labels, recording.points, 120.0)
        movement = Movement.of(markers, Sizes(*sizes), half_width=lambda joint: np.nan)
        frames = np.linspace(0, len(recording.points) - 1, FRAMES).astype(int)
        for name, theirs in library_angles(recording.marker, recording.labels, frames, sizes).items():
            off[name].append((movement.curve(name)[frames] - theirs + 180) % 360 - 180)
    return {name: np.concatenate(rows) for name, rows in off.items()}


@pytest.mark.parametrize("name", ANGLES)
@pytest.mark.parametrize("noise", [0.0, NOISE])
def test_an_angle_is_the_librarys(name, noise):
    off = compared(noise)[name]
    assert np.isfinite(off).mean() > 0.9
    limit = HINGE_AGREEMENT if noise and name in HINGES else AGREEMENT
    assert np.nanmax(np.abs(off)) < limit


def test_every_angle_is_either_compared_or_said_to_be_only_ours():
    markers = Markers(synthesis.REQUIRED, np.random.default_rng(1).random((3, len(synthesis.REQUIRED), 3)), 120.0)
    movement = Movement.of(markers, Sizes(0.25, 0.15, 0.4), half_width=lambda joint: np.nan)
    angles = movement.trunk_angles | movement.leg_angles | movement.arm_angles
    for name, why in ONLY_OURS.items():
        print(f"only ours: {name}, {why}")
    assert {*ANGLES, *ONLY_OURS} == set(angles)
    assert not set(ANGLES) & set(ONLY_OURS)
