"""Reading numbers off one throw: values at events, greatest values between them, and why one cannot be read."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from metrics.kinematics.events import NAMES, Events
from metrics.kinematics.landmarks import MEDIAL
from metrics.kinematics.movement import STANDS_ON, Movement
from metrics.kinematics.problems import reason
from metrics.kinematics.sampling import frames_between, greatest, rows_at, value_at
from metrics.kinematics.vectors import Array

LANDINGS = ("fp", "fc")


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
        return self.extra[name] if name in self.extra else self.movement.curve(name)

    def at(self, name: str, event: str) -> Found:
        """A curve's value at an event."""
        time = self.time(event)
        if name in self.withheld:
            return missing(self.withheld[name])
        if not math.isfinite(time):
            return self.no_event(event)
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
        start, end = self.time(first) - before_s, self.time(last)
        for event, time in ((first, start), (last, end)):
            if not math.isfinite(time):
                return self.no_event(event)
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
        return self.why_not_labels(STANDS_ON.get(name, ()), first_s, last_s)

    def why_not_labels(self, labels: Sequence[str], first_s: float, last_s: float) -> Found:
        """The same for what stands on these markers."""
        markers = self.movement.markers
        absent = [label for label in labels if label not in markers and label[2:] not in MEDIAL]
        if absent:
            return missing("no_marker", labels=", ".join(absent))
        first, last = math.floor(first_s * self.rate_hz) - 1, math.ceil(last_s * self.rate_hz) + 2
        span = slice(max(0, first), last)
        hidden = [label for label in labels if label in markers and np.isnan(markers[label][span]).any()]
        return missing("gap", labels=", ".join(hidden)) if hidden else missing("undefined")

    def no_event(self, event: str) -> Found:
        """The reason of what is read at an event that was not found."""
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
