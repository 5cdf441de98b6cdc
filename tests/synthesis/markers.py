"""From the skeleton to the landmarks that a capture sees."""

from __future__ import annotations

import numpy as np

from .body import MILLIMETRE, Body
from .curves import Array
from .skeleton import ARMS, LEGS, Skeleton

# Side + ISB abbreviations or plain anatomical ones (Wu et al. 2002, 2005).
TRUNK_LABELS = ("C7", "T8", "IJ", "PX")
SIDE_LABELS = ("AC", "EL", "EM", "RS", "US", "MC3", "ASIS", "PSIS", "FLE", "FME", "LM", "MM", "CA", "MT2")
REQUIRED = (*TRUNK_LABELS, *(f"{side}_{name}" for side in "RL" for name in SIDE_LABELS))
HEAD = ("HEAD_F", "HEAD_B", "R_HEAD", "L_HEAD")
BALL = "BALL"
MEDIAL = tuple(f"{side}_{name}" for side in "RL" for name in ("EM", "US", "FME", "MM"))

# Pairs about a joint centre: joint, lateral label, medial label, the segment that carries them. The radius is lateral
# in the supinated hand.
PAIRS = (
    ("elbow", "EL", "EM", "humerus"),
    ("wrist", "RS", "US", "forearm"),
    ("knee", "FLE", "FME", "femur"),
    ("ankle", "LM", "MM", "shank"),
)


def place_markers(body: Body, skeleton: Skeleton) -> dict[str, Array]:
    """Every landmark but the ball, by label, each (n, 3) in m in lab axes."""
    placed: dict[str, Array] = {}
    for segment, origin, local in (
        ("pelvis", "mid_hips", body.pelvis_markers),
        ("thorax", "waist", body.thorax_markers),
        ("head", "head", body.head_markers),
    ):
        placed |= {label: skeleton.at(segment, origin, position) for label, position in local.items()}
    for side, (_, sign) in ARMS.items():
        for joint, lateral, medial, segment in PAIRS:
            half = np.array([0.0, 0.0, sign * body.half_width(joint)])
            placed[f"{side}_{lateral}"] = skeleton.at(f"{side}_{segment}", f"{side}_{joint}", half)
            placed[f"{side}_{medial}"] = skeleton.at(f"{side}_{segment}", f"{side}_{joint}", -half)
        knuckle = np.array([0.0, -body.length("wrist_to_knuckle"), 0.0])
        placed[f"{side}_MC3"] = skeleton.at(f"{side}_hand", f"{side}_wrist", knuckle)
    for side in LEGS:
        placed[f"{side}_CA"] = skeleton.at(f"{side}_foot", f"{side}_ankle", body.heel_in_foot)
        placed[f"{side}_MT2"] = skeleton.at(f"{side}_foot", f"{side}_ankle", body.toe_in_foot)
    return placed


def held_ball(body: Body, skeleton: Skeleton) -> Array:
    """The ball's centre (n, 3) while the throwing hand holds it, m."""
    return skeleton.at("R_hand", "R_wrist", np.array([20 * MILLIMETRE, -body.length("wrist_to_ball"), 0.0]))
