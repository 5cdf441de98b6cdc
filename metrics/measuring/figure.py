"""A measured throw as the moving figure draws it: points at 60 frames a second, lines between them, judged angles.

Pure. Axes of the picture: X to home plate, Y to the pitcher's left, Z up; the origin is the floor under the rear foot.
"""

from __future__ import annotations

import base64
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from metrics.kinematics import ThrowMeasurement
from metrics.kinematics.landmarks import BALL
from metrics.kinematics.vectors import Array

RATE_HZ: Final = 60.0
BEFORE_S, AFTER_S = 0.5, 0.5  # around peak knee lift and maximum internal rotation
NOT_SEEN: Final = -32768
MILLIMETRES: Final = 1000.0
FOOT_MARKER_M: Final = 0.02
HEAD_PAIRS: Final = (("HEAD_F", "HEAD_B"), ("R_HEAD", "L_HEAD"))
HEAD_HALF_M: Final = 0.09
HEAD_M: Final = 0.22
"""From the middle of IJ and C7 up the trunk to that of a head without markers; for the picture only."""

ARM: Final = {"throwing": "R", "glove": "L"}
LEG: Final = {"lead": "L", "rear": "R"}
LINKS: Final = (
    ("head_front", "head_back", "head"),
    ("neck", "mid_hips", "trunk"),
    ("throwing_shoulder", "glove_shoulder", "trunk"),
    ("rear_hip", "lead_hip", "pelvis"),
    *(
        (f"{side}_{first}", f"{side}_{second}", f"{side}_arm")
        for side in ARM
        for first, second in (("shoulder", "elbow"), ("elbow", "wrist"), ("wrist", "hand"))
    ),
    *(
        (f"{side}_{first}", f"{side}_{second}", f"{side}_leg")
        for side in LEG
        for first, second in (
            ("hip", "knee"), ("knee", "ankle"), ("ankle", "heel"), ("ankle", "toe"), ("heel", "toe"),
        )
    ),
)  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Placing:
    """From the computation's axes, in which the throwing side is the right one, to the picture's.

    ``left``: the throw is a left-hander's, mirrored by the computation. ``origin`` (3,), m, in its axes.
    """

    origin: Array
    left: bool

    def place(self, positions: Array) -> Array:
        """Positions (…, 3), m."""
        return (positions - self.origin) * self._mirror

    def direction(self, vector: Array) -> Array:
        return vector * self._mirror

    def turn(self, normal: Array) -> Array:
        """An axis of turning: mirrored, it turns the other way round."""
        return -normal * self._mirror if self.left else normal

    @property
    def _mirror(self) -> Array:
        return np.array([1.0, -1.0 if self.left else 1.0, 1.0])


def placing_of(measured: ThrowMeasurement) -> Placing:
    """The floor under the rear foot at peak knee lift, and which side throws."""
    movement, rate = measured.movement, measured.movement.rate_hz
    frame = round((measured.events["pkh"] - measured.start_s) * rate)
    near = slice(max(0, frame - round(0.05 * rate)), frame + round(0.05 * rate) + 1)
    foot = np.concatenate([movement.markers[label][near] for label in ("R_CA", "R_MT2")])
    ankle = _median(movement.joints["R_ankle"][near])
    lowest = np.nanmin(foot[:, 2]) if np.isfinite(foot[:, 2]).any() else ankle[2] - 0.08
    origin = np.nan_to_num(np.array([ankle[0], ankle[1], lowest - FOOT_MARKER_M]))
    return Placing(origin, measured.report.side == "left")


def _median(course: Array) -> Array:
    seen = course[np.isfinite(course).all(axis=-1)]
    return np.median(seen, axis=0) if len(seen) else np.zeros(3)


def points_of(measured: ThrowMeasurement) -> dict[str, Array]:
    """Every point of the picture by name, (frames, 3), m, in the computation's axes; NaN where it is not seen."""
    movement = measured.movement
    markers, joints = movement.markers, movement.joints
    neck = markers.middle("IJ", "C7")
    points = dict(zip(("head_front", "head_back"), _head(measured, neck), strict=True)) | {"neck": neck}
    points["mid_hips"] = joints["mid_hips"]
    for name, side in ARM.items():
        points |= {f"{name}_{joint}": joints[f"{side}_{joint}"] for joint in ("shoulder", "elbow", "wrist")}
        points[f"{name}_hand"] = markers[f"{side}_MC3"]
    for name, side in LEG.items():
        points |= {f"{name}_{joint}": joints[f"{side}_{joint}"] for joint in ("hip", "knee", "ankle")}
        points |= {f"{name}_heel": markers[f"{side}_CA"], f"{name}_toe": markers[f"{side}_MT2"]}
    if BALL in markers:
        points["ball"] = markers[BALL]
    return points


def _head(measured: ThrowMeasurement, neck: Array) -> tuple[Array, Array]:
    """Two points either side of the head's middle, (frames, 3) each: its markers, else where a head would be."""
    markers, thorax = measured.movement.markers, measured.movement.joints.thorax
    for pair in HEAD_PAIRS:
        if set(pair) <= set(markers.labels):
            return markers[pair[0]], markers[pair[1]]
    middle = neck + HEAD_M * thorax[..., 1]
    return middle + HEAD_HALF_M * thorax[..., 0], middle - HEAD_HALF_M * thorax[..., 0]


def figure_of(measured: ThrowMeasurement) -> dict[str, Any]:
    """Frames, points and lines of the picture, as JSON. Times in s from foot contact."""
    movement, contact = measured.movement, measured.events["fc"]
    last_event = max(measured.events[key] for key in ("br", "mir") if key in measured.events)
    first = max(measured.start_s, measured.events["pkh"] - BEFORE_S)
    last = min(measured.start_s + (len(movement.markers) - 1) / movement.rate_hz, last_event + AFTER_S)
    times = first + np.arange(int((last - first) * RATE_HZ) + 1) / RATE_HZ
    points, placing = points_of(measured), placing_of(measured)
    courses = np.stack([at_times(course, times - measured.start_s, movement.rate_hz) for course in points.values()], 1)
    millimetres = np.clip(np.rint(placing.place(courses) * MILLIMETRES), -32767, 32767)
    packed = np.where(np.isfinite(millimetres), millimetres, NOT_SEEN).astype("<i2")
    names = list(points)
    return {
        "rate_hz": RATE_HZ,
        "start_s": round(first - contact, 6),
        "frames": len(times),
        "points": names,
        "positions": base64.b64encode(packed.tobytes()).decode(),
        "links": [[names.index(one), names.index(other), part] for one, other, part in LINKS],
        "hand": names.index("throwing_hand"),
        "ball": names.index("ball") if "ball" in names else None,
    }


def at_times(course: Array, times_s: Array, rate_hz: float) -> Array:
    """A course (frames, …) between its frames, linearly; NaN beside a frame that is not seen."""
    place = np.clip(times_s * rate_hz, 0, len(course) - 1)
    before = np.floor(place).astype(int)
    share = (place - before).reshape(-1, *[1] * (course.ndim - 1))
    after = np.minimum(before + 1, len(course) - 1)
    return np.where(share > 0, (1 - share) * course[before] + share * course[after], course[before])
