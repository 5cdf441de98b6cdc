"""Values that travel between the parts of this package and out of it.

Angles are in degrees; everything else is in the metric's own unit. `None` on a `Rule` means "any"
(for a circumstance) or "open" (for a limit). In `Limits`, which the arithmetic uses, an open side is
an infinite number, so that no formula needs a special case.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]
Numbers = Any  # one number or an array of numbers, whichever the caller passed in

METHODS = ("motion_capture", "video", "hands_on")
LEVELS = ("youth", "high_school", "college", "professional")
SIZE_BASES = ("none", "height", "mass", "arm_span")
SIZE_UNITS = {"height": "cm", "mass": "kg", "arm_span": "cm"}
SIZE_WORDS = {"height": "height", "mass": "mass", "arm_span": "arm span"}
LANDINGS = ("fc", "fp", "unknown")
LANDING_WORDS = {"fc": "first touch", "fp": "weight on it", "unknown": "not known"}
CONDITION_FIELDS = ("pitch_type", "intent", "surface", "ball")
STATUS_RANK = {"published": 3, "from_memory": 2, "common_practice": 1, "house_opinion": 0}
"""How far a rule's source carries: of two equally specific rules the better founded one wins."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One line of a range profile: a range, whom it is for and what it was written for."""

    id: int | str
    metric: str
    method: str | None = None
    level: str | None = None
    pitch_type: str | None = None
    intent: str | None = None
    surface: str | None = None
    ball: str | None = None
    size_basis: str = "none"
    size_ref: float | None = None
    size_low: float | None = None
    size_high: float | None = None
    target_low: float | None = None
    target_high: float | None = None
    flag_low: float | None = None
    flag_high: float | None = None
    slope_target_low: float = 0.0
    slope_target_high: float = 0.0
    slope_flag_low: float = 0.0
    slope_flag_high: float = 0.0
    unit_low: float | None = None
    unit_high: float | None = None
    landing: str | None = None
    definition: str | None = None
    filter_hz: float | None = None
    source: str = ""
    status: str = "house_opinion"
    source_mean: float | None = None
    source_sd: float | None = None


class SizeOn(NamedTuple):
    """One body size and the date on which it was measured (or worked out between two measurements)."""

    value: float
    date: datetime.date | None


@dataclass(frozen=True, slots=True)
class BodySize:
    """What is known of an athlete's body on the session's date: cm and kg, with the dates."""

    height_cm: float | None = None
    mass_kg: float | None = None
    arm_span_cm: float | None = None
    height_date: datetime.date | None = None
    mass_date: datetime.date | None = None
    arm_span_date: datetime.date | None = None

    def on_basis(self, basis: str) -> SizeOn | None:
        """The size that a rule with this basis needs; None when it is not known."""
        value, date = {
            "height": (self.height_cm, self.height_date),
            "mass": (self.mass_kg, self.mass_date),
            "arm_span": (self.arm_span_cm, self.arm_span_date),
        }[basis]
        return None if value is None or not math.isfinite(value) else SizeOn(value, date)


@dataclass(frozen=True, slots=True)
class Conditions:
    """The conditions that the judged throws share; None where they differ or are not known."""

    pitch_type: str | None = "fastball"
    intent: str | None = "full_effort"
    surface: str | None = "mound"
    ball: str | None = "regulation"


@dataclass(frozen=True, slots=True)
class Limits:
    """The limits that applied, after body size: single numbers, or arrays of one shape.

    An open side is -inf (low) or +inf (high). `unit_low`, `unit_high` are the severity units that the
    rule states; NaN where it states none.
    """

    target_low: Numbers = -np.inf
    target_high: Numbers = np.inf
    flag_low: Numbers = -np.inf
    flag_high: Numbers = np.inf
    unit_low: Numbers = np.nan
    unit_high: Numbers = np.nan

    @classmethod
    def stack(cls, many: Sequence[Limits]) -> Limits:
        """Many findings' limits as one `Limits` of arrays, shape (findings,)."""
        return cls(**{f.name: np.array([getattr(one, f.name) for one in many], dtype=float) for f in fields(cls)})

    def stored(self) -> dict[str, float | None]:
        """A single range as a JSON-safe mapping, open sides as None; `from_stored` reads it back."""
        numbers = {f.name: float(getattr(self, f.name)) for f in fields(self)}
        return {name: number if math.isfinite(number) else None for name, number in numbers.items()}

    @classmethod
    def from_stored(cls, stored: dict[str, float | None]) -> Limits:
        """The single range that `stored` wrote; a name that is missing counts as open."""
        return cls(**{name: number for name, number in stored.items() if number is not None})


@dataclass(frozen=True, slots=True)
class Applied:
    """The rule that won, with everything it made of this athlete on this date.

    `landing` is the moment whose reading is judged ("fc", "fp", "unknown", or "" for a metric that
    does not hang on the landing); `u_open_event` is the standard uncertainty to add because that
    moment and the rule's are not known to be the same; `size_used` is the size that the limits were
    moved to, which is the interval's end when `outside_interval`.
    """

    rule: Rule
    limits: Limits
    landing: str
    u_open_event: float
    size_used: float | None
    size_date: datetime.date | None
    outside_interval: bool
    source_mean: float | None
    source_sd: float | None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class NotScored:
    """Why there is no verdict: a code for programs, a sentence for people."""

    code: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Thresholds:
    """Settings of a range profile version. docs/numbers.md holds the table of what they cost."""

    flag: float = 0.80
    in_range: float = 0.67
    watch: float = 0.80
    sure: float = 0.95
    perhaps_flag: float = 0.33
    too_narrow: float = 1.95  # width / u below which even a mean at the middle cannot reach in_range
    confirm_p: float = 0.95
    confirm_n: int = 5
    confirm_pair_p: float = 0.90
    comparable_days: int = 120
    recurring_k: int = 2
    recurring_n: int = 3
    severity_cap: float = 3.0
    open_side_cap: float = 0.99
    coverage_min: float = 0.40

    def __post_init__(self) -> None:
        """Raise ValueError for a chance outside 0.5..1 or counts that cannot be met."""
        for name in ("flag", "in_range", "watch", "sure", "confirm_p", "confirm_pair_p"):
            if not 0.5 <= getattr(self, name) <= 1.0:
                raise ValueError(f"{name} is a chance: expected 0.5 to 1, got {getattr(self, name)}")
        for name in ("perhaps_flag", "open_side_cap", "coverage_min"):
            if not 0.0 <= getattr(self, name) <= 1.0:
                raise ValueError(f"{name}: expected 0 to 1, got {getattr(self, name)}")
        if not 1 <= self.recurring_k <= self.recurring_n:
            raise ValueError("recurring_k must lie between 1 and recurring_n")
        for name in ("too_narrow", "severity_cap", "confirm_n", "comparable_days"):
            if getattr(self, name) < 0:
                raise ValueError(f"{name} must not be negative, got {getattr(self, name)}")


STARTING_THRESHOLDS = Thresholds()
