"""What is known of one metric in one direction, and what using it as a cause costs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from metrics.tracing.graph import Node

LEAST_P, MOST_P = 0.02, 0.80
IN_RANGE_P = 0.67
OUT_P = 0.20
UNMEASURED_P = 0.05
ROOT_KINDS = ("mechanic", "screen")


class State(StrEnum):
    FLAGGED = "flagged"
    OPEN = "open"
    CONTRADICTED = "contradicted"
    UNMEASURED = "unmeasured"


@dataclass(frozen=True, slots=True)
class Evidence:
    """``kind``: mechanic, screen, outcome, style or context. ``p_in``, ``p_out``, ``p_flag``: of the finding in this
    direction, None when it was not measured; ``is_other_side``: it is out in the other direction.

    ``severity`` and ``weight`` order, and never explain. ``date`` and ``method`` are carried along for the page.
    """

    node: Node
    kind: str
    flagged: bool = False
    p_flag: float | None = None
    p_in: float | None = None
    p_out: float | None = None
    is_other_side: bool = False
    severity: float = 0.0
    weight: float = 0.0
    date: str = ""
    method: str = ""

    @property
    def state(self) -> State:
        if self.flagged:
            return State.FLAGGED
        if self.p_flag is None:
            return State.UNMEASURED
        if self.is_in_range or (self.p_out is not None and self.p_out < OUT_P) or self.is_other_side:
            return State.CONTRADICTED
        return State.OPEN

    @property
    def is_in_range(self) -> bool:
        return self.p_in is not None and self.p_in >= IN_RANGE_P

    @property
    def chance(self) -> float:
        """That it would be found flagged: 1 when it is, 0.05 when it was not measured."""
        if self.flagged:
            return 1.0
        return UNMEASURED_P if self.p_flag is None else min(max(self.p_flag, LEAST_P), MOST_P)

    @property
    def points(self) -> float:
        """What it costs to use it as a cause: nothing when flagged, infinite when contradicted."""
        if self.state is State.CONTRADICTED:
            return math.inf
        return -math.log(self.chance)

    @property
    def may_be_root(self) -> bool:
        return self.kind in ROOT_KINDS
