"""Inverse dynamics against arms whose loads are known: by hand, in closed form, by energy, and as clouds of points.

Arms here move as functions of time, so their accelerations are known but for the step of the central differences:
tolerances are a few parts in ten thousand at 2,000 frames a second.
"""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from metrics.kinematics.dynamics import ArmLoads, Link, arm_links, arm_loads, chain_loads, push
from metrics.kinematics.segments import MEN
from tests.metrics.kinematics.clouds import load_of, part, point_clouds
from tests.metrics.kinematics.moving_arm import LENGTHS, NAMES, UPRIGHT, MovingArm, wild

G = 9.80665  # m/s²
MASS = 100.0  # kg, so that a percentage of body mass is a kilogram
FRAMES, RATE = 41, 2000.0
INSIDE = slice(3, -3)  # frames that two differences in a row reach
OUT_TO_THE_SIDE = UPRIGHT * Rotation.from_euler("x", -90, degrees=True)  # upper arm to the right, elbow's hinge up
BALL = 0.145


def held(n, kilograms=BALL):
    return np.full((n, 1), kilograms)


def loads_of(arm, *, ball=None, kilograms=BALL):
    """Loads with the ball at MC3, or wherever it is."""
    place = arm.points["end"] if ball is None else ball
    links = arm_links(arm.joints, arm.points["end"], MEN, MASS)
    return arm_loads(arm.joints, links, place, held(len(place), kilograms), arm.rate_hz)


def still(upper, flexion=np.pi / 2, **turns):
    return MovingArm.posed(Rotation.concatenate([upper] * FRAMES), flexion, RATE, **turns)


# --- by hand -------------------------------------------------------------------------------------------------------


def test_an_arm_hanging_at_rest_is_held_by_its_weight():
    """2.71 + 1.62 + 0.61 kg and the ball: 5.085 kg × 9.80665 m/s² = 49.867 N, straight up, against the pull."""
    loads = loads_of(still(UPRIGHT))
    np.testing.assert_allclose(loads.shoulder_distraction_force[INSIDE], 49.8668, atol=1e-3)
    np.testing.assert_allclose(loads.shoulder_anterior_force[INSIDE], 0.0, atol=1e-6)


def test_a_forearm_held_level_in_front_needs_a_turn_away_from_internal_rotation():
    """Upper arm out to the side, forearm level and forward: its weight turns it down, which is internal rotation.

    About the elbow: forearm 1.62 kg at 0.4574 × 0.25 = 0.11435 m, hand 0.61 kg at 0.25 + 0.79 × 0.09 = 0.3211 m, ball
    0.145 kg at 0.34 m: 0.43042 kg·m × 9.80665 m/s² = 4.2210 N·m against it. The shoulder's axis is the same line.
    """
    loads = loads_of(still(OUT_TO_THE_SIDE))
    np.testing.assert_allclose(loads.elbow_varus_torque[INSIDE], -4.2210, atol=1e-3)
    np.testing.assert_allclose(loads.shoulder_internal_rotation_torque[INSIDE], -4.2210, atol=1e-3)
    np.testing.assert_allclose(loads.shoulder_distraction_force[INSIDE], 0.0, atol=1e-6)


def test_speeding_up_internal_rotation_takes_varus_torque():
    """Forearm straight up, so that gravity has no arm, and internal rotation speeding up by 1,000 rad/s².

    Moment of inertia about the upper arm's axis: forearm 1.62 × (0.11435² + (0.276 × 0.25)²) = 0.0288960, hand
    0.61 × (0.3211² + (0.628 × 0.09)²) = 0.0648436, ball 0.145 × 0.34² = 0.0167620 kg·m²: 0.1105 kg·m² in all.
    """
    times = (np.arange(FRAMES) - FRAMES // 2) / RATE
    laid_back = OUT_TO_THE_SIDE * Rotation.from_euler("y", 90, degrees=True)
    spin = Rotation.from_rotvec(np.outer(0.5 * 1000.0 * times**2, [0.0, 1.0, 0.0]))  # +Y is against the upper arm
    loads = loads_of(MovingArm.posed(spin * laid_back, np.pi / 2, RATE))
    middle = FRAMES // 2
    assert loads.elbow_varus_torque[middle] == pytest.approx(110.50, abs=0.1)
    assert loads.shoulder_internal_rotation_torque[middle] == pytest.approx(
        110.50 + 1000.0 * 2.71 * (0.158 * 0.30) ** 2, abs=0.1
    )


def test_a_turning_arm_is_held_against_its_pull():
    """Upper arm and straight-enough forearm turning at 30 rad/s in the level plane: m ω² r of every part.

    In line but for the 20° of the elbow; distances from the shoulder along the upper arm: 0.17316 m, 0.3 + 0.11435
    cos 20°, 0.3 + 0.3211 cos 20°, 0.3 + 0.34 cos 20°.
    """
    turn = Rotation.from_rotvec(np.outer(30.0 * np.arange(FRAMES) / RATE, [0.0, 0.0, 1.0]))
    loads = loads_of(MovingArm.posed(turn * OUT_TO_THE_SIDE, np.radians(20.0), RATE))
    cosine = np.cos(np.radians(20.0))
    reach = 2.71 * 0.17316 + 1.62 * (0.3 + 0.11435 * cosine) + 0.61 * (0.3 + 0.3211 * cosine)
    expected = 900.0 * (reach + BALL * (0.3 + 0.34 * cosine))
    np.testing.assert_allclose(loads.shoulder_distraction_force[INSIDE], expected, rtol=2e-4)


def test_a_nearly_straight_arm_has_no_varus_torque_but_is_held_all_the_same():
    """Under 5° of flexion the arm has no plane, so neither a varus axis nor a turned upper arm."""
    for degrees, known in ((4.0, False), (6.0, True)):
        loads = loads_of(still(UPRIGHT, np.radians(degrees)))
        assert np.isfinite(loads.elbow_varus_torque[INSIDE]).all() == known
        assert np.isfinite(loads.shoulder_distraction_force[INSIDE]).all()


# --- closed form ---------------------------------------------------------------------------------------------------


def rod(mass, centre, length, radius, turn, start):
    """A link in the X-Z plane whose long axis hangs down at turn 0; positive turns swing it forward."""
    axes = UPRIGHT * Rotation.from_euler("z", turn[:, None])
    end, middle = (start + axes.apply([0.0, -along, 0.0]) for along in (length, centre))
    return Link(mass, np.array([radius, 0.3 * radius, radius]), axes.as_matrix(), start, end, middle)


def about_the_hinge(load):
    """Moment in the sense of a positive turn: forward, about -Y."""
    return -load.moment[:, 1]


def test_a_pendulum_swings_without_a_moment_and_pulls_as_worked_by_hand():
    """Physical pendulum, 2 kg, centre 0.4 m under its pivot, radius of gyration 0.15 m, small swing of 0.05 rad.

    Period: 2π √((0.15² + 0.4²) / (9.80665 × 0.4)) = 1.3549 s. Left to itself it needs no moment at the pivot, and at
    the lowest point it pulls with m (g + ω² r): ω = 0.05 × 2π / 1.3549 = 0.23187 rad/s, 19.6563 N.
    """
    period = 1.35492
    times = np.arange(2000) / 1000.0
    turn = 0.05 * np.sin(2 * np.pi * times / period)
    swinging = rod(2.0, 0.4, 0.8, 0.15, turn, np.zeros((len(times), 3)))
    nothing = np.zeros((len(times), 3))
    (load,) = chain_loads([swinging], 1000.0, nothing, nothing)
    weight_moment = 2.0 * G * 0.4 * 0.05  # N·m: what would be needed to hold it there
    assert np.abs(about_the_hinge(load)[INSIDE]).max() < 1e-3 * weight_moment
    assert np.linalg.norm(load.force, axis=1)[3] == pytest.approx(19.6563, rel=1e-4)  # 3 ms after the lowest point


def test_a_two_link_arm_has_the_torques_of_its_equations_of_motion():
    """Planar two-link arm in the vertical plane: the standard closed form (as in Spong, Robot Modeling and Control).

    M₁₁ = I₁ + I₂ + m₁r₁² + m₂(l₁² + r₂² + 2 l₁r₂ cos q₂), M₁₂ = I₂ + m₂(r₂² + l₁r₂ cos q₂), M₂₂ = I₂ + m₂r₂²,
    h = -m₂l₁r₂ sin q₂; τ₁ = M₁₁q̈₁ + M₁₂q̈₂ + h(2q̇₁q̇₂ + q̇₂²) + g₁, τ₂ = M₁₂q̈₁ + M₂₂q̈₂ - h q̇₁² + g₂; angles from the
    downward vertical.
    """
    t = np.arange(4000) / 4000.0
    (m1, r1, l1, k1), (m2, r2, l2, k2) = (2.71, 0.17, 0.30, 0.08), (2.37, 0.16, 0.34, 0.10)
    q1, dq1, ddq1 = 1.2 * np.sin(5 * t), 6.0 * np.cos(5 * t), -30.0 * np.sin(5 * t)
    q2, dq2, ddq2 = 1.0 + 0.8 * np.cos(9 * t), -7.2 * np.sin(9 * t), -64.8 * np.cos(9 * t)
    upper = rod(m1, r1, l1, k1, q1, np.zeros((len(t), 3)))
    fore = rod(m2, r2, l2, k2, q1 + q2, upper.distal)
    nothing = np.zeros((len(t), 3))
    at_elbow, at_shoulder = chain_loads([upper, fore], 4000.0, nothing, nothing)

    i1, i2, cosine = m1 * k1**2, m2 * k2**2, np.cos(q2)
    inner = i2 + m2 * (r2**2 + l1 * r2 * cosine)
    outer = i1 + i2 + m1 * r1**2 + m2 * (l1**2 + r2**2 + 2 * l1 * r2 * cosine)
    h = -m2 * l1 * r2 * np.sin(q2)
    g2 = m2 * G * r2 * np.sin(q1 + q2)
    g1 = (m1 * r1 + m2 * l1) * G * np.sin(q1) + g2
    first = outer * ddq1 + inner * ddq2 + h * (2 * dq1 * dq2 + dq2**2) + g1
    second = inner * ddq1 + (i2 + m2 * r2**2) * ddq2 - h * dq1**2 + g2
    np.testing.assert_allclose(about_the_hinge(at_shoulder)[INSIDE], first[INSIDE], atol=1e-4 * np.abs(first).max())
    np.testing.assert_allclose(about_the_hinge(at_elbow)[INSIDE], second[INSIDE], atol=1e-4 * np.abs(second).max())


# --- any movement --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", [1, 2, 3])
def test_loads_are_those_of_a_cloud_of_points_in_the_same_motion(number):
    """No angular velocity and no inertia tensor: force Σ m (a - g), moment Σ r × m (a - g) over everything beyond."""
    arm = wild(number=number)
    ball, n = arm.ball(), len(arm.shoulder)
    links = arm_links(arm.joints, arm.points["end"], MEN, MASS)
    chain = chain_loads(links, arm.rate_hz, push(held(n), ball, arm.rate_hz), ball)
    clouds, beyond = point_clouds(parts_of(arm)), [(BALL, ball)]
    for name, load in zip(reversed(NAMES), chain, strict=True):
        beyond += clouds[name]
        force, moment = load_of(beyond, arm.points[name], arm.rate_hz)
        np.testing.assert_allclose(load.force[INSIDE], force[INSIDE], atol=1e-3 * np.nanmax(np.abs(force)))
        np.testing.assert_allclose(load.moment[INSIDE], moment[INSIDE], atol=1e-3 * np.nanmax(np.abs(moment)))


@pytest.mark.parametrize("number", [4, 5])
def test_joints_put_in_the_energy_that_the_arm_gains(number):
    """Power of shoulder force and joint moments = rate of kinetic and potential energy, ball included."""
    arm, rate = wild(number=number), 2000.0
    ball, n = arm.ball(), len(arm.shoulder)
    links = arm_links(arm.joints, arm.points["end"], MEN, MASS)
    chain = chain_loads(links, rate, push(held(n), ball, rate), ball)
    omega = dict(zip(NAMES, (spin_of(arm.rotations[name], rate) for name in NAMES), strict=True))
    power = (chain[-1].force * np.gradient(arm.shoulder, 1 / rate, axis=0)).sum(axis=1)
    carrier = np.zeros_like(power)[:, None]
    for name, load in zip(NAMES, reversed(chain), strict=True):
        power += (load.moment * (omega[name] - carrier)).sum(axis=1)
        carrier = omega[name]
    gained = np.gradient(energy_of(arm, ball, omega), 1 / rate)
    inside = slice(6, -6)
    np.testing.assert_allclose(power[inside], gained[inside], atol=1e-3 * np.abs(gained[inside]).max())


def parts_of(arm):
    return {name: part(MEN[name], MASS, arm.rotations[name], arm.points[name], LENGTHS[name]) for name in NAMES}


def spin_of(turns, rate):
    """Angular velocity (n, 3), lab axes: scipy's rotation vectors between the frames on either side."""
    spin = np.full((len(turns), 3), np.nan)
    spin[1:-1] = (turns[2:] * turns[:-2].inv()).as_rotvec() * rate / 2
    return spin


def energy_of(arm, ball, omega):
    velocity = np.gradient(ball, 1 / arm.rate_hz, axis=0)
    energy = BALL * ((velocity**2).sum(axis=1) / 2 + G * ball[:, 2])
    for name, one in parts_of(arm).items():
        velocity = np.gradient(one.centre, 1 / arm.rate_hz, axis=0)
        own = one.rotation.inv().apply(np.nan_to_num(omega[name]))
        energy += one.mass * ((velocity**2).sum(axis=1) / 2 + G * one.centre[:, 2])
        energy += (one.moments * own**2).sum(axis=1) / 2
    return energy


CURVES = tuple(field.name for field in fields(ArmLoads))


@pytest.mark.parametrize("name", CURVES)
def test_where_the_room_faces_and_that_it_drifts_changes_nothing(name):
    """Turned about the vertical and moving steadily, thorax and all."""
    arm = wild(number=6)
    other = arm.seen_from(Rotation.from_euler("z", 137.0, degrees=True), drift_mps=(3.0, -2.0, 1.0))
    expected, found = getattr(loads_of(arm), name), getattr(loads_of(other), name)
    np.testing.assert_allclose(found[INSIDE], expected[INSIDE], atol=1e-6 * np.nanmax(np.abs(expected)))
