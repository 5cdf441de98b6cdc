"""Angles by `biorbd`, a general-purpose library of biomechanics: its frames from points and its Cardan angles.

It shares no code with the measurement, joint centres included. Every line of ANGLES says which rotation of which two
segments the angle is, so that the library's number means what ours does.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import biorbd
import numpy as np

Points = Mapping[str, np.ndarray]
Frames = Mapping[str, "biorbd.Rotation"]
MM = 1e-3

# Segment: first axis with the two points that it runs between, second axis with its own, and which of the two gives way
# so that they are at right angles (Wu et al. 2002, 2005). Labels and centres of one moment.
SEGMENTS = {
    "thorax": (("y", "low_chest", "high_chest"), ("x", "C7", "IJ"), "x"),
    "pelvis": (("z", "L_ASIS", "R_ASIS"), ("x", "mid_PSIS", "mid_ASIS"), "x"),
    "arm_plane": (("y", "R_elbow", "R_shoulder"), ("x", "R_elbow", "R_wrist"), "x"),  # humerus, second option
    "glove_plane": (("y", "L_elbow", "L_shoulder"), ("x", "L_elbow", "L_wrist"), "x"),
    "upper_arm": (("y", "R_elbow", "R_shoulder"), ("z", "R_EM", "R_EL"), "z"),  # humerus, first option
    "forearm": (("y", "R_wrist", "R_elbow"), ("z", "R_US", "R_RS"), "z"),
    "R_thigh": (("y", "R_knee", "R_hip"), ("z", "R_FME", "R_FLE"), "z"),
    "L_thigh": (("y", "L_knee", "L_hip"), ("z", "L_FLE", "L_FME"), "z"),
    "R_shank": (("y", "R_ankle", "R_knee"), ("z", "R_MM", "R_LM"), "z"),
    "L_shank": (("y", "L_ankle", "L_knee"), ("z", "L_LM", "L_MM"), "z"),
    "foot": (("x", "L_CA", "L_MT2"), ("y", "L_CA", "L_ankle"), "y"),
}
MIDDLES = {
    "low_chest": ("PX", "T8"), "high_chest": ("IJ", "C7"), "mid_ASIS": ("R_ASIS", "L_ASIS"),
    "mid_PSIS": ("R_PSIS", "L_PSIS"),
    **{f"{side}_{joint}": (f"{side}_{outer}", f"{side}_{inner}")
       for joint, outer, inner in (("elbow", "EL", "EM"), ("wrist", "RS", "US"), ("knee", "FLE", "FME"),
                                   ("ankle", "LM", "MM")) for side in "RL"},
}  # fmt: skip

# Angle: the segment that it is seen from, the segment, the order of axes, which of the three angles, its sign, and what
# is added (degrees). The shoulder's axial angle of Wu et al. 2005 is internal positive from the forearm behind.
ANGLES = {
    "trunk_rotation": ("lab", "thorax", "yzx", 0, -1, 0),
    "pelvis_rotation": ("lab", "pelvis", "yzx", 0, -1, 0),
    "lead_foot_angle": ("lab", "foot", "yzx", 0, 1, 0),
    "trunk_forward_tilt": ("lab", "thorax", "zxy", 0, -1, 0),
    "trunk_lateral_tilt": ("lab", "thorax", "xzy", 0, -1, 0),
    "pelvis_anterior_tilt": ("pelvis_heading", "pelvis", "zxy", 0, -1, 0),
    "pelvis_lateral_tilt": ("pelvis_heading", "pelvis", "xzy", 0, -1, 0),
    "trunk_extension": ("pelvis", "thorax", "zxy", 0, 1, 0),
    "drive_hip_flexion": ("pelvis", "R_thigh", "zxy", 0, 1, 0),
    "lead_hip_flexion": ("pelvis", "L_thigh", "zxy", 0, 1, 0),
    "drive_knee_flexion": ("R_thigh", "R_shank", "zxy", 0, -1, 0),
    "lead_knee_flexion": ("L_thigh", "L_shank", "zxy", 0, -1, 0),
    "elbow_flexion": ("upper_arm", "forearm", "zxy", 0, 1, 0),
    "shoulder_abduction": ("thorax", "arm_plane", "yxy", 1, 1, 0),
    "shoulder_horizontal_abduction": ("thorax", "arm_plane", "yxy", 0, -1, 180),
    "shoulder_external_rotation": ("thorax", "arm_plane", "yxy", 2, -1, 180),
    "glove_shoulder_abduction": ("thorax", "glove_plane", "yxy", 1, 1, 0),
}
ONLY_OURS = {
    "separation": "the difference of two headings, which is no rotation between two segments",
    "arm_slot": "the slope of a line in the view from behind; a line is no segment",
}
LAB = biorbd.Rotation(1, 0, 0, 0, 0, -1, 0, 1, 0)  # X home, Y up, Z to the pitcher's right


def library_angles(markers: Callable[[str], np.ndarray], labels, frames, sizes) -> dict[str, np.ndarray]:
    """Angles (deg, within ±180) by name at the given frames. ``markers``: label → (n, 3), m; X home, Y left, Z up.

    ``sizes``: pelvis width and depth, and acromion to acromion, m.
    """
    courses = {label: markers(label) for label in labels}
    rows = [_angles_at({label: course[frame] for label, course in courses.items()}, *sizes) for frame in frames]
    return {name: np.array([row[name] for row in rows]) for name in ANGLES}


def _angles_at(points: dict[str, np.ndarray], width: float, depth: float, acromia: float) -> dict[str, float]:
    points |= {name: (points[first] + points[second]) / 2 for name, (first, second) in MIDDLES.items()}
    turns = {"lab": LAB, "thorax": _frame(points, "thorax"), "pelvis": _frame(points, "pelvis")}
    points |= _hips_and_shoulders(points, turns, width, depth, acromia)
    turns |= {name: _frame(points, name) for name in SEGMENTS if name not in turns}
    heading = np.array([_angle(turns, "lab", "pelvis", "yzx", 0)])
    turns["pelvis_heading"] = LAB.multiply(biorbd.Rotation.fromEulerAngles(heading, "y"))
    return {
        name: (sign * np.degrees(_angle(turns, seen_from, segment, order, index)) + extra + 180) % 360 - 180
        for name, (seen_from, segment, order, index, sign, extra) in ANGLES.items()
    }


def _frame(points: Points, segment: str) -> biorbd.Rotation:
    (first, *ends), (second, *others), gives_way = SEGMENTS[segment]
    lines = [
        biorbd.PairBiorbdNodeSegment(*(biorbd.NodeSegment(*points[name]) for name in pair)) for pair in (ends, others)
    ]
    names = biorbd.PairBiorbdString(biorbd.String(first), biorbd.String(second))
    return biorbd.Rotation.fromMarkers(*lines, names, gives_way)


def _angle(turns: Frames, seen_from: str, segment: str, order: str, index: int) -> float:
    seen = turns[seen_from].transpose().multiply(turns[segment])
    return float(biorbd.Rotation.toEulerAngles(seen, order).to_array()[index])


def _hips_and_shoulders(points: Points, turns: Frames, width, depth, acromia) -> dict[str, np.ndarray]:
    """Harrington et al. 2007, one predictor each, and Rab et al. 2002: metres."""
    pelvis, thorax = turns["pelvis"].to_array(), turns["thorax"].to_array()
    forward, up = -0.24 * depth - 9.9 * MM, -0.30 * width - 10.9 * MM
    out = 0.33 * width + 7.3 * MM
    found = {}
    for side, sign in (("R", 1), ("L", -1)):
        found[f"{side}_hip"] = points["mid_ASIS"] + pelvis @ [forward, up, sign * out]
        found[f"{side}_shoulder"] = points[f"{side}_AC"] - 0.17 * acromia * thorax[:, 1]
    return found
