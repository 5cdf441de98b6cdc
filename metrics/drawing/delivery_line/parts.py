"""What the delivery line is drawn from: events, points at their moments, arcs from an effect to its cause."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from metrics.drawing.marks import Verdict

ARM, TRUNK, LOWER_HALF, SEQUENCE, SCREEN = "arm", "trunk", "lower_half", "sequence", "screen"
LANE_NAMES = {ARM: "Arm", TRUNK: "Trunk", LOWER_HALF: "Lower half", SEQUENCE: "Sequence"}
BODY_LANES = (ARM, TRUNK, LOWER_HALF)
OUT, IN_RANGE, UNMEASURED = "out", "in_range", "unmeasured"

Stroke = tuple[str, tuple[tuple[float, float], ...]]
"""A line of a figure: its class, and its places in metres, x to home plate, y up from the floor."""


@dataclass(frozen=True, slots=True)
class Event:
    """A named moment; `time_ms` from foot contact, None when this session does not tell it."""

    key: str
    name: str
    time_ms: float | None = None


@dataclass(frozen=True, slots=True)
class Point:
    """One finding or screen. `lane`: arm, trunk, lower_half, sequence or screen.

    `at_ms` from foot contact, not used for a screen; `span_ms`: the interval that it speaks of (a lag spans its two
    peaks). `side_word`: the direction in which it is flagged, for the page's own scripts. `note`: more words for the
    ear and the pointer, such as the moment. `url`: where it is explained.
    `short_name`: for the picture, where the name is long.
    """

    key: str
    name: str
    value_text: str
    lane: str
    verdict: Verdict
    at_ms: float | None = None
    span_ms: tuple[float, float] | None = None
    note: str = ""
    is_flag: bool = False
    is_watch: bool = False
    is_first_look: bool = False
    url: str = ""
    short_name: str = ""

    @property
    def label(self) -> str:
        """The name as the picture has it."""
        return self.short_name or self.name

    @property
    def is_screen(self) -> bool:
        return self.lane == SCREEN


@dataclass(frozen=True, slots=True)
class Arc:
    """`cause` is a possible cause of `effect`, on a way to `flag` (without one: the effect is the flag itself).

    `state` of the cause: out (of range), in_range or unmeasured. `is_used`: the explanation goes this way.
    """

    effect: str
    cause: str
    state: str
    is_used: bool = False
    words: str = ""
    flag: str = ""


@dataclass(frozen=True, slots=True)
class DeliveryLine:
    """`selected`, `starting_point`: keys of points or "". `figures`: event → strokes of the body at that event."""

    events: tuple[Event, ...]
    points: tuple[Point, ...]
    arcs: tuple[Arc, ...] = ()
    selected: str = ""
    starting_point: str = ""
    figures: Mapping[str, tuple[Stroke, ...]] = field(default_factory=dict)

    @property
    def flags(self) -> tuple[Point, ...]:
        """In the order given: that of importance."""
        return tuple(point for point in self.points if point.is_flag)

    def arcs_of(self, flag: str) -> tuple[Arc, ...]:
        """The arcs that belong to a flag, each pair of ends once, those that have both ends on the line."""
        known = {point.key for point in self.points}
        found: dict[tuple[str, str], Arc] = {}
        for arc in self.arcs:
            pair = (arc.effect, arc.cause)
            if (arc.flag or arc.effect) == flag and known.issuperset(pair) and arc.effect != arc.cause:
                found[pair] = arc if arc.is_used else found.get(pair, arc)
        return tuple(found.values())

    def kin_of(self, flag: str) -> frozenset[str]:
        """The flag and every cause that an arc of it reaches."""
        return frozenset({flag, *(end for arc in self.arcs_of(flag) for end in (arc.effect, arc.cause))})


def number_or_none(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None
