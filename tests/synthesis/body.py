"""The body that throws: segment lengths, joint centres and where the landmarks sit on each segment.

Axes of every segment: X forward, Y up, Z to the right (Wu et al. 2002, J Biomech 35:543-548; 2005, 38:981-992),
in metres. Lengths are fractions of height after Drillis & Contini 1966 (from memory, as in Winter's textbook).

The pelvis' breadth is chosen so that both forms of Harrington et al. 2007 (J Biomech 40:595-602), with and without
leg length, give the same hip centre, and that centre is the body's own: a measurement by either form is exact.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .curves import Array

MILLIMETRE = 1e-3
SHOULDER_DROP = 0.17  # of acromion to acromion, down the trunk (Rab et al. 2002, from memory)

# Fractions of height (Drillis & Contini 1966; the last five are this body's own proportions).
FRACTIONS = {
    "upper_arm": 0.186,
    "forearm": 0.146,
    "thigh": 0.245,
    "shank": 0.246,
    "ankle_height": 0.039,
    "biacromial": 0.259,
    "leg": 0.530,
    "shoulder_height": 0.818,
    "wrist_to_knuckle": 0.050,
    "wrist_to_ball": 0.085,
    "heel_behind_ankle": 0.040,
    "toe_before_ankle": 0.075,
    "waist_above_hips": 0.080,
}
# Half the distance between a joint's two landmarks, fractions of height (this body's own).
HALF_WIDTHS = {"elbow": 0.021, "wrist": 0.016, "knee": 0.028, "ankle": 0.020}
FOOT_MARKER_HEIGHT = 0.010  # of height, above the sole


@dataclass(frozen=True)
class Body:
    """One pitcher's body. `height` in m, `mass` in kg. All lengths and positions that it gives are metres."""

    height: float = 1.83
    mass: float = 82.0

    def length(self, name: str) -> float:
        return FRACTIONS[name] * self.height

    def half_width(self, joint: str) -> float:
        return HALF_WIDTHS[joint] * self.height

    @property
    def leg_length(self) -> float:
        """The leg length to type in where the measurement asks for one, m."""
        return self.length("leg")

    @property
    def leg_reach(self) -> float:
        """Hip to ankle with a straight knee, m."""
        return self.length("thigh") + self.length("shank")

    @cached_property
    def pelvis_width(self) -> float:
        """ASIS to ASIS, m: where -0.30 PW - 10.9 = -0.16 PW - 0.04 LL - 7.1."""
        return (0.04 * self.leg_length / MILLIMETRE - 3.8) / 0.14 * MILLIMETRE

    @cached_property
    def pelvis_depth(self) -> float:
        """Mid-ASIS to mid-PSIS, m: where 0.33 PW + 7.3 = 0.28 PD + 0.16 PW + 7.9."""
        return (0.17 * self.pelvis_width / MILLIMETRE - 0.6) / 0.28 * MILLIMETRE

    @cached_property
    def half_hips(self) -> float:
        """From the middle between the hip centres to either of them, m."""
        return (0.33 * self.pelvis_width / MILLIMETRE + 7.3) * MILLIMETRE

    @cached_property
    def pelvis_markers(self) -> dict[str, Array]:
        """Landmarks of the pelvis from the middle between the hip centres, in pelvis axes."""
        forward = 0.24 * self.pelvis_depth + 9.9 * MILLIMETRE
        up = 0.30 * self.pelvis_width + 10.9 * MILLIMETRE
        front, back = self.pelvis_width / 2, 0.024 * self.height
        return {
            "R_ASIS": np.array([forward, up, front]),
            "L_ASIS": np.array([forward, up, -front]),
            "R_PSIS": np.array([forward - self.pelvis_depth, up, back]),
            "L_PSIS": np.array([forward - self.pelvis_depth, up, -back]),
        }

    @cached_property
    def waist_in_pelvis(self) -> Array:
        """The point about which the trunk moves on the pelvis, in pelvis axes."""
        return np.array([0.0, self.length("waist_above_hips"), 0.0])

    @cached_property
    def shoulder_in_thorax(self) -> Array:
        """The right shoulder centre from the waist, in thorax axes; the left one has the opposite Z."""
        up = self.length("shoulder_height") - self.length("leg") - self.length("waist_above_hips")
        return np.array([0.0, up, self.length("biacromial") / 2])

    @cached_property
    def thorax_markers(self) -> dict[str, Array]:
        """Landmarks of the thorax from the waist, in thorax axes.

        The middles of IJ and C7 and of PX and T8 lie one above the other, so that the frame built on the four
        landmarks is the segment's own.
        """
        height, shoulder = self.height, self.shoulder_in_thorax
        acromion = shoulder + np.array([0.0, SHOULDER_DROP * self.length("biacromial"), 0.0])
        top, chest = shoulder[1] + 0.035 * height, shoulder[1] - 0.085 * height
        return {
            "C7": np.array([-0.042 * height, top + 0.018 * height, 0.0]),
            "IJ": np.array([0.042 * height, top - 0.018 * height, 0.0]),
            "T8": np.array([-0.062 * height, chest + 0.010 * height, 0.0]),
            "PX": np.array([0.062 * height, chest - 0.010 * height, 0.0]),
            "R_AC": acromion,
            "L_AC": acromion * np.array([1.0, 1.0, -1.0]),
        }

    @cached_property
    def head_in_thorax(self) -> Array:
        """The head's centre from the waist, in thorax axes."""
        return np.array([0.01 * self.height, self.shoulder_in_thorax[1] + 0.13 * self.height, 0.0])

    @cached_property
    def head_markers(self) -> dict[str, Array]:
        """Optional landmarks of the head from its centre, in head axes."""
        length, breadth = 0.055 * self.height, 0.045 * self.height
        return {
            "HEAD_F": np.array([length, 0.0, 0.0]),
            "HEAD_B": np.array([-length, 0.0, 0.0]),
            "R_HEAD": np.array([0.0, 0.0, breadth]),
            "L_HEAD": np.array([0.0, 0.0, -breadth]),
        }

    @cached_property
    def heel_in_foot(self) -> Array:
        """CA from the ankle centre, in foot axes (X heel to toe, Y up from the sole)."""
        return np.array([-self.length("heel_behind_ankle"), self._foot_marker_y, 0.0])

    @cached_property
    def toe_in_foot(self) -> Array:
        """MT2 from the ankle centre, in foot axes."""
        return np.array([self.length("toe_before_ankle"), self._foot_marker_y, 0.0])

    @property
    def foot_marker_height(self) -> float:
        """Height of CA and MT2 above the ground under a flat foot, m."""
        return FOOT_MARKER_HEIGHT * self.height

    @property
    def _foot_marker_y(self) -> float:
        return self.foot_marker_height - self.length("ankle_height")

    def hip_to_ankle(self, knee_flexion: float) -> float:
        """Distance from hip to ankle centre (m) at a knee bend (deg, straight 0): the law of cosines."""
        thigh, shank = self.length("thigh"), self.length("shank")
        inner = np.pi - np.radians(knee_flexion)
        return float(np.sqrt(thigh**2 + shank**2 - 2 * thigh * shank * np.cos(inner)))
