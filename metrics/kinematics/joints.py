"""Joint centres from landmarks. Metres, shape (frames, 3); axes of the markers (throwing side right).

Hip: Harrington et al. 2007, J Biomech 40:595-602. Shoulder: Rab et al. 2002 (from memory). Others: midpoints (ISB).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from metrics.kinematics import frames
from metrics.kinematics.landmarks import Markers
from metrics.kinematics.vectors import Array, across, angle_between, median_length, norm, turned, unit

MILLIMETRE = 1e-3
SHOULDER_DROP = 0.17  # of acromion to acromion, straight down the trunk
STRAIGHT_LIMB = np.radians(20.0)  # nearer to straight a limb's plane says nothing of where the inner side is
CLEAR_OF_LINE = 0.3  # of half a wrist: nearer to the line from elbow to knuckle RS shows no side
ROUNDS = 6  # of centre and plane in turn: each round cuts what is left to a fifth or less
SIDE_SIGN = {"R": 1, "L": -1}

HalfWidth = Callable[[str], float]


@dataclass(frozen=True, slots=True)
class Sizes:
    """Constant lengths of one body, m: medians over the frames before the leg lift, and a leg length that was typed."""

    pelvis_width: float
    pelvis_depth: float
    acromion_width: float
    leg_length: float | None = None

    @classmethod
    def of(cls, markers: Markers, leg_length_m: float | None = None) -> Sizes:
        """Of standing markers: ASIS to ASIS, middle of ASIS to middle of PSIS, AC to AC."""
        depth = markers.middle("R_ASIS", "L_ASIS") - markers.middle("R_PSIS", "L_PSIS")
        return cls(
            median_length(markers["R_ASIS"] - markers["L_ASIS"]),
            median_length(depth),
            median_length(markers["R_AC"] - markers["L_AC"]),
            leg_length_m,
        )


def hip_offset(sizes: Sizes) -> tuple[float, float, float]:
    """From the middle of both ASIS to the right hip centre along pelvis X, Y, Z (forward, up, right), m.

    Harrington et al. 2007: with a leg length the multiple regression, without the form of one predictor each. The
    constants are millimetres along the pelvis' axes.
    """
    width, depth = sizes.pelvis_width / MILLIMETRE, sizes.pelvis_depth / MILLIMETRE
    forward = -0.24 * depth - 9.9
    if sizes.leg_length is None:
        up, right = -0.30 * width - 10.9, 0.33 * width + 7.3
    else:
        leg = sizes.leg_length / MILLIMETRE
        up, right = -0.16 * width - 0.04 * leg - 7.1, 0.28 * depth + 0.16 * width + 7.9
    return forward * MILLIMETRE, up * MILLIMETRE, right * MILLIMETRE


def hip_centre(pelvis: Array, middle_asis: Array, sizes: Sizes, side: str) -> Array:
    """Hip centre of side R or L from the pelvis frame (frames, 3, 3) and the middle of both ASIS."""
    forward, up, right = hip_offset(sizes)
    return middle_asis + turned(pelvis, np.array([forward, up, SIDE_SIGN[side] * right]))


def shoulder_centre(thorax: Array, acromion: Array, sizes: Sizes) -> Array:
    """17% of the distance between the acromia straight down the trunk from AC (Rab et al. 2002, from memory)."""
    return acromion - SHOULDER_DROP * sizes.acromion_width * thorax[..., 1]


@dataclass(frozen=True, slots=True, eq=False)
class Joints:
    """Centres by name ("R_elbow", …, "mid_hips"), (frames, 3), m, and axes by name ("R_elbow", "R_knee", "R_wrist").

    Axes are unit vectors: of the joint's own flexion, to the right; of a wrist from ulnar to radial styloid.
    """

    centres: Mapping[str, Array]
    axes: Mapping[str, Array]
    thorax: Array
    pelvis: Array

    def __getitem__(self, name: str) -> Array:
        return self.centres[name]


def find_joints(markers: Markers, sizes: Sizes, half_width: HalfWidth) -> Joints:
    """All joint centres. ``half_width`` gives half a joint's width (m) where its inner marker is not in the file."""
    thorax = frames.thorax(markers["C7"], markers["T8"], markers["IJ"], markers["PX"])
    pelvis = frames.pelvis(markers["R_ASIS"], markers["L_ASIS"], markers["R_PSIS"], markers["L_PSIS"])
    middle = markers.middle("R_ASIS", "L_ASIS")
    centres: dict[str, Array] = {}
    axes: dict[str, Array] = {}
    for side in ("R", "L"):
        centres[f"{side}_shoulder"] = shoulder_centre(thorax, markers[f"{side}_AC"], sizes)
        centres[f"{side}_hip"] = hip_centre(pelvis, middle, sizes, side)
        _arm(markers, side, half_width, centres, axes)
        _leg(markers, side, half_width, centres, axes)
    centres["mid_hips"] = (centres["R_hip"] + centres["L_hip"]) / 2
    return Joints(centres, axes, thorax, pelvis)


def _arm(markers: Markers, side: str, half_width: HalfWidth, centres: dict[str, Array], axes: dict[str, Array]) -> None:
    """Elbow and wrist. Without their inner markers each needs the other, so they are found in turn."""
    shoulder, outer, radial = centres[f"{side}_shoulder"], markers[f"{side}_EL"], markers[f"{side}_RS"]
    elbow_known, wrist_known = f"{side}_EM" in markers, f"{side}_US" in markers
    elbow = markers.middle(f"{side}_EL", f"{side}_EM") if elbow_known else outer
    wrist = markers.middle(f"{side}_RS", f"{side}_US") if wrist_known else radial
    hinge = SIDE_SIGN[side] * (outer - markers[f"{side}_EM"])
    for _ in range(1 if elbow_known else ROUNDS):
        if not wrist_known:
            start = np.where(np.isfinite(elbow), elbow, outer)
            wrist = wrist_by_knuckle(start, radial, markers[f"{side}_MC3"], half_width("wrist"), side)
        if not elbow_known:
            hinge = plane_normal(elbow - shoulder, wrist - elbow)
            elbow = outer - SIDE_SIGN[side] * half_width("elbow") * hinge
    centres[f"{side}_elbow"], axes[f"{side}_elbow"] = elbow, unit(hinge)
    centres[f"{side}_wrist"], axes[f"{side}_wrist"] = wrist, unit(radial - wrist)


def _leg(markers: Markers, side: str, half_width: HalfWidth, centres: dict[str, Array], axes: dict[str, Array]) -> None:
    """Knee and ankle. An inner marker that is missing is sought along the normal of the leg's plane."""
    hip, outer_knee, outer_ankle = centres[f"{side}_hip"], markers[f"{side}_FLE"], markers[f"{side}_LM"]
    knee_known, ankle_known = f"{side}_FME" in markers, f"{side}_MM" in markers
    knee = markers.middle(f"{side}_FLE", f"{side}_FME") if knee_known else outer_knee
    ankle = markers.middle(f"{side}_LM", f"{side}_MM") if ankle_known else outer_ankle
    hinge = SIDE_SIGN[side] * (outer_knee - markers[f"{side}_FME"])
    for _ in range(0 if knee_known and ankle_known else ROUNDS):
        bend = plane_normal(ankle - knee, knee - hip)
        if not knee_known:
            hinge, knee = bend, outer_knee - SIDE_SIGN[side] * half_width("knee") * bend
        if not ankle_known:
            ankle = outer_ankle - SIDE_SIGN[side] * half_width("ankle") * bend
    centres[f"{side}_knee"], axes[f"{side}_knee"], centres[f"{side}_ankle"] = knee, unit(hinge), ankle


def plane_normal(first: Array, second: Array) -> Array:
    """Unit normal first × second of a limb's plane; NaN within 20° of a straight limb."""
    bent = angle_between(first, second) >= STRAIGHT_LIMB
    return unit(np.where(bent[..., None], np.cross(first, second), np.nan))


def wrist_by_knuckle(elbow: Array, radial: Array, knuckle: Array, half_width_m: float, side: str) -> Array:
    """Wrist centre without the ulnar marker, from elbow centre, RS and MC3; NaN where RS lies on their line.

    Forearm and hand bend in one plane, from which RS stands off by half a wrist. Two such planes hold the line from
    elbow to knuckle: the one of a wrist that is bent back is taken, as a thrower's is until about release (common
    practice, no published source). A deviated wrist is not seen.
    """
    along = unit(knuckle - elbow)
    off = across(radial - elbow, along)
    reach, outward = norm(off)[..., None], unit(off)
    tangent = np.sqrt(np.maximum(reach**2 - half_width_m**2, 0.0))
    aside = -SIDE_SIGN[side] * np.cross(along, outward)
    wrist = radial - off + tangent / reach * (tangent * outward + half_width_m * aside)
    return np.where(reach > CLEAR_OF_LINE * half_width_m, wrist, np.nan)
