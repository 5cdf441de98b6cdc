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
    outer, radial = markers[f"{side}_EL"], markers[f"{side}_RS"]
    if f"{side}_US" in markers:
        wrist = markers.middle(f"{side}_RS", f"{side}_US")
        axes[f"{side}_wrist"] = unit(radial - markers[f"{side}_US"])
    else:
        wrist = wrist_by_knuckle(outer, radial, markers[f"{side}_MC3"], half_width("wrist"))
        axes[f"{side}_wrist"] = unit(radial - wrist)
    if f"{side}_EM" in markers:
        centres[f"{side}_elbow"] = markers.middle(f"{side}_EL", f"{side}_EM")
        axes[f"{side}_elbow"] = unit(SIDE_SIGN[side] * (outer - markers[f"{side}_EM"]))
    else:
        shoulder = centres[f"{side}_shoulder"]
        inward = -SIDE_SIGN[side] * half_width("elbow")
        elbow, normal = outer, outer
        for _ in range(ROUNDS):
            normal = plane_normal(elbow - shoulder, wrist - elbow)
            elbow = outer + inward * normal
        centres[f"{side}_elbow"], axes[f"{side}_elbow"] = elbow, normal
    centres[f"{side}_wrist"] = wrist


def _leg(markers: Markers, side: str, half_width: HalfWidth, centres: dict[str, Array], axes: dict[str, Array]) -> None:
    hip, outer_knee, outer_ankle = centres[f"{side}_hip"], markers[f"{side}_FLE"], markers[f"{side}_LM"]
    knee_known, ankle_known = f"{side}_FME" in markers, f"{side}_MM" in markers
    knee = markers.middle(f"{side}_FLE", f"{side}_FME") if knee_known else outer_knee
    ankle = markers.middle(f"{side}_LM", f"{side}_MM") if ankle_known else outer_ankle
    normal = unit(SIDE_SIGN[side] * (outer_knee - markers[f"{side}_FME"]))
    if not (knee_known and ankle_known):
        for _ in range(ROUNDS):
            bend = plane_normal(ankle - knee, knee - hip)
            if not knee_known:
                knee = outer_knee - SIDE_SIGN[side] * half_width("knee") * bend
                normal = bend
            if not ankle_known:
                ankle = outer_ankle - SIDE_SIGN[side] * half_width("ankle") * bend
    centres[f"{side}_knee"], axes[f"{side}_knee"], centres[f"{side}_ankle"] = knee, normal, ankle


def plane_normal(first: Array, second: Array) -> Array:
    """Unit normal first × second of a limb's plane; NaN within 20° of a straight limb."""
    bent = angle_between(first, second) >= STRAIGHT_LIMB
    return unit(np.where(bent[..., None], np.cross(first, second), np.nan))


def wrist_by_knuckle(elbow: Array, radial: Array, knuckle: Array, half_width_m: float) -> Array:
    """Wrist centre without the ulnar marker: from RS by half a wrist toward the line from elbow to MC3.

    Pronation turns the wrist out of the arm's plane, so the plane's normal would not lead inward here. A bent wrist
    still bends the line: common practice, no published source. NaN where RS lies on the line.
    """
    off = across(radial - elbow, unit(knuckle - elbow))
    clear = norm(off) > 0.3 * half_width_m
    return radial - half_width_m * unit(np.where(clear[..., None], off, np.nan))
