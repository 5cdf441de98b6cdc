"""One foot over time: it stands, swings and turns about a point that rests on the ground.

The point is the heel's or the toe's landmark. While it rests the foot may pitch about it, so that nothing
slips; the ankle follows from it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .curves import Array
from .skeleton import foot_rotation

Path = Callable[[Array], Array]


@dataclass(frozen=True, slots=True)
class Foot:
    """A foot that hangs on the path of its pivot: three paths in m, angles in degrees, `pivot` in foot axes (m)."""

    pivot: Array
    x: Path
    y: Path
    z: Path
    angle: Path
    pitch: Path
    slope: Path

    def ankle(self, times: Array) -> Array:
        """Ankle centre (n, 3), m."""
        turned = foot_rotation(self.angle(times), self.pitch(times), self.slope(times)).apply(self.pivot)
        return np.stack([self.x(times), self.y(times), self.z(times)], axis=-1) - turned

    def channels(self, leg: str, times: Array) -> dict[str, Array]:
        ankle = self.ankle(times)
        return {
            f"{leg}_ankle_x": ankle[:, 0], f"{leg}_ankle_y": ankle[:, 1], f"{leg}_ankle_z": ankle[:, 2],
            f"{leg}_foot_angle": self.angle(times), f"{leg}_foot_pitch": self.pitch(times),
            f"{leg}_foot_slope": self.slope(times),
        }  # fmt: skip


def pivot_of(ankle: Array, pivot: Array, angle: float, pitch: float, slope: float) -> Array:
    """Where the pivot (3,) is when the ankle is there and the foot is turned so."""
    turned = foot_rotation(np.array([angle]), np.array([pitch]), np.array([slope])).apply(pivot)[0]
    return np.asarray(ankle, dtype=float) + turned
