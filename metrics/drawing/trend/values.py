"""What a trend is drawn from. All values in the unit that the reader is shown."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from metrics.drawing.marks import Verdict


@dataclass(frozen=True, slots=True)
class Point:
    """One session's mean with the half width of its 95% interval.

    `mean` None: nothing to place, a short dash stands at the foot. `nudge`: how many sessions of the same day stand
    before it. What is not `comparable` is drawn paler.
    """

    day: dt.date
    mean: float | None
    half_width: float | None
    verdict: Verdict
    comparable: bool = True
    nudge: int = 0


@dataclass(frozen=True, slots=True)
class Stretch:
    """Days over which one range applied; None is an open side."""

    first: dt.date
    last: dt.date
    target_low: float | None = None
    target_high: float | None = None
    flag_low: float | None = None
    flag_high: float | None = None

    @property
    def limits(self) -> tuple[float, ...]:
        """The closed ones."""
        every = (self.target_low, self.target_high, self.flag_low, self.flag_high)
        return tuple(limit for limit in every if limit is not None)


@dataclass(frozen=True, slots=True)
class Moved:
    """The range moved on this day, and why: "high school from 1 September"."""

    day: dt.date
    words: str


@dataclass(frozen=True, slots=True)
class Cue:
    """A cue was first used on this day; the list beside the chart has its words under this number."""

    day: dt.date
    number: int


@dataclass(frozen=True, slots=True)
class Fitted:
    """The line through what is really changing, by its two ends."""

    first: dt.date
    first_value: float
    last: dt.date
    last_value: float


@dataclass(frozen=True, slots=True)
class Picture:
    """`points` and `stretches` in the order of time; `unit` as `athletes.quantities` names it; `name` for the ear;
    `now`: the latest comparable value as it is written, with no more digits than it bears."""

    name: str
    unit: str
    decimals: int
    points: tuple[Point, ...]
    stretches: tuple[Stretch, ...] = ()
    moved: tuple[Moved, ...] = ()
    cues: tuple[Cue, ...] = ()
    fitted: Fitted | None = None
    now: str = ""
