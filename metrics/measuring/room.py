"""What a capture setup and a body size say to the computation, as plain values that travel between processes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any, Final

import numpy as np

from metrics.kinematics import DEFAULT_FILTER_HZ, Setup
from sessions.formats.c3d import METRES
from sessions.formats.recording import Recording

AXES: Final = ("+X", "-X", "+Y", "-Y", "+Z", "-Z")
UNITS: Final = ("mm", "cm", "m", "in", "ft")


@dataclass(frozen=True, slots=True)
class Room:
    """A capture setup.

    ``names``: the room's own marker name → ours. ``home``, ``up``: axes of the file, such as "+X", both or neither.
    ``unit``: of the file's numbers, "" as the file says. ``filter_hz``: design cut-off, None for no filter.
    ``person``: prefix of the labels to use. Raises ValueError for axes that are none or lie along one line.
    """

    names: Mapping[str, str] = field(default_factory=dict)
    home: str = ""
    up: str = ""
    unit: str = ""
    filter_hz: float | None = DEFAULT_FILTER_HZ
    uses_plates: bool = True
    foot_marker_height_m: float | None = None
    person: str = ""

    def __post_init__(self) -> None:
        if bool(self.home) != bool(self.up):
            raise ValueError("Give both the axis toward home plate and the axis upward, or neither.")
        if self.home and (not {self.home, self.up} <= set(AXES) or self.home[1] == self.up[1]):
            raise ValueError("The axes toward home plate and upward are two different ones of +X, -X, +Y, -Y, +Z, -Z.")
        if self.unit and self.unit not in UNITS:
            raise ValueError(f"The unit of length is one of {', '.join(UNITS)}.")

    def setup_for(self, recording: Recording) -> Setup:
        """The computation's setup for one file, whose own word on the unit may be another."""
        scale = METRES[self.unit] / METRES.get(recording.units.strip().lower(), 1.0) if self.unit else None
        return Setup(
            axes=self._axes(),
            names=self.names,
            person=self.person,
            scale=scale,
            foot_marker_height_m=self.foot_marker_height_m,
        )

    def _axes(self) -> np.ndarray | None:
        if not self.home:
            return None
        home, up = _direction(self.home), _direction(self.up)
        return np.stack([home, np.cross(up, home), up])

    def to_json(self) -> dict[str, Any]:
        return {**asdict(self), "names": dict(self.names)}

    @classmethod
    def from_json(cls, stored: Mapping[str, Any]) -> Room:
        return cls(**stored)


def _direction(axis: str) -> np.ndarray:
    found = np.zeros(3)
    found["XYZ".index(axis[1])] = 1.0 if axis[0] == "+" else -1.0
    return found


@dataclass(frozen=True, slots=True)
class Thrower:
    """Who throws, as far as it is known: a height that is None is taken from the markers."""

    height_m: float | None = None
    mass_kg: float | None = None
    side: str | None = None
    sex: str | None = None
    age_years: float | None = None
    ball_kg: float | None = None

    def to_json(self) -> dict[str, Any]:
        return asdict(self)

    @classmethod
    def from_json(cls, stored: Mapping[str, Any]) -> Thrower:
        return cls(**stored)
