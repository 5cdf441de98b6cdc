"""Force plates under the feet, in working axes: which plate is whose, and what it reads.

Forces are of the ground on the person, N, at the plate's own rate; the first sample belongs to the recording's first
frame.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from metrics.kinematics.axes import Lab
from metrics.kinematics.sampling import frames_between
from metrics.kinematics.vectors import Array
from sessions.formats.recording import Plate

BEYOND_EDGE_M = 0.10  # a foot's ankle may stand this far outside the corners
UPSIDE_DOWN_N = 50.0  # of a downward force that is no noise (house value)
Z = 2


@dataclass(frozen=True, slots=True, eq=False)
class PlacedPlate:
    """``forces`` (samples, 3), N and ``corners`` (4, 3), m in working axes; times from the throw's first frame."""

    forces: Array
    corners: Array
    rate_hz: float

    def holds(self, place: Array) -> bool:
        """Whether a point (3,) stands over the plate."""
        low, high = self.corners.min(axis=0) - BEYOND_EDGE_M, self.corners.max(axis=0) + BEYOND_EDGE_M
        return bool(np.isfinite(place).all() and (low[:2] <= place[:2]).all() and (place[:2] <= high[:2]).all())

    def distance(self, place: Array) -> float:
        """From the plate's middle to a point (3,), seen from above, m."""
        return float(np.hypot(*(self.corners.mean(axis=0) - place)[:2]))


def place_plates(
    plates: tuple[Plate, ...], lab: Lab, scale: float, start_s: float, end_s: float
) -> tuple[list[PlacedPlate], bool]:
    """The plates in working axes, cut to the throw, and whether some were upside down and turned round.

    ``scale``: metres in one unit of their corners. Nobody pulls the ground up: a plate whose greatest vertical force
    points down has its person's force on the ground.
    """
    placed, turned = [], False
    for plate in plates:
        first, last = (round(time * plate.rate_hz) for time in (start_s, end_s))
        forces = lab.place(plate.forces[first:last])
        vertical = forces[np.isfinite(forces[:, Z]), Z]
        if len(vertical) and -vertical.min() > max(vertical.max(), UPSIDE_DOWN_N):
            forces, turned = -forces, True
        placed.append(PlacedPlate(forces, lab.place(scale * plate.corners), plate.rate_hz))
    return placed, turned


def standing_place(ankle: Array, first_s: float, last_s: float, rate_hz: float) -> Array:
    """Where an ankle centre (frames, 3) stands between two times: its median place, (3,), NaN when it is not seen."""
    course = ankle[frames_between(first_s, last_s, rate_hz, len(ankle))]
    course = course[np.isfinite(course).all(axis=-1)]
    return np.median(course, axis=0) if len(course) else np.full(3, np.nan)


def plate_under(plates: list[PlacedPlate], place: Array) -> PlacedPlate | None:
    """The nearest plate under a point (3,), None when there is none."""
    under = [plate for plate in plates if plate.holds(place)]
    return min(under, key=lambda plate: plate.distance(place), default=None)
