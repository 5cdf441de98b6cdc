"""From a pose to the skeleton: where every joint centre is and how every segment is turned.

Forward from the pelvis to trunk, head and arms; by inverse kinematics between hip and ankle. A segment's rotation is a
`scipy.spatial.transform.Rotation` that takes segment axes (X forward, Y up or proximal, Z right) to lab axes.
The throwing side is R, the glove side L.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial.transform import Rotation

from .body import Body
from .curves import Array
from .pose import ARM, Pose

ARMS = {"R": ("throwing", 1.0), "L": ("glove", -1.0)}
LEGS = {"R": ("rear", 1.0), "L": ("lead", -1.0)}
UP = np.array([0.0, 0.0, 1.0])
FURTHEST = 0.9995  # of a straight leg: beyond it an ankle cannot be reached


@dataclass(frozen=True, slots=True)
class Skeleton:
    """Joint centres (n, 3) in m by name (`R_elbow`, `mid_hips` …), and rotations by segment (`thorax`, `R_humerus` …).

    `reach` is the greatest hip-to-ankle distance asked for, as a share of a straight leg.
    """

    centres: dict[str, Array]
    rotations: dict[str, Rotation]
    reach: float

    def at(self, segment: str, centre: str, local: Array) -> Array:
        """A point fixed in a segment: `local` (3,) in segment axes from a joint centre, in the lab (n, 3)."""
        return self.centres[centre] + self.rotations[segment].apply(local)


def place_skeleton(body: Body, pose: Pose) -> Skeleton:
    centres: dict[str, Array] = {"mid_hips": pose.point("pelvis")}
    rotations = {"pelvis": pelvis_rotation(pose), "thorax": thorax_rotation(pose)}
    centres["waist"] = centres["mid_hips"] + rotations["pelvis"].apply(body.waist_in_pelvis)
    centres["head"] = centres["waist"] + rotations["thorax"].apply(body.head_in_thorax)
    rotations["head"] = turned_up(pose["head_rotation"], pose["trunk_forward_tilt"] / 2, pose["trunk_lateral_tilt"] / 2)
    for side in ARMS:
        _place_arm(body, pose, side, centres, rotations)
    reach = max(_place_leg(body, pose, side, centres, rotations) for side in LEGS)
    return Skeleton(centres, rotations, reach)


def unit(vectors: Array) -> Array:
    return vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)


def from_axes(x: Array, y: Array, z: Array) -> Rotation:
    return Rotation.from_matrix(np.stack([x, y, z], axis=-1))


def turned_up(heading: Array, forward: Array, lateral: Array) -> Rotation:
    """A segment of a given heading whose long axis has lab tilts forward (to home) and lateral (to the glove side).

    All degrees, shape (n,). The long axis is along (tan forward, tan lateral, 1); X is at right angles to it, over the
    heading's horizontal direction.
    """
    h, f, s = np.radians(heading), np.radians(forward), np.radians(lateral)
    long_axis = np.stack([np.tan(f), np.tan(s), np.ones_like(f)], axis=-1)
    rise = -(np.cos(h) * long_axis[:, 0] - np.sin(h) * long_axis[:, 1])
    x, y = unit(np.stack([np.cos(h), -np.sin(h), rise], axis=-1)), unit(long_axis)
    return from_axes(x, y, np.cross(x, y))


def thorax_rotation(pose: Pose) -> Rotation:
    return turned_up(pose["trunk_rotation"], pose["trunk_forward_tilt"], pose["trunk_lateral_tilt"])


def pelvis_rotation(pose: Pose) -> Rotation:
    """The pelvis' tilts are about its own heading, so it is tilted first and turned afterwards."""
    tilted = turned_up(0 * pose["pelvis_rotation"], pose["pelvis_anterior_tilt"], pose["pelvis_lateral_tilt"])
    return Rotation.from_euler("z", -pose["pelvis_rotation"][:, None], degrees=True) * tilted


def foot_rotation(angle: Array, pitch: Array, slope: Array) -> Rotation:
    """The ground's slope, on it the foot's heading, on that its pitch (toe up positive); degrees, shape (n,)."""
    upright = Rotation.from_matrix([[1, 0, 0], [0, 0, -1], [0, 1, 0]])  # foot axes of a foot that points home
    turns = Rotation.from_euler("YZX", np.stack([slope, angle, 0 * angle], axis=-1), degrees=True)
    return turns * upright * Rotation.from_euler("z", pitch[:, None], degrees=True)


def _place_arm(body: Body, pose: Pose, side: str, centres: dict[str, Array], rotations: dict[str, Rotation]) -> None:
    """Upper arm, forearm and hand from the thorax; a left arm is the mirror of a right one in the thorax."""
    arm, sign = ARMS[side]
    thorax = rotations["thorax"].as_matrix()
    forward, up, outward = thorax[:, :, 0], thorax[:, :, 1], sign * thorax[:, :, 2]
    angle = {name: np.radians(pose[f"{arm}_{name}"])[:, None] for name in ARM}
    lift, behind = angle["abduction"], angle["horizontal_abduction"]
    sideward = np.cos(behind) * outward - np.sin(behind) * forward
    upper = np.sin(lift) * sideward - np.cos(lift) * up
    laid_up = np.sin(lift) * up + np.cos(lift) * sideward  # up, at right angles to the upper arm, without a singularity
    ahead = sign * np.cross(laid_up, upper)
    turn, bend = angle["external_rotation"], angle["elbow_flexion"]
    bent = np.cos(turn) * ahead + np.sin(turn) * laid_up
    fore = np.cos(bend) * upper + np.sin(bend) * bent
    hinge = np.cross(upper, bent)  # points right on either side
    palmar = np.cross(-fore, hinge)  # of the supinated hand
    roll, cock = sign * angle["pronation"], angle["wrist_extension"]
    radial, palm = np.cos(roll) * hinge + np.sin(roll) * palmar, np.cos(roll) * palmar - np.sin(roll) * hinge
    hand = np.cos(cock) * fore - np.sin(cock) * palm

    rotations[f"{side}_humerus"] = from_axes(np.cross(-upper, hinge), -upper, hinge)
    rotations[f"{side}_forearm"] = from_axes(palm, -fore, radial)
    rotations[f"{side}_hand"] = from_axes(np.cross(-hand, radial), -hand, radial)
    shoulder = body.shoulder_in_thorax * np.array([1.0, 1.0, sign])
    centres[f"{side}_shoulder"] = centres["waist"] + rotations["thorax"].apply(shoulder)
    centres[f"{side}_elbow"] = centres[f"{side}_shoulder"] + body.length("upper_arm") * upper
    centres[f"{side}_wrist"] = centres[f"{side}_elbow"] + body.length("forearm") * fore


def _place_leg(body: Body, pose: Pose, side: str, centres: dict[str, Array], rotations: dict[str, Rotation]) -> float:
    """Thigh and shank between hip and ankle, the knee toward its heading. Returns the reach asked for."""
    leg, sign = LEGS[side]
    hip = centres["mid_hips"] + rotations["pelvis"].apply([0.0, 0.0, sign * body.half_hips])
    ankle = pose.point(f"{leg}_ankle")
    heading = np.radians(pose[f"{leg}_knee_heading"])
    toward = np.stack([np.cos(heading), -np.sin(heading), 0 * heading], axis=-1)
    knee, reach = bent_knee(body, hip, ankle, toward)
    thigh, shank = unit(knee - hip), unit(ankle - knee)
    hinge = unit(np.cross(shank, thigh))
    rotations[f"{side}_femur"] = from_axes(np.cross(-thigh, hinge), -thigh, hinge)
    rotations[f"{side}_shank"] = from_axes(np.cross(-shank, hinge), -shank, hinge)
    rotations[f"{side}_foot"] = foot_rotation(pose[f"{leg}_foot_angle"], pose[f"{leg}_foot_pitch"],
                                              pose[f"{leg}_foot_slope"])  # fmt: skip
    centres |= {f"{side}_hip": hip, f"{side}_knee": knee, f"{side}_ankle": ankle}
    return reach


def bent_knee(body: Body, hip: Array, ankle: Array, toward: Array) -> tuple[Array, float]:
    """Knee centre (n, 3) from hip and ankle (n, 3), m, and the direction in which the knee points.

    Triangle of thigh, shank and hip-to-ankle. An ankle out of reach is served with a leg that is as good as straight.
    """
    thigh, shank = body.length("thigh"), body.length("shank")
    asked = np.linalg.norm(ankle - hip, axis=-1, keepdims=True)
    distance = np.minimum(asked, FURTHEST * body.leg_reach)
    along = (ankle - hip) / asked
    aside = unit(toward - (toward * along).sum(axis=-1, keepdims=True) * along)
    reach_along = (thigh**2 - shank**2 + distance**2) / (2 * distance)
    knee = hip + reach_along * along + np.sqrt(thigh**2 - reach_along**2) * aside
    return knee, float(asked.max() / body.leg_reach)
