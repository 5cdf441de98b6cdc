"""What a room or a person says once and the computation cannot find out: names, axes, lengths, and how to filter."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from metrics.kinematics.landmarks import KNOWN
from metrics.kinematics.vectors import Array

# Half the distance between the two markers of a joint, fractions of height. Common practice, no published source.
HALF_WIDTHS: Mapping[str, float] = MappingProxyType({"elbow": 0.0205, "wrist": 0.0165, "knee": 0.0280, "ankle": 0.0205})
FOOT_MARKER_HEIGHT_M = 0.020
"""Of heel and toe markers above the sole's ground. Common practice, no published source."""


@dataclass(frozen=True, slots=True, eq=False)
class Setup:
    """A capture setup. Everything has a default that is found from the data or assumed and reported.

    ``axes`` (3, 3): its rows are the directions to home plate, to the pitcher's left and up, in the file's axes; a
    mirrored room has a left-handed one. ``names``: the room's own marker name → ours. ``person``: prefix of the labels
    to use when a file holds several. ``scale``: metres in one unit of the positions as they were read, None when the
    file names its unit rightly or the body may say which it is. ``leg_length_m``: typed or from a static trial, never
    from a delivery. ``half_widths_m``: by joint. ``foot_marker_height_m``: of heel and toe markers above the ground.
    """

    axes: Array | None = None
    names: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    person: str = ""
    scale: float | None = None
    leg_length_m: float | None = None
    half_widths_m: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    foot_marker_height_m: float | None = None

    def __post_init__(self) -> None:
        if self.scale is not None and not self.scale > 0:
            raise ValueError(f"scale is above 0, got {self.scale}")
        if self.axes is not None and not np.allclose(self.axes @ self.axes.T, np.eye(3), atol=1e-6):
            raise ValueError("axes are three directions at right angles, each of length 1")
        if strange := set(self.names.values()) - set(KNOWN):
            raise ValueError(f"these are no landmarks: {', '.join(sorted(strange))}")

    def half_width(self, joint: str, height_m: float) -> float:
        """Half the distance between a joint's two markers, m."""
        return self.half_widths_m.get(joint, HALF_WIDTHS[joint] * height_m)
