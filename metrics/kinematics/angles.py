"""Angles of the delivery, in radians, one a frame. Zero, sign and where each is undefined stand in its docstring.

Written for a right-hander: X from the rubber to home plate, Y to the pitcher's left, Z up; segment frames by `frames`.
All take arrays of shape (frames, 3) or (frames, 3, 3) and give (frames,). Undefined is NaN.
"""

from __future__ import annotations

import numpy as np

from metrics.kinematics import frames
from metrics.kinematics.vectors import Array, across, angle_between, dot, relative, signed_angle, turned, unit

NO_PLANE_OF_ARM = (np.radians(30.0), np.radians(150.0))  # abduction outside: no horizontal abduction
ARM_ALONG_TRUNK = np.radians(15.0)  # upper arm this near to the trunk's axis: no zero for its rotation
FOREARM_ALONG_ARM = frames.STRAIGHT_ELBOW  # forearm this near to the upper arm: it shows no rotation
NO_HEADING = np.radians(20.0)  # forward axis this near to the vertical
TILT_LIMIT = np.radians(80.0)

X, Y, Z = 0, 1, 2
HALF_TURN = np.pi


def _where(condition: Array, values: Array) -> Array:
    return np.where(condition, values, np.nan)


def shoulder_abduction(thorax: Array, upper: Array) -> Array:
    """Between the upper arm (unit vector shoulder → elbow) and the trunk's downward axis. Hanging 0, horizontal 90°."""
    return angle_between(upper, -thorax[..., Y])


def shoulder_horizontal_abduction(thorax: Array, upper: Array, side: int = 1) -> Array:
    """Upper arm in the trunk's transverse plane. In line with the shoulders 0, behind positive.

    ``side`` 1 for the right arm, -1 for the left. Undefined under 30° and over 150° of abduction.
    """
    abduction = shoulder_abduction(thorax, upper)
    low, high = NO_PLANE_OF_ARM
    behind = np.arctan2(-dot(upper, thorax[..., X]), side * dot(upper, thorax[..., Z]))
    return _where((abduction >= low) & (abduction <= high), behind)


def shoulder_external_rotation(thorax: Array, upper: Array, fore: Array) -> Array:
    """Turn of the forearm about the upper arm (right arm). Forearm forward 0, up 90°, laid back 180°.

    ``fore``: unit vector elbow → wrist. Within (-180°, 180°]; unwrap it before it is read. The zero follows the trunk's
    long axis, as in the pitching literature, not ISB's axial rotation: it is thoracohumeral.
    Undefined while the upper arm is within 15° of the trunk's axis or the forearm within 5° of the upper arm.
    """
    up = thorax[..., Y]
    laid_up = unit(across(up, upper))
    forward = np.cross(laid_up, upper)
    rotation = np.arctan2(dot(fore, laid_up), dot(fore, forward))
    from_trunk, from_arm = angle_between(upper, up), angle_between(fore, upper)
    defined = (from_trunk >= ARM_ALONG_TRUNK) & (from_trunk <= HALF_TURN - ARM_ALONG_TRUNK)
    return _where(defined & (from_arm >= FOREARM_ALONG_ARM) & (from_arm <= HALF_TURN - FOREARM_ALONG_ARM), rotation)


def elbow_flexion(upper: Array, fore: Array, to_right: Array) -> Array:
    """Turn from upper arm to forearm about the elbow's own axis. Straight 0, bent positive, beyond it negative."""
    return signed_angle(upper, fore, to_right)


def knee_flexion(thigh: Array, shank: Array, to_right: Array) -> Array:
    """Turn from thigh (hip → knee) to shank (knee → ankle) about the knee's own axis, bent positive, straight 0."""
    return signed_angle(shank, thigh, to_right)


def first_angle(proximal: Array, distal: Array) -> Array:
    """Turn about the proximal frame's Z: the first angle of the intrinsic order Z-X'-Y''.

    With pelvis and femur: hip flexion, flexed positive. With pelvis and thorax: trunk extension, arched back positive;
    the standing offset of the two frames is in it.
    """
    seen = relative(proximal, distal)
    return np.arctan2(-seen[..., 0, 1], seen[..., 1, 1])


def heading(frame: Array) -> Array:
    """Heading of a segment's forward axis in lab axes. Toward home plate 0, closed positive.

    Within (-180°, 180°]. Undefined while the forward axis is within 20° of the vertical.
    """
    forward = frame[..., X]
    level = np.hypot(forward[..., X], forward[..., Y])
    steep = np.arctan2(level, np.abs(forward[..., Z])) <= NO_HEADING
    return _where(~steep, np.arctan2(-forward[..., Y], forward[..., X]))


def forward_tilt(up: Array) -> Array:
    """Lean of a long axis (frames, 3) toward home plate, seen from the side. Upright 0; undefined beyond 80°."""
    return _tilt(up[..., X], up[..., Z])


def lateral_tilt(up: Array) -> Array:
    """Lean of a long axis toward the glove side, seen from behind. Upright 0; undefined beyond 80°."""
    return _tilt(up[..., Y], up[..., Z])


def _tilt(sideward: Array, upward: Array) -> Array:
    lean = np.arctan2(sideward, upward)
    return _where(np.abs(lean) <= TILT_LIMIT, lean)


def turned_back(frame: Array) -> Array:
    """A segment's long axis (frames, 3) after the segment is turned back about the vertical by its own heading."""
    closed = heading(frame)
    cosine, sine = np.cos(closed), np.sin(closed)
    still = np.zeros_like(closed)
    back = np.stack(
        [
            np.stack([cosine, -sine, still], axis=-1),
            np.stack([sine, cosine, still], axis=-1),
            np.stack([still, still, np.ones_like(closed)], axis=-1),
        ],
        axis=-2,
    )
    return turned(back, frame[..., Y])


def wrapped(angle: Array) -> Array:
    """The same angle within [-180°, 180°)."""
    return (angle + HALF_TURN) % (2 * HALF_TURN) - HALF_TURN


def unwrapped(angle: Array, start: int = 0) -> Array:
    """Continuous over frames, forward and backward from frame ``start``, where the value stays as it is.

    NaN stays NaN; the course goes on after it at the turn nearest to the last value seen.
    """
    seen = np.flatnonzero(np.isfinite(angle))
    course = np.full(angle.shape, np.nan)
    if len(seen) == 0:
        return course
    known = np.unwrap(angle[seen])
    anchor = min(int(np.searchsorted(seen, start)), len(seen) - 1)
    course[seen] = known - (known[anchor] - angle[seen[anchor]])
    return course
