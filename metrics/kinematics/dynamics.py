"""Inverse dynamics of the throwing arm: from the motion of hand, forearm and upper arm to forces and torques.

Newton-Euler from the hand to the shoulder in lab axes (Feltner & Dapena 1986, Int J Sport Biomech 2:235-259), gravity
included. Newtons and newton metres; arrays of shape (frames, 3). Accelerations are second central differences of
positions that were filtered once; angular momentum is differentiated once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from metrics.kinematics import frames
from metrics.kinematics.joints import Joints
from metrics.kinematics.segments import GRAVITY, Segment
from metrics.kinematics.vectors import (
    Array,
    across,
    angle_between,
    central_difference,
    dot,
    norm,
    second_difference,
    turned,
    unit,
)
from metrics.kinematics.velocities import angular_velocity

DOWN = np.array([0.0, 0.0, -GRAVITY])


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
    lengths = norm(distal - proximal)
    seen = lengths[np.isfinite(lengths)]
    length = float(np.median(seen)) if len(seen) else float("nan")
    centre = proximal + segment.centre * length * unit(distal - proximal)
    return Link(segment.mass * body_mass_kg, np.array(segment.radii) * length, axes, proximal, distal, centre)


def angular_momentum(one: Link, rate_hz: float) -> Array:
    """About the link's own centre, lab axes, kg·m²/s."""
    omega = angular_velocity(one.axes, rate_hz)
    own = np.einsum("...ji,...j->...i", one.axes, omega)
    return turned(one.axes, one.mass * one.radii**2 * own)


def point_load(mass: float | Array, place: Array, rate_hz: float) -> Array:
    """Force (frames, 3) that a point mass needs to move so, against gravity, N. ``mass`` one number or (frames, 1)."""
    return mass * (second_difference(place, rate_hz) - DOWN)


def chain_loads(links: Sequence[Link], rate_hz: float, tip_force: Array, tip_place: Array) -> list[Load]:
    """Loads at the proximal end of each link, from the last to the first; ``links`` run from proximal to distal.

    ``tip_force`` (frames, 3): what the last link exerts on the point mass that it carries at ``tip_place``.
    """
    loads: list[Load] = []
    force, moment, place = tip_force, np.zeros_like(tip_force), tip_place
    for one in reversed(links):
        own = one.mass * (second_difference(one.centre, rate_hz) - DOWN)
        spin = central_difference(angular_momentum(one, rate_hz), rate_hz)
        at_end = moment + np.cross(place - one.proximal, force)
        moment = at_end + spin + np.cross(one.centre - one.proximal, own)
        force = force + own
        place = one.proximal
        loads.append(Load(force, moment))
    return loads


def arm_links(joints: Joints, knuckle: Array, table: Mapping[str, Segment], body_mass_kg: float) -> list[Link]:
    """Upper arm (turned by the arm's plane), forearm and hand (by the styloids) of the throwing arm."""
    shoulder, elbow, wrist = (joints[f"R_{name}"] for name in ("shoulder", "elbow", "wrist"))
    radial = joints.axes["R_wrist"]
    return [
        link(table["upper_arm"], body_mass_kg, frames.humerus(shoulder, elbow, wrist), shoulder, elbow),
        link(table["forearm"], body_mass_kg, frames.limb_end(elbow, wrist, radial), elbow, wrist),
        link(table["hand"], body_mass_kg, frames.limb_end(wrist, knuckle, radial), wrist, knuckle),
    ]


def carried(hand: Array, wrist: Array, ball: Array, held: NDArray[np.bool_]) -> Array:
    """The ball's course (frames, 3) while it stays where the hand holds it: its median place in the hand.

    ``hand`` (frames, 3, 3); ``held``: frames in which it is surely held. A ball that flies off would smear through
    the filter into the frames before. NaN when it was not seen in them.
    """
    local = np.einsum("...ji,...j->...i", hand[held], ball[held] - wrist[held])
    seen = local[np.isfinite(local).all(axis=-1)]
    place = np.median(seen, axis=0) if len(seen) else np.full(3, np.nan)
    return wrist + turned(hand, place)


@dataclass(frozen=True, slots=True, eq=False)
class ArmLoads:
    """Curves (frames,): N·m and N. Positive senses stand with `arm_loads`."""

    elbow_varus_torque: Array
    shoulder_distraction_force: Array
    shoulder_internal_rotation_torque: Array
    shoulder_anterior_force: Array


def arm_loads(
    joints: Joints, knuckle: Array, ball: Array, ball_kg: Array, table: Mapping[str, Segment], body_mass_kg: float,
    rate_hz: float,
) -> ArmLoads:  # fmt: skip
    """Loads of the throwing arm (right after mirroring).

    ``ball`` (frames, 3), m, and ``ball_kg`` (frames, 1), 0 once it has left.
    Varus: the moment that the upper arm exerts on the forearm, against the turn u → f of the arm's plane's
    in-plane normal v = unit(u - (u·f) f): positive when it turns the forearm toward internal rotation; undefined
    under 10° of flexion. Distraction: the trunk's force on the upper arm against its pull, along -u. Internal rotation
    torque: the trunk's moment on the upper arm about the shoulder, along -u. Anterior force: along thorax X.
    """
    links = arm_links(joints, knuckle, table, body_mass_kg)
    with_ball = np.where(ball_kg > 0, point_load(ball_kg, ball, rate_hz), 0.0)
    _, at_elbow, at_shoulder = chain_loads(links, rate_hz, with_ball, ball_place(ball, links[-1].distal, ball_kg))
    upper, fore = unit(joints["R_elbow"] - joints["R_shoulder"]), unit(joints["R_wrist"] - joints["R_elbow"])
    bent = angle_between(upper, fore) >= frames.STRAIGHT_ELBOW
    inward = unit(across(upper, fore))
    return ArmLoads(
        np.where(bent, -dot(at_elbow.moment, inward), np.nan),
        -dot(at_shoulder.force, upper),
        -dot(at_shoulder.moment, upper),
        dot(at_shoulder.force, joints.thorax[..., 0]),
    )


def ball_place(ball: Array, knuckle: Array, ball_kg: Array) -> Array:
    """Where the ball's force acts; the knuckle once it has left, where that force is nothing."""
    return np.where(ball_kg > 0, ball, knuckle)
