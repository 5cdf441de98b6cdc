"""The explanation with the fewest points: each flag by one cause in use, or on its own. Exact.

It is a facility-location problem (parsimonious covering, Peng & Reggia 1990). Flagged causes are free, so what has to
be searched are sets of unflagged ones; what one more saves shrinks as others are in use, so that a cause which alone
saves nothing never does, and few are left.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from metrics.tracing.evidence import Evidence, State
from metrics.tracing.graph import CauseGraph, Node
from metrics.tracing.searching import sets_within
from metrics.tracing.ways import Way, Ways

ON_ITS_OWN = -math.log(0.10)
IMPOSSIBLE = 1e3  # points: more than all flags on their own
NEVER_CAUSES = ("outcome", "style")
OPPOSITE = {"low": "high", "high": "low"}


@dataclass(frozen=True, slots=True)
class Explanation:
    """``points`` in all; ``by``: flag → the cause that explains it, None on its own; ``used``: unflagged causes."""

    points: float
    by: Mapping[Node, Node | None]
    used: frozenset[Node]

    @property
    def roots(self) -> frozenset[Node]:
        return frozenset(flag for flag, cause in self.by.items() if cause is None) | self.used


@dataclass(eq=False)
class Problem:
    """One athlete's flags with everything that may explain them.

    Matrices have a row a node of ``nodes.nodes`` and a column a flag.
    """

    graph: CauseGraph
    evidence: Mapping[Node, Evidence]

    own = ON_ITS_OWN
    """Points of a flag that stands on its own."""

    def __post_init__(self) -> None:
        self.flags = tuple(node for node in sorted(self.evidence) if self.evidence[node].flagged)
        self._known = dict(self.evidence)
        self.best_ways = Ways(self.graph, self.flags, self.blocks)
        self.nodes = self.best_ways.nodes
        usable = np.array([self.usable(node) for node in self.nodes], dtype=bool)
        itself = np.zeros(self.best_ways.shares.shape, dtype=bool)
        itself[[self.best_ways.row[flag] for flag in self.flags], np.arange(len(self.flags))] = True
        self.shares = np.where(usable[:, None] | itself, self.best_ways.shares, 0.0)
        with np.errstate(divide="ignore"):
            self.costs = np.where(itself, np.inf, -np.log(self.shares))
        self._flagged = np.array([self.of(node).flagged for node in self.nodes], dtype=bool)

    def of(self, node: Node) -> Evidence:
        """Its evidence; of what nobody measured, that; of what is flagged the other way, not off."""
        if node not in self._known:
            other = self.evidence.get(Node(node.metric, OPPOSITE.get(node.direction, "")))
            turned = other is not None and other.flagged
            self._known[node] = (
                Evidence(node, other.kind, False, 0.0, 0.0, 0.0, is_other_side=True)
                if other is not None and turned
                else Evidence(node, "mechanic")
            )
        return self._known[node]

    def blocks(self, node: Node) -> bool:
        return self.of(node).kind == "mechanic" and self.of(node).state is State.CONTRADICTED

    @cached_property
    def ways(self) -> dict[Node, dict[Node, Way]]:
        """Flag → every cause that reaches it → its best way."""
        return {flag: self.best_ways.to(flag) for flag in self.flags}

    def share(self, cause: Node, flag: Node) -> float:
        """1 for the flag itself, 0 where no path leads."""
        row = self.best_ways.row.get(cause)
        return 0.0 if row is None else float(self.shares[row, self.best_ways.column[flag]])

    def usable(self, node: Node) -> bool:
        evidence = self.of(node)
        return evidence.state is not State.CONTRADICTED and evidence.kind not in NEVER_CAUSES

    def opening(self, cause: Node) -> float:
        """Points of having an unflagged cause in use: its own, and the direct effects that it should have had."""
        absent = (link.strength for link in self.graph.effects.get(cause, ()) if self.of(link.effect).is_in_range)
        return self.of(cause).points - sum(math.log(1 - strength) for strength in absent)

    @cached_property
    def free(self) -> tuple[np.ndarray, list[Node | None]]:
        """Each flag's least points without any unflagged cause, and the flagged cause that gives them, if any.

        Where a cause costs as much as standing on its own, the cause explains it: that is one root fewer.
        """
        base = np.full(len(self.flags), ON_ITS_OWN)
        rows = np.flatnonzero(self._flagged)
        by: list[Node | None] = [None for _ in self.flags]
        for column, row in enumerate(self._cheapest(rows)):
            if row is not None and self.costs[row, column] <= ON_ITS_OWN + 1e-9:
                base[column], by[column] = min(self.costs[row, column], ON_ITS_OWN), self.nodes[row]
        return base, by

    def _cheapest(self, rows: np.ndarray) -> list[int | None]:
        """Of these rows the one that explains each flag with the fewest points; then the longest path, then by name."""
        if not len(rows):
            return [None for _ in self.flags]
        costs = np.round(self.costs[rows], 9)
        least = costs.min(axis=0)
        lengths = np.where(costs == least, self.best_ways.lengths[rows], -1)
        chosen = rows[lengths.argmax(axis=0)]
        found = zip(chosen.tolist(), np.isfinite(least).tolist(), strict=True)
        return [row if is_reached else None for row, is_reached in found]

    @cached_property
    def candidates(self) -> dict[Node, np.ndarray]:
        """Unflagged usable causes → points of explaining each flag by them, infinite where no path leads."""
        rows = np.flatnonzero(~self._flagged & np.isfinite(self.costs).any(axis=1))
        return {self.nodes[row]: self.costs[row] for row in rows}

    @cached_property
    def worths(self) -> np.ndarray:
        """(flags,) weight times severity."""
        return np.array([self.of(flag).weight * self.of(flag).severity for flag in self.flags])

    @cached_property
    def chances(self) -> np.ndarray:
        """(nodes,) that each would be found flagged."""
        return np.array([self.of(node).chance for node in self.nodes])

    @cached_property
    def _rows(self) -> np.ndarray:
        return np.array(list(self.candidates.values())).reshape(len(self.candidates), len(self.flags))

    @cached_property
    def _opening(self) -> np.ndarray:
        return np.array([self.opening(node) for node in self.candidates])

    def best(self, *, own: Collection[Node] = (), use: Collection[Node] = ()) -> Explanation:
        """The explanation with the fewest points; arguments as those of ``sets``."""
        points, used = self.fewest(own=own, use=use)
        return self.explanation(used, points, own=own)

    def fewest(
        self, *, own: Collection[Node] = (), use: Collection[Node] = (), cheap: Collection[Node] = (),
        without: Node | None = None,
    ) -> tuple[float, frozenset[Node]]:  # fmt: skip
        """Points of the best explanation and its unflagged causes; arguments as those of ``sets``."""
        return min(self.sets(0.0, own, use, cheap, without), key=lambda one: one[0])

    def within(self, slack: float) -> Iterator[Explanation]:
        """Every set of unflagged causes whose best explanation is at most so many points behind the best."""
        for points, used in self.sets(slack):
            yield self.explanation(used, points)

    def sets(
        self, slack: float, own: Collection[Node] = (), use: Collection[Node] = (), cheap: Collection[Node] = (),
        without: Node | None = None,
    ) -> list[tuple[float, frozenset[Node]]]:  # fmt: skip
        """Points and sets of unflagged causes within the slack.

        ``own``: flags that stand on their own whatever explains them. ``use``: unflagged causes that are in use
        whatever they cost. ``cheap``: unflagged causes that would cost nothing, as if they had been found flagged.
        ``without``: what is no root: an unflagged cause that is not in use, or a flag that something explains; more
        points than IMPOSSIBLE when nothing can.
        """
        names = list(self.candidates)
        start, rows, opening = self.free[0], self._rows, self._opening
        if own:
            fixed = np.array([flag in own for flag in self.flags], dtype=bool)
            start, rows = np.where(fixed, ON_ITS_OWN, start), np.where(fixed, np.inf, rows)
        if without in self.best_ways.column:
            column = self.best_ways.column[without]
            start = start.copy()
            start[column] = min(self._least(np.flatnonzero(self._flagged))[column], IMPOSSIBLE)
        if cheap:
            opening = np.where([node in cheap for node in names], 0.0, opening)
        used = np.array([node in use for node in names], dtype=bool)
        paid = 0.0
        if use:
            start, paid = np.minimum(start, rows[used].min(axis=0)), float(opening[used].sum())
        may = np.array([node not in use and node != without for node in names], dtype=bool)
        found = sets_within(slack, start, paid, rows[may], opening[may])
        left = [node for node, is_left in zip(names, may, strict=True) if is_left]
        return [(points, frozenset(use) | {left[place] for place in places}) for points, places in found]

    def explanation(
        self, used: frozenset[Node], points: float, *, own: Collection[Node] = (), without: Node | None = None
    ) -> Explanation:
        """Which cause explains which flag when these are in use; a longer path wins among equals."""
        known = self._flagged.copy()
        known[[self.best_ways.row[node] for node in used if node in self.best_ways.row]] = True
        rows = np.flatnonzero(known)
        by: dict[Node, Node | None] = dict.fromkeys(self.flags)
        for flag, row, cost in zip(self.flags, self._cheapest(rows), self._least(rows), strict=True):
            if row is not None and flag not in own and (cost <= ON_ITS_OWN + 1e-9 or flag == without):
                by[flag] = self.nodes[row]
        return Explanation(points, by, used)

    def _least(self, rows: np.ndarray) -> list[float]:
        found: list[float] = self.costs[rows].min(axis=0, initial=math.inf).tolist()
        return found
