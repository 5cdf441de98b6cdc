"""A pose: the angles and positions that fix the whole body, as one row of numbers for each moment.

Lab axes: X from the rubber to home plate, Z up, Y to the left of a pitcher who faces home. Everybody is
right-handed here; left-handers are mirrored when the markers are written. Angles are degrees with the signs and
zeros of the measurement: headings closed positive, trunk tilts in lab axes, pelvis tilts about its own heading.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from .curves import Array

ARM = ("abduction", "horizontal_abduction", "external_rotation", "elbow_flexion", "pronation", "wrist_extension")
# Ankle centre (m), the foot's heading (open positive), toe-up pitch, the slope that it stands on, and
# where the knee points (closed positive).
LEG = ("ankle_x", "ankle_y", "ankle_z", "foot_angle", "foot_pitch", "foot_slope", "knee_heading")
CHANNELS = (
    *("pelvis_x", "pelvis_y", "pelvis_z"),
    *("pelvis_rotation", "pelvis_anterior_tilt", "pelvis_lateral_tilt"),
    *("trunk_rotation", "trunk_forward_tilt", "trunk_lateral_tilt", "head_rotation"),
    *(f"{arm}_{name}" for arm in ("throwing", "glove") for name in ARM),
    *(f"{leg}_{name}" for leg in ("rear", "lead") for name in LEG),
)
COLUMN = {name: index for index, name in enumerate(CHANNELS)}


@dataclass(frozen=True, slots=True)
class Pose:
    """Poses of n moments; `rows` has shape (n, channels), metres and degrees."""

    rows: Array

    @classmethod
    def of(cls, channels: Mapping[str, Array]) -> Pose:
        """Raises KeyError when a channel is missing."""
        return cls(np.stack(np.broadcast_arrays(*(channels[name] for name in CHANNELS)), axis=-1))

    def __len__(self) -> int:
        return len(self.rows)

    def __getitem__(self, name: str) -> Array:
        return self.rows[:, COLUMN[name]]

    def point(self, name: str) -> Array:
        """A position, shape (n, 3), m: `pelvis`, `rear_ankle` or `lead_ankle`."""
        return np.stack([self[f"{name}_{axis}"] for axis in "xyz"], axis=-1)

    def with_channels(self, changes: Mapping[str, Array]) -> Pose:
        rows = self.rows.copy()
        for name, values in changes.items():
            rows[:, COLUMN[name]] = values
        return Pose(rows)


def joined(poses: Iterable[Pose]) -> Pose:
    return Pose(np.concatenate([pose.rows for pose in poses]))


def between(first: Pose, last: Pose, share: Array) -> Pose:
    """From the last row of `first` to the first row of `last`; share (n) runs from 0 to 1 and is smoothed.

    Segments keep their lengths, since angles are what is blended; feet glide, as nobody measures them here.
    """
    eased = share**3 * (10 - 15 * share + 6 * share**2)
    a, b = first.rows[-1], last.rows[0]
    return Pose(a + eased[:, None] * (b - a))
