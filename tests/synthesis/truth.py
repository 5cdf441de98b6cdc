"""What the body really does: every angle and speed, from the rotations that made the markers, never from the markers.

Definitions, zeros and signs are those of the measurement; where it calls an angle undefined it is NaN here too.
Degrees, degrees per second, metres per second; arrays have shape (n,).
"""

from __future__ import annotations

import numpy as np
from scipy.spatial.transform import Rotation

from .curves import Array
from .delivery import Motion
from .pose import Pose
from .skeleton import Skeleton, place_skeleton

STEP = 1e-5  # s either side when a rotation is differentiated: far under any curve's own time scale
UPRIGHT_LIMIT = 20.0  # deg: a heading ends where the segment's X axis comes this near to the vertical
TILT_LIMIT = 80.0
ABDUCTION_LIMITS = (30.0, 150.0)  # outside: no horizontal abduction
AXIS_LIMIT, FOREARM_LIMIT = 15.0, 10.0  # no external rotation nearer to the trunk's axis, to a straight elbow


def angles(motion: Motion, times: Array) -> dict[str, Array]:
    """Every angle (deg) by name at times (s, shape (n,))."""
    pose = motion.pose(times)
    return _angles(pose, place_skeleton(motion.body, pose))


def _angles(pose: Pose, skeleton: Skeleton) -> dict[str, Array]:
    rotations = skeleton.rotations
    pelvis, thorax = rotations["pelvis"], rotations["thorax"]
    found = {
        "pelvis_rotation": _defined(pose["pelvis_rotation"], _off_vertical(pelvis) > UPRIGHT_LIMIT),
        "trunk_rotation": _defined(pose["trunk_rotation"], _off_vertical(thorax) > UPRIGHT_LIMIT),
        "pelvis_anterior_tilt": pose["pelvis_anterior_tilt"],
        "pelvis_lateral_tilt": pose["pelvis_lateral_tilt"],
        "trunk_forward_tilt": _tilt(pose["trunk_forward_tilt"]),
        "trunk_lateral_tilt": _tilt(pose["trunk_lateral_tilt"]),
        "trunk_extension": _first_angle(pelvis, thorax),
    }
    found["separation"] = (found["trunk_rotation"] - found["pelvis_rotation"] + 180.0) % 360.0 - 180.0
    for leg, side in (("drive", "R"), ("lead", "L")):
        found[f"{leg}_hip_flexion"] = _first_angle(pelvis, rotations[f"{side}_femur"])
        found[f"{leg}_knee_flexion"] = -_first_angle(rotations[f"{side}_femur"], rotations[f"{side}_shank"])
    return found | _arm_angles(pose, "throwing", "") | _arm_angles(pose, "glove", "glove_")


def _arm_angles(pose: Pose, arm: str, prefix: str) -> dict[str, Array]:
    abduction, bend = pose[f"{arm}_abduction"], pose[f"{arm}_elbow_flexion"]
    low, high = ABDUCTION_LIMITS
    off_axis = np.minimum(abduction, 180.0 - abduction)
    crooked = np.minimum(np.abs(bend), 180.0 - np.abs(bend))
    return {
        f"{prefix}shoulder_abduction": abduction,
        f"{prefix}shoulder_horizontal_abduction": _defined(
            pose[f"{arm}_horizontal_abduction"], (abduction >= low) & (abduction <= high)
        ),
        f"{prefix}shoulder_external_rotation": _defined(
            pose[f"{arm}_external_rotation"], (off_axis >= AXIS_LIMIT) & (crooked >= FOREARM_LIMIT)
        ),
        f"{prefix}elbow_flexion": bend,
    }


def _defined(values: Array, where: Array) -> Array:
    return np.where(where, values, np.nan)


def _tilt(values: Array) -> Array:
    return _defined(values, np.abs(values) <= TILT_LIMIT)


def _off_vertical(segment: Rotation) -> Array:
    """Angle (deg) between the segment's X axis and the vertical, either way up."""
    return np.degrees(np.arccos(np.clip(np.abs(segment.apply([1.0, 0.0, 0.0])[:, 2]), 0.0, 1.0)))


def _first_angle(proximal: Rotation, distal: Rotation) -> Array:
    """The turn about the proximal segment's Z axis, order Z-X'-Y''."""
    return (proximal.inv() * distal).as_euler("ZXY", degrees=True)[:, 0]


def speeds(motion: Motion, times: Array) -> dict[str, Array]:
    """Every speed by name at times (s, shape (n,)), deg/s; `pelvis_speed` in m/s."""
    before, after = motion.pose(times - STEP), motion.pose(times + STEP)
    past, coming = place_skeleton(motion.body, before), place_skeleton(motion.body, after)
    now = place_skeleton(motion.body, motion.pose(times))

    def angular(segment: str) -> Array:
        return (coming.rotations[segment] * past.rotations[segment].inv()).as_rotvec() / (2 * STEP)

    def along(vectors: Array, segment: str, axis: list[float]) -> Array:
        return np.degrees((vectors * now.rotations[segment].apply(axis)).sum(axis=1))

    pelvis, thorax = angular("pelvis"), angular("thorax")
    first, last = _angles(before, past), _angles(after, coming)

    def rate(name: str) -> Array:
        return (last[name] - first[name]) / (2 * STEP)

    return {
        "pelvis_velocity": along(pelvis, "pelvis", [0.0, 1.0, 0.0]),
        "trunk_velocity": along(thorax, "thorax", [0.0, 1.0, 0.0]),
        "trunk_flexion_velocity": -along(thorax, "thorax", [0.0, 0.0, 1.0]),
        # The upper arm points along its segment's -Y.
        "shoulder_internal_rotation_velocity": along(angular("R_humerus") - thorax, "R_humerus", [0.0, 1.0, 0.0]),
        "elbow_extension_velocity": -rate("elbow_flexion"),
        "lead_knee_extension_velocity": -rate("lead_knee_flexion"),
        "shoulder_horizontal_adduction_velocity": -rate("shoulder_horizontal_abduction"),
        "pelvis_speed": (coming.centres["mid_hips"] - past.centres["mid_hips"])[:, 0] / (2 * STEP),
    }
