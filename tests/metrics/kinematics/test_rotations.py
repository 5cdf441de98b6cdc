"""Cardan angles, rotation vectors and angular velocities against `scipy.spatial.transform`."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation, RotationSpline

from metrics.kinematics import angles, frames, velocities
from metrics.kinematics.vectors import relative, rotation_vector

COUNT = 500
EXACT = 1e-9  # rad; two ways of the same arithmetic
# The lab's own axes named as a segment's: X home, Y up, Z to the right.
LAB = Rotation.from_matrix([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]])
RATE = 300.0


def turns(number, count=COUNT):
    return Rotation.random(count, rng=np.random.default_rng(number))


def same_angle(found, expected):
    return np.abs((found - expected + np.pi) % (2 * np.pi) - np.pi)


def test_the_first_angle_is_the_cardan_angle_z_x_y():
    proximal, distal = turns(1), turns(2)
    expected = (proximal.inv() * distal).as_euler("ZXY")[:, 0]
    found = angles.first_angle(proximal.as_matrix(), distal.as_matrix())
    assert same_angle(found, expected).max() < EXACT


def test_a_heading_is_minus_the_cardan_angle_y_of_y_z_x_from_the_lab():
    segment = turns(3)
    expected = -(LAB.inv() * segment).as_euler("YZX")[:, 0]
    found = angles.heading(segment.as_matrix())
    steep = np.abs(segment.apply([1.0, 0.0, 0.0])[:, 2]) > np.cos(angles.NO_HEADING)
    assert np.isnan(found[steep]).all()
    assert same_angle(found[~steep], expected[~steep]).max() < EXACT


@pytest.mark.parametrize(("tilt", "order"), [(angles.forward_tilt, "ZXY"), (angles.lateral_tilt, "XZY")])
def test_tilts_are_minus_the_first_cardan_angle_that_leaves_the_other_tilt_out(tilt, order):
    segment = turns(4)
    expected = -(LAB.inv() * segment).as_euler(order)[:, 0]
    found = tilt(segment.as_matrix()[..., 1])
    seen = np.isfinite(found)
    np.testing.assert_array_equal(seen, np.abs(expected) <= angles.TILT_LIMIT)
    assert same_angle(found[seen], expected[seen]).max() < EXACT


def test_a_segment_turned_back_by_its_heading_faces_home():
    segment = turns(5)
    closed = angles.heading(segment.as_matrix())
    seen = np.isfinite(closed)
    back = Rotation.from_euler("z", closed[seen][:, None]) * segment[seen]
    assert np.abs(back.apply([1.0, 0.0, 0.0])[:, 1]).max() < EXACT
    np.testing.assert_allclose(angles.turned_back(segment.as_matrix())[seen], back.apply([0.0, 1.0, 0.0]), atol=EXACT)


def test_shoulder_angles_are_those_of_the_order_y_x_y():
    """Wu et al. 2005: plane of elevation, elevation, axial rotation, with the humerus turned by the arm's plane.

    Abduction is the elevation's size; behind is 180° minus the plane (as scipy counts it), external rotation 180° minus
    the axial rotation.
    """
    thorax, humerus = turns(6), turns(7)
    with np.errstate(all="ignore"):
        plane, elevation, axial = (thorax.inv() * humerus).as_euler("YXY").T
    upper = humerus.apply([0.0, -1.0, 0.0])
    fore = humerus.apply([np.sin(1.2), -np.cos(1.2), 0.0])  # bent by 1.2 rad in the arm's plane
    matrices = thorax.as_matrix()
    abduction = angles.shoulder_abduction(matrices, upper)
    behind = angles.shoulder_horizontal_abduction(matrices, upper)
    rotation = angles.shoulder_external_rotation(matrices, upper, fore)
    assert same_angle(abduction, elevation).max() < 1e-7
    assert np.nanmax(same_angle(behind, np.pi - plane)) < EXACT
    assert np.nanmax(same_angle(rotation, np.pi - axial)) < EXACT
    assert np.isfinite(rotation).mean() > 0.9


@pytest.mark.parametrize("size", [0.0, 1e-12, 1e-6, 0.1, 1.0, 3.0, 3.1])
def test_a_rotation_vector_is_scipys(size):
    axes = turns(8).apply([1.0, 0.0, 0.0])
    steps = Rotation.from_rotvec(size * axes)
    np.testing.assert_allclose(rotation_vector(steps.as_matrix()), steps.as_rotvec(), rtol=1e-9, atol=1e-14)


def test_relative_is_the_second_seen_from_the_first():
    first, second = turns(9), turns(10)
    expected = (first.inv() * second).as_matrix()
    np.testing.assert_allclose(relative(first.as_matrix(), second.as_matrix()), expected, atol=EXACT)


def smooth_turning(seconds=1.0):
    """A rotation spline through random poses, its rotations at every frame and its angular velocity in lab axes."""
    knots = np.linspace(0.0, seconds, 6)
    spline = RotationSpline(knots, Rotation.from_rotvec(np.cumsum(turns(11, 6).as_rotvec() * 0.3, axis=0)))
    times = np.arange(round(seconds * RATE)) / RATE
    here = spline(times)
    return here, here.apply(spline(times, 1))  # scipy gives the rate in the body's axes


def test_angular_velocity_is_made_of_scipys_rotation_vectors_between_frames():
    """Weights of the four steps around a frame: the derivative of the quartic through five points."""
    here, _ = smooth_turning()
    steps = (here[1:] * here[:-1].inv()).as_rotvec() * RATE
    found = velocities.angular_velocity(here.as_matrix(), RATE)
    expected = (7 * (steps[1:-2] + steps[2:-1]) - steps[:-3] - steps[3:]) / 12
    np.testing.assert_allclose(found[2:-2], expected, atol=1e-9)
    np.testing.assert_allclose(found[1], (steps[0] + steps[1]) / 2, atol=1e-9)
    assert np.isnan(found[[0, -1]]).all()


def test_angular_velocity_is_the_rate_of_a_rotation_spline():
    here, rate = smooth_turning()
    found = velocities.angular_velocity(here.as_matrix(), RATE)
    assert np.nanmax(np.linalg.norm(found - rate, axis=1)) < 2e-3 * np.linalg.norm(rate, axis=1).max()


def test_a_steady_spin_has_its_speed_exactly_however_fast():
    """7,000 deg/s at 300 frames a second turns 47° in two frames: no small angle is assumed."""
    speed = np.radians(7000.0)
    axis = np.array([0.36, 0.48, 0.8])
    spinning = Rotation.from_rotvec(np.outer(speed * np.arange(50) / RATE, axis))
    found = velocities.angular_velocity(spinning.as_matrix(), RATE)
    np.testing.assert_allclose(found[1:-1], np.broadcast_to(speed * axis, (48, 3)), rtol=1e-9)


def test_reversing_time_negates_angular_velocity():
    matrices = smooth_turning()[0].as_matrix()
    forward, backward = (velocities.angular_velocity(one, RATE) for one in (matrices, matrices[::-1]))
    np.testing.assert_allclose(backward[::-1][1:-1], -forward[1:-1], atol=1e-9)


def test_speeds_along_a_segment_are_the_parts_of_its_angular_velocity():
    """A thorax that turns about its long axis opens, about its own Z it bends; an upper arm about itself rotates."""
    thorax = turns(12, 1)[0]
    for axis, opening, bending in (([0.0, 3.0, 0.0], 3.0, 0.0), ([0.0, 0.0, -3.0], 0.0, 3.0)):
        omega = thorax.apply([axis])
        frame = thorax.as_matrix()[None]
        assert velocities.opening_velocity(omega, frame)[0] == pytest.approx(opening)
        assert velocities.trunk_flexion_velocity(omega, frame)[0] == pytest.approx(bending)
    upper = np.array([[0.0, -1.0, 0.0]])
    still, inward = np.zeros((1, 3)), np.array([[0.0, 5.0, 0.0]])
    assert velocities.internal_rotation_velocity(inward, still, upper)[0] == pytest.approx(5.0)
    assert velocities.internal_rotation_velocity(still, inward, upper)[0] == pytest.approx(-5.0)


POINTS = {
    "thorax": (frames.thorax, 4), "pelvis": (frames.pelvis, 4), "thigh": (frames.thigh, 3),
    "humerus": (frames.humerus, 3), "limb_end": (frames.limb_end, 3),
}  # fmt: skip


@pytest.mark.parametrize("name", POINTS)
def test_frames_of_any_points_are_rotations_that_turn_with_the_room(name):
    make, count = POINTS[name]
    points = np.random.default_rng(13).normal(size=(count, 200, 3))
    made = make(*points)
    assert made.shape == (200, 3, 3)
    seen = np.isfinite(made).all(axis=(1, 2))
    assert seen.mean() > 0.9
    np.testing.assert_allclose(relative(made, made)[seen], np.broadcast_to(np.eye(3), (seen.sum(), 3, 3)), atol=1e-9)
    np.testing.assert_allclose(np.linalg.det(made[seen]), 1.0, atol=1e-9)
    room = turns(14, 1)[0]
    turned = make(*(room.apply(one) for one in points))
    np.testing.assert_allclose(turned[seen], (room.as_matrix() @ made)[seen], atol=1e-9)
