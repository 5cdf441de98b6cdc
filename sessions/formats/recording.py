"""A motion capture file once it is read: marker positions and force plates, as plain arrays."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from sessions.formats.problems import Problem

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Plate:
    """One force plate, in metres, newtons and the file's own axes.

    ``forces`` (samples, 3), N: of the ground on the person. ``moments`` (samples, 3), N·m, about the middle of the
    plate's surface. ``corners`` (4, 3), m. ``rate_hz``: samples a second; the first sample belongs to the first frame.
    """

    forces: Array
    moments: Array
    corners: Array
    rate_hz: float


@dataclass(frozen=True, slots=True, eq=False)
class Recording:
    """What one file holds.

    ``positions`` (frames, markers, 3): float64, metres, in the file's own axes; NaN where a marker was not seen.
    ``labels``: one a marker, as the file spells them. ``rate_hz``: frames a second. ``units``: the unit that the file
    named for its positions ("mm", …), "" when it named none; the positions are already metres by it.
    ``source``: the file's name. ``events``: what the file itself marks, (name, s from the first frame) by time;
    they are shown beside ours, never taken for them.
    """

    labels: tuple[str, ...]
    positions: Array
    rate_hz: float
    units: str = ""
    plates: tuple[Plate, ...] = ()
    source: str = ""
    problems: tuple[Problem, ...] = field(default_factory=tuple)
    events: tuple[tuple[str, float], ...] = ()

    def __post_init__(self) -> None:
        expected = (len(self.labels), 3)
        if self.positions.ndim != 3 or self.positions.shape[1:] != expected:
            raise ValueError(f"positions have shape (frames, {expected[0]}, 3), got {self.positions.shape}")
        if not self.rate_hz > 0:
            raise ValueError(f"rate_hz is above 0, got {self.rate_hz}")

    @property
    def duration_s(self) -> float:
        """From the first frame to the end of the last, s."""
        return len(self.positions) / self.rate_hz
