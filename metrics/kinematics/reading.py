"""Reading numbers off one throw: values at events, greatest values between them, and why one cannot be read."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import maximum_filter1d

from metrics.kinematics.events import NAMES, Events
from metrics.kinematics.landmarks import MEDIAL
from metrics.kinematics.movement import STANDS_ON, Movement
from metrics.kinematics.problems import reason
from metrics.kinematics.sampling import frames_between, greatest, rows_at, value_at
from metrics.kinematics.vectors import Array

LANDINGS = ("fp", "fc")
SPEEDS = (
    "pelvis_velocity", "trunk_velocity", "trunk_flexion_velocity", "shoulder_internal_rotation_velocity",
    "elbow_extension_velocity", "lead_knee_extension_velocity", "shoulder_horizontal_adduction_velocity",
    "pelvis_speed",
)  # fmt: skip
LOADS = (
    "elbow_varus_torque", "shoulder_distraction_force", "shoulder_internal_rotation_torque", "shoulder_anterior_force",
)  # fmt: skip
EDGE_S = 0.030
"""Nearer to a gap speeds and loads are not read: there the filter's end costs them up to 11%, beyond it up to 8%, of
arm loads (on synthesised pitches at 240 frames a second). Angles differ by up to 3° and are read."""


@dataclass(frozen=True, slots=True)
class Found:
    """One number, or the reason why there is none. ``time_s``: when it was read; ``spread``: a standard uncertainty of
    its own definition, NaN when it has none."""

    value: float
    time_s: float = math.nan
    code: str = ""
    sentence: str = ""
    spread: float = math.nan

    @property
    def measured(self) -> bool:
        return math.isfinite(self.value)


def missing(code: str, **facts: object) -> Found:
    """No number, for a reason of the table."""
    return Found(math.nan, code=code, sentence=reason(code, **facts))


@dataclass(frozen=True, eq=False)
class Throw:
    """One throw ready to be read at one landing moment. Times count from the throw's first frame.

    ``landing``: "fp" or "fc", at which everything that names foot plant is read. ``extra``: curves beside those of the
    movement (loads); ``withheld``: curves that may not be read, with their reason's code.
    """

    movement: Movement
    events: Events
    landing: str = "fp"
    extra: Mapping[str, Array] = field(default_factory=dict)
    withheld: Mapping[str, str] = field(default_factory=dict)

    @property
    def rate_hz(self) -> float:
        return self.movement.rate_hz

    def time(self, event: str) -> float:
        """An event's time, s; "fp" is the landing moment in use."""
        return float(getattr(self.events, self.landing if event == "fp" else event))

    def curve(self, name: str) -> Array:
        """A curve of the movement or a load, shape (frames,); speeds and loads are NaN beside a gap."""
        values = self.extra[name] if name in self.extra else self.movement.curve(name)
        if name not in (*SPEEDS, *LOADS) or not (unseen := self._unseen(name)).any():
            return values
        beside = maximum_filter1d(unseen, 2 * round(EDGE_S * self.rate_hz) + 1, mode="constant")
        return np.where(beside, np.nan, values)

    def _unseen(self, name: str) -> NDArray[np.bool_]:
        """Frames (frames,) in which a marker that the curve stands on is not seen."""
        markers = self.movement.markers
        columns = [markers.labels.index(label) for label in STANDS_ON[name] if label in markers]
        return np.asarray(np.isnan(markers.positions[:, columns, 0]).any(axis=1))

    def at(self, name: str, event: str) -> Found:
        """A curve's value at an event."""
        if name in self.withheld:
            return missing(self.withheld[name])
        if unknown := self.without(event):
            return unknown
        time = self.time(event)
        value = value_at(self.curve(name), time, self.rate_hz)
        return Found(value, time) if math.isfinite(value) else self.why_not(name, time, time)

    def greatest(
        self,
        name: str,
        first: str,
        last: str,
        *,
        sign: int = 1,
        before_s: float = 0.0,
        within: NDArray[np.bool_] | None = None,
    ) -> Found:
        """A curve's greatest value (of its negative with ``sign`` -1) from ``before_s`` before one event to another.

        ``within``: frames that count, (frames,) bool.
        """
        if name in self.withheld:
            return missing(self.withheld[name])
        if unknown := self.without(first, last):
            return unknown
        start, end = self.time(first) - before_s, self.time(last)
        if len(frames_between(start, end, self.rate_hz, len(self.movement.markers))) == 0:
            return missing("no_window")
        values = sign * self.curve(name)
        time, value = _greatest_within(values, start, end, self.rate_hz, within)
        return Found(value, time) if math.isfinite(value) else self.why_not(name, start, end)

    def place(self, name: str, event: str) -> Array:
        """A joint centre, "L_CA" or another landmark at an event, shape (3,), m; NaN when it is not seen."""
        centres = self.movement.joints.centres
        course = centres[name] if name in centres else self.movement.markers[name]
        return rows_at(course, self.time(event), self.rate_hz)

    def why_not(self, name: str, first_s: float, last_s: float) -> Found:
        """The reason why a curve has no value there: a marker that is not in the file, a gap, or no meaning."""
        beside = EDGE_S if name in (*SPEEDS, *LOADS) else 0.0
        return self.why_not_labels(STANDS_ON.get(name, ()), first_s - beside, last_s + beside)

    def why_not_labels(self, labels: Sequence[str], first_s: float, last_s: float) -> Found:
        """The same for what stands on these markers."""
        markers, frame_s = self.movement.markers, 1 / self.rate_hz
        absent = [label for label in labels if label not in markers and label[2:] not in MEDIAL]
        if absent:
            return missing("no_marker", labels=", ".join(markers.in_file(label) for label in absent))
        hidden = markers.unseen(labels, first_s - frame_s, last_s + frame_s)
        return missing("gap", labels=", ".join(hidden)) if hidden else missing("undefined")

    def without(self, *events: str) -> Found | None:
        """The reason that one of these events was not found; None when all were."""
        return next((self._no_event(event) for event in events if not math.isfinite(self.time(event))), None)

    def _no_event(self, event: str) -> Found:
        return missing("no_event", event=NAMES[self.landing if event == "fp" else event].lower())


def _greatest_within(
    values: Array, start_s: float, end_s: float, rate_hz: float, within: NDArray[np.bool_] | None
) -> tuple[float, float]:
    """As `greatest`; frames that do not count are left out without being held against it."""
    if within is None:
        return greatest(values, start_s, end_s, rate_hz)
    frames = frames_between(start_s, end_s, rate_hz, len(values))
    frames = frames[within[frames]]
    if len(frames) == 0 or np.isnan(values[frames]).all():
        return math.nan, math.nan
    first, last = float(frames[0] / rate_hz), float(frames[-1] / rate_hz)
    end = end_s if frames[-1] / rate_hz > end_s - 1 / rate_hz else last
    return greatest(np.where(within, values, -np.inf), first, end, rate_hz)
