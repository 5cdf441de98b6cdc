"""Inverse dynamics of the throwing arm: from the motion of hand, forearm and upper arm to forces and torques.

Newton-Euler from the hand to the shoulder in lab axes (Feltner & Dapena 1986, Int J Sport Biomech 2:235-259), gravity
included. Newtons and newton metres; arrays of shape (frames, 3). Accelerations are second central differences of
positions that were filtered once; angular momentum is differentiated once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from metrics.kinematics import frames
from metrics.kinematics.joints import Joints
from metrics.kinematics.landmarks import BALL
from metrics.kinematics.movement import Movement
from metrics.kinematics.segments import GRAVITY, Segment
from metrics.kinematics.vectors import (
    Array,
    across,
    angle_between,
    central_difference,
    dot,
    median_length,
    second_difference,
    turned,
    unit,
)
from metrics.kinematics.velocities import angular_velocity

UP = np.array([0.0, 0.0, GRAVITY])  # what a segment at rest is pushed up with, m/s²
HELD_BEFORE_RELEASE_S = (0.10, 0.02)  # s before release in which the ball surely sits still in the hand


@dataclass(frozen=True, slots=True, eq=False)
class Link:
    """One rigid segment in motion. ``mass`` kg; ``radii`` of gyration about its own X, Y, Z, m.

    ``axes`` (frames, 3, 3); ``proximal``, ``distal``, ``centre`` (frames, 3), m.
    """

    mass: float
    radii: Array
    axes: Array
    proximal: Array
    distal: Array
    centre: Array


@dataclass(frozen=True, slots=True, eq=False)
class Load:
    """What the proximal neighbour exerts on a link at its proximal end: force (N) and moment (N·m) about that end."""

    force: Array
    moment: Array


def link(segment: Segment, body_mass_kg: float, axes: Array, proximal: Array, distal: Array) -> Link:
    """A segment of the table on measured ends; its length is the median over the frames."""
    length = median_length(distal - proximal)
    centre = proximal + segment.centre * length * unit(distal - proximal)
    return Link(segment.mass * body_mass_kg, np.array(segment.radii) * length, axes, proximal, distal, centre)


def angular_momentum(one: Link, rate_hz: float) -> Array:
    """About the link's own centre, lab axes, kg·m²/s."""
    omega = angular_velocity(one.axes, rate_hz)
    own = np.einsum("...ji,...j->...i", one.axes, omega)
    return turned(one.axes, one.mass * one.radii**2 * own)


def push(mass: float | Array, course: Array, rate_hz: float) -> Array:
    """Force (frames, 3) that makes a mass move so, against gravity, N. ``mass`` one number or (frames, 1), kg."""
    return mass * (second_difference(course, rate_hz) + UP)


def chain_loads(links: Sequence[Link], rate_hz: float, tip_force: Array, tip_place: Array) -> list[Load]:
    """Loads at the proximal end of each link, from the last to the first; ``links`` run from proximal to distal.

    ``tip_force`` (frames, 3): what the last link exerts on the point mass that it carries at ``tip_place``.
    """
    loads: list[Load] = []
    force, moment, place = tip_force, np.zeros_like(tip_force), tip_place
    for one in reversed(links):
        own = push(one.mass, one.centre, rate_hz)
        spin = central_difference(angular_momentum(one, rate_hz), rate_hz)
        passed_on = moment + np.cross(place - one.proximal, force)
        moment = passed_on + spin + np.cross(one.centre - one.proximal, own)
        force, place = force + own, one.proximal
        loads.append(Load(force, moment))
    return loads


def hand_frame(joints: Joints, knuckle: Array) -> Array:
    """Rotations of the throwing hand (frames, 3, 3), turned by the line between the styloids."""
    return frames.limb_end(joints["R_wrist"], knuckle, joints.axes["R_wrist"])


def arm_links(joints: Joints, knuckle: Array, table: Mapping[str, Segment], body_mass_kg: float) -> list[Link]:
    """Upper arm (turned by the arm's plane), forearm and hand (by the styloids) of the throwing arm."""
    shoulder, elbow, wrist = (joints[f"R_{name}"] for name in ("shoulder", "elbow", "wrist"))
    fore = frames.limb_end(elbow, wrist, joints.axes["R_wrist"])
    return [
        link(table["upper_arm"], body_mass_kg, frames.humerus(shoulder, elbow, wrist), shoulder, elbow),
        link(table["forearm"], body_mass_kg, fore, elbow, wrist),
        link(table["hand"], body_mass_kg, hand_frame(joints, knuckle), wrist, knuckle),
    ]


def place_in_hand(movement: Movement, release_s: float) -> Array:
    """Where the ball sits in the hand's axes from the wrist, (3,), m; NaN when it was not seen while it was held.

    ``movement`` before any filter: the filter moves the wrist, and the ball goes without it, since its flight would
    smear into the hand.
    """
    early, late = (max(0, round((release_s - before) * movement.rate_hz)) for before in HELD_BEFORE_RELEASE_S)
    held = slice(early, late + 1)
    markers, joints = movement.markers, movement.joints
    reach = (markers[BALL] - joints["R_wrist"])[held]
    local = np.einsum("...ji,...j->...i", hand_frame(joints, markers["R_MC3"])[held], reach)
    seen = local[np.isfinite(local).all(axis=-1)]
    return np.median(seen, axis=0) if len(seen) else np.full(3, np.nan)


@dataclass(frozen=True, slots=True, eq=False)
class ArmLoads:
    """Curves (frames,) of a right arm, N·m and N.

    Varus: moment of the upper arm on the forearm that turns it toward internal rotation; undefined under 5° of elbow
    flexion. Distraction: the trunk's force on the upper arm against its pull, toward the trunk. Internal rotation: the
    trunk's moment on the upper arm about its own axis. Anterior force: the trunk's on the upper arm, along thorax X.
    """

    elbow_varus_torque: Array
    shoulder_distraction_force: Array
    shoulder_internal_rotation_torque: Array
    shoulder_anterior_force: Array


def arm_loads(joints: Joints, links: Sequence[Link], ball: Array, ball_kg: Array, rate_hz: float) -> ArmLoads:
    """Loads of the throwing arm with a ball at ``ball`` (frames, 3), m, of ``ball_kg`` (frames, 1), 0 once it has left.

    Varus is -M·v about the elbow, with v the part of u (shoulder → elbow) at right angles to f (elbow → wrist).
    """
    _, at_elbow, at_shoulder = chain_loads(links, rate_hz, push(ball_kg, ball, rate_hz), ball)
    upper, fore = unit(joints["R_elbow"] - joints["R_shoulder"]), unit(joints["R_wrist"] - joints["R_elbow"])
    bent = angle_between(upper, fore) >= frames.STRAIGHT_ELBOW
    return ArmLoads(
        np.where(bent, -dot(at_elbow.moment, unit(across(upper, fore))), np.nan),
        -dot(at_shoulder.force, upper),
        -dot(at_shoulder.moment, upper),
        dot(at_shoulder.force, joints.thorax[..., 0]),
    )


def throw_loads(
    movement: Movement, in_hand: Array, release_s: float, ball_kg: float, body_mass_kg: float,
    table: Mapping[str, Segment],
) -> ArmLoads:  # fmt: skip
    """Loads of one throw with the ball at ``in_hand`` (3,) until release, at the knuckle when that is NaN."""
    joints, knuckle = movement.joints, movement.markers["R_MC3"]
    links = arm_links(joints, knuckle, table, body_mass_kg)
    seen = np.isfinite(in_hand).all()
    ball = joints["R_wrist"] + turned(links[-1].axes, in_hand) if seen else knuckle
    held = np.arange(len(knuckle)) / movement.rate_hz <= release_s
    return arm_loads(joints, links, ball, np.where(held, ball_kg, 0.0)[:, None], movement.rate_hz)
