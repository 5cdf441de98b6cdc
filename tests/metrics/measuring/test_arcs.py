"""A judged angle's arc ends on what it measures: turning its base by the reading gives the limb's direction."""

from __future__ import annotations

import base64

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from metrics.kinematics import find_throws, measure_throw
from metrics.measuring.arcs import ARCS, angle_of, arc_at
from metrics.measuring.figure import figure_of, placing_of, points_of
from sessions.formats.c3d import read_c3d
from tests.metrics.motion.conftest import HEIGHT_M, MASS_KG, throw_bytes

EVENTS = ("fc", "mer", "br")
CURVE = {"shoulder_horizontal_adduction": ("shoulder_horizontal_abduction", -1.0)}
# What the end of each arc points along, in points of the figure; thorax and pelvis axes are asked for by name.
ENDS = {
    "elbow_flexion": ("throwing_elbow", "throwing_wrist"),
    "lead_knee_flexion": ("lead_knee", "lead_ankle"),
    "drive_knee_flexion": ("rear_knee", "rear_ankle"),
    "shoulder_abduction": ("throwing_shoulder", "throwing_elbow"),
    "shoulder_horizontal_abduction": ("throwing_shoulder", "throwing_elbow"),
    "shoulder_horizontal_adduction": ("throwing_shoulder", "throwing_elbow"),
    "shoulder_external_rotation": ("throwing_elbow", "throwing_wrist"),
    "lead_foot_angle": ("lead_heel", "lead_toe"),
    "trunk_rotation": ("thorax", 0),
    "separation": ("thorax", 0),
    "pelvis_rotation": ("pelvis", 0),
    "trunk_forward_tilt": ("thorax", 1),
    "trunk_lateral_tilt": ("thorax", 1),
}


def measured(side: str):
    recording = read_c3d(throw_bytes(side), "throw.c3d")
    (throw,) = find_throws(recording)
    return measure_throw(recording, throw=throw, height_m=HEIGHT_M, mass_kg=MASS_KG, side=side)


@pytest.fixture(scope="module", params=["right", "left"])
def throw(request):
    return measured(request.param)


def test_every_arc_has_its_end_here():
    assert set(ENDS) == set(ARCS)


@pytest.mark.parametrize("event", EVENTS)
@pytest.mark.parametrize("angle", ENDS)
def test_base_turned_by_the_angle_points_along_what_is_measured(throw, angle, event):
    metric = angle if angle == "lead_foot_angle" else f"{angle}_{event if event != 'fc' else 'fp'}"
    arc, placing = arc_at(throw, metric, event), placing_of(throw)
    frame = round((throw.events[event] - throw.start_s) * throw.movement.rate_hz)
    name, sign = CURVE.get(angle, (angle, 1.0))
    value = sign * throw.movement.curve(name)[frame]
    base, normal = placing.direction(arc.base), placing.turn(arc.normal)
    end = Rotation.from_rotvec(np.radians(value) * normal).apply(base)
    seen = _direction(throw, placing, ENDS[angle], frame)
    seen = seen - (seen @ normal) * normal
    seen /= np.linalg.norm(seen)
    assert np.degrees(np.arccos(np.clip(seen @ end, -1, 1))) < 3.0  # half a frame of the fastest turning lies between


def _direction(throw, placing, end, frame):
    first, second = end
    if first in ("thorax", "pelvis"):
        return placing.direction(getattr(throw.movement.joints, first)[frame][:, second])
    points = points_of(throw)
    return placing.direction(points[second][frame] - points[first][frame])


@pytest.mark.parametrize(
    ("metric", "angle"),
    [
        ("elbow_flexion_fp", "elbow_flexion"),
        ("shoulder_external_rotation_max", "shoulder_external_rotation"),
        ("elbow_flexion_max", ""),
        ("stride_length", ""),
        ("lead_foot_angle", "lead_foot_angle"),
        ("separation_max_time", ""),
    ],
)
def test_only_angles_at_an_event_are_drawn(metric, angle):
    assert angle_of(metric) == angle


def test_left_hander_is_drawn_on_his_own_side():
    """The throwing shoulder lies to the left of a left-hander who faces home at release, to the right of the other."""
    for side, sign in (("right", -1.0), ("left", 1.0)):
        one = measured(side)
        picture = figure_of(one)
        packed = np.frombuffer(base64.b64decode(picture["positions"]), "<i2")
        points = packed.reshape(picture["frames"], len(picture["points"]), 3)
        frame = round((one.events["br"] - one.events["fc"] - picture["start_s"]) * picture["rate_hz"])
        shoulder, neck = (points[frame, picture["points"].index(name), 1] for name in ("throwing_shoulder", "neck"))
        assert sign * (shoulder - neck) > 50


def test_picture_stays_under_sixty_kilobytes():
    picture = figure_of(measured("right"))
    assert len(picture["positions"]) < 45_000
    assert picture["frames"] > 60
