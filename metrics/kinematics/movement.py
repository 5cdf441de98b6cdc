"""From the markers of one throw to its curves: joint centres, frames, angles and speeds, one value a frame.

Degrees and degrees per second here, at the surface; metres and metres per second. A right-hander after mirroring: the
throwing side is R, the lead leg L.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from metrics.kinematics import angles, frames, velocities
from metrics.kinematics.joints import HalfWidth, Joints, Sizes, find_joints
from metrics.kinematics.landmarks import Markers
from metrics.kinematics.vectors import Array, across, dot, unit

X, Y, Z = 0, 1, 2

# Which markers each curve stands on.
_THORAX = ("C7", "T8", "IJ", "PX")
_PELVIS = ("R_ASIS", "L_ASIS", "R_PSIS", "L_PSIS")
_UPPER = (*_THORAX, "R_AC", "R_EL", "R_EM")
_THROWING = (*_UPPER, "R_RS", "R_US")
_LOADED = (*_THROWING, "R_MC3")
_DRIVE = (*_PELVIS, "R_FLE", "R_FME", "R_LM", "R_MM")
_LEAD = (*_PELVIS, "L_FLE", "L_FME", "L_LM", "L_MM")
STANDS_ON: Mapping[str, tuple[str, ...]] = {
    "pelvis_rotation": _PELVIS, "pelvis_anterior_tilt": _PELVIS, "pelvis_lateral_tilt": _PELVIS,
    "pelvis_velocity": _PELVIS, "pelvis_speed": _PELVIS,
    "trunk_rotation": _THORAX, "trunk_forward_tilt": _THORAX, "trunk_lateral_tilt": _THORAX,
    "trunk_velocity": _THORAX, "trunk_flexion_velocity": _THORAX,
    "separation": (*_THORAX, *_PELVIS), "trunk_extension": (*_THORAX, *_PELVIS),
    "drive_knee_flexion": _DRIVE, "drive_hip_flexion": _DRIVE[:6],
    "lead_knee_flexion": _LEAD, "lead_hip_flexion": _LEAD[:6], "lead_knee_extension_velocity": _LEAD,
    "lead_foot_angle": ("L_CA", "L_MT2"),
    "shoulder_abduction": _UPPER, "shoulder_horizontal_abduction": _UPPER,
    "shoulder_horizontal_adduction_velocity": _UPPER,
    "shoulder_external_rotation": _THROWING, "shoulder_internal_rotation_velocity": _THROWING,
    "elbow_flexion": _THROWING, "elbow_extension_velocity": _THROWING,
    "arm_slot": (*_THORAX, "R_AC", "R_RS", "R_US"), "glove_shoulder_abduction": (*_THORAX, "L_AC", "L_EL", "L_EM"),
    "glove_drift": (*_THORAX, "R_AC", "L_AC", "L_RS", "L_US"),
    "elbow_varus_torque": _LOADED, "shoulder_distraction_force": _LOADED,
    "shoulder_internal_rotation_torque": _LOADED, "shoulder_anterior_force": _LOADED,
}  # fmt: skip
# A group of curves is made at once, when the first of it is asked for.
_GROUPS: Mapping[str, tuple[str, ...]] = {
    "trunk_angles": (
        "pelvis_rotation", "trunk_rotation", "separation", "pelvis_anterior_tilt", "pelvis_lateral_tilt",
        "trunk_forward_tilt", "trunk_lateral_tilt", "trunk_extension",
    ),
    "leg_angles": (
        "drive_hip_flexion", "drive_knee_flexion", "lead_hip_flexion", "lead_knee_flexion", "lead_foot_angle",
    ),
    "arm_angles": (
        "shoulder_abduction", "shoulder_horizontal_abduction", "shoulder_external_rotation", "elbow_flexion",
        "glove_shoulder_abduction", "arm_slot",
    ),
    "turning": (
        "pelvis_velocity", "trunk_velocity", "trunk_flexion_velocity", "shoulder_internal_rotation_velocity",
    ),
    "bending": (
        "elbow_extension_velocity", "lead_knee_extension_velocity", "shoulder_horizontal_adduction_velocity",
    ),
    "travel": ("pelvis_speed", "glove_drift"),
}  # fmt: skip
_GROUP_OF = {name: group for group, names in _GROUPS.items() for name in names}


@dataclass(frozen=True, eq=False)
class Movement:
    """The curves of one throw. Headings are unwrapped from frame ``lift``, the arm's rotation from ``contact``."""

    markers: Markers
    joints: Joints
    lift: int = 0
    contact: int = 0

    @classmethod
    def of(cls, markers: Markers, sizes: Sizes, half_width: HalfWidth, lift: int = 0, contact: int = 0) -> Movement:
        """Joint centres found, curves made when they are asked for."""
        return cls(markers, find_joints(markers, sizes, half_width), lift, contact)

    @property
    def rate_hz(self) -> float:
        return self.markers.rate_hz

    def curve(self, name: str) -> Array:
        """A curve of STANDS_ON by name, shape (frames,): degrees, degrees per second, metres or metres per second.

        Raises KeyError for an unknown name.
        """
        group: dict[str, Array] = getattr(self, _GROUP_OF[name])
        return group[name]

    @cached_property
    def upper(self) -> Array:
        """Unit vector from throwing shoulder to elbow."""
        return unit(self.joints["R_elbow"] - self.joints["R_shoulder"])

    @cached_property
    def fore(self) -> Array:
        """Unit vector from throwing elbow to wrist."""
        return unit(self.joints["R_wrist"] - self.joints["R_elbow"])

    @cached_property
    def humerus(self) -> Array:
        """Rotations of the throwing upper arm (frames, 3, 3)."""
        return frames.humerus(self.joints["R_shoulder"], self.joints["R_elbow"], self.joints["R_wrist"])

    @cached_property
    def trunk_angles(self) -> dict[str, Array]:
        thorax, pelvis = self.joints.thorax, self.joints.pelvis
        trunk = angles.unwrapped(angles.heading(thorax), self.lift)
        hips = angles.unwrapped(angles.heading(pelvis), self.lift)
        upright = angles.turned_back(pelvis)
        return _in_degrees(
            pelvis_rotation=hips,
            trunk_rotation=trunk,
            separation=angles.wrapped(trunk - hips),
            pelvis_anterior_tilt=angles.forward_tilt(upright),
            pelvis_lateral_tilt=angles.lateral_tilt(upright),
            trunk_forward_tilt=angles.forward_tilt(thorax[..., Y]),
            trunk_lateral_tilt=angles.lateral_tilt(thorax[..., Y]),
            trunk_extension=angles.first_angle(pelvis, thorax),
        )

    @cached_property
    def leg_angles(self) -> dict[str, Array]:
        found: dict[str, Array] = {}
        for name, side in (("drive", "R"), ("lead", "L")):
            hip, knee, ankle = (self.joints[f"{side}_{joint}"] for joint in ("hip", "knee", "ankle"))
            axis = self.joints.axes[f"{side}_knee"]
            found[f"{name}_hip_flexion"] = angles.first_angle(self.joints.pelvis, frames.thigh(hip, knee, axis))
            found[f"{name}_knee_flexion"] = angles.knee_flexion(unit(knee - hip), unit(ankle - knee), axis)
        foot = self.markers["L_MT2"] - self.markers["L_CA"]
        found["lead_foot_angle"] = np.arctan2(foot[:, Y], foot[:, X])
        return _in_degrees(**found)

    @cached_property
    def arm_angles(self) -> dict[str, Array]:
        thorax, upper, fore = self.joints.thorax, self.upper, self.fore
        glove = unit(self.joints["L_elbow"] - self.joints["L_shoulder"])
        reach = self.joints["R_wrist"] - self.joints["R_shoulder"]
        rotation = angles.shoulder_external_rotation(thorax, upper, fore)
        return _in_degrees(
            shoulder_abduction=angles.shoulder_abduction(thorax, upper),
            shoulder_horizontal_abduction=angles.shoulder_horizontal_abduction(thorax, upper),
            shoulder_external_rotation=angles.unwrapped(rotation, self.contact),
            elbow_flexion=angles.elbow_flexion(upper, fore, self.joints.axes["R_elbow"]),
            glove_shoulder_abduction=angles.shoulder_abduction(thorax, glove),
            arm_slot=np.arctan2(reach[:, Z], -reach[:, Y]),
        )

    @cached_property
    def turning(self) -> dict[str, Array]:
        joints, rate = self.joints, self.rate_hz
        trunk = velocities.angular_velocity(joints.thorax, rate)
        hips = velocities.angular_velocity(joints.pelvis, rate)
        arm = velocities.angular_velocity(self.humerus, rate)
        return _in_degrees(
            pelvis_velocity=velocities.opening_velocity(hips, joints.pelvis),
            trunk_velocity=velocities.opening_velocity(trunk, joints.thorax),
            trunk_flexion_velocity=velocities.trunk_flexion_velocity(trunk, joints.thorax),
            shoulder_internal_rotation_velocity=velocities.internal_rotation_velocity(arm, trunk, self.upper),
        )

    @cached_property
    def bending(self) -> dict[str, Array]:
        behind = np.radians(self.arm_angles["shoulder_horizontal_abduction"])
        closing = {
            "elbow_extension_velocity": self.arm_angles["elbow_flexion"],
            "lead_knee_extension_velocity": self.leg_angles["lead_knee_flexion"],
            "shoulder_horizontal_adduction_velocity": np.degrees(angles.unwrapped(behind, self.contact)),
        }
        return {name: -velocities.rate_of_change(angle, self.rate_hz) for name, angle in closing.items()}

    @cached_property
    def travel(self) -> dict[str, Array]:
        """``glove_drift``: glove wrist behind the plane through both shoulders that faces as the thorax does, m."""
        left, right = self.joints["L_shoulder"], self.joints["R_shoulder"]
        facing = unit(across(self.joints.thorax[..., X], unit(right - left)))
        return {
            "pelvis_speed": velocities.rate_of_change(self.joints["mid_hips"][:, X], self.rate_hz),
            "glove_drift": -dot(self.joints["L_wrist"] - left, facing),
        }


def _in_degrees(**radians: Array) -> dict[str, Array]:
    return {name: np.degrees(values) for name, values in radians.items()}
