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
from metrics.tracing.graph import CauseGraph, Node, Way

ON_ITS_OWN = -math.log(0.10)


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
    """One athlete's flags with everything that may explain them."""

    graph: CauseGraph
    evidence: Mapping[Node, Evidence]

    def __post_init__(self) -> None:
        self.flags = tuple(node for node in sorted(self.evidence) if self.evidence[node].flagged)
        self.ways: dict[Node, dict[Node, Way]] = {flag: self.graph.ways_to(flag, self._blocks) for flag in self.flags}

    own = ON_ITS_OWN
    """Points of a flag that stands on its own."""

    def of(self, node: Node) -> Evidence:
        """Its evidence; of what nobody measured, that."""
        return self.evidence.get(node) or Evidence(node, "mechanic")

    def _blocks(self, node: Node) -> bool:
        return self.of(node).kind == "mechanic" and self.of(node).state is State.CONTRADICTED

    def share(self, cause: Node, flag: Node) -> float:
        """1 for the flag itself, 0 where no path leads."""
        if cause == flag:
            return 1.0
        way = self.ways[flag].get(cause)
        return way.share if way and self.usable(cause) else 0.0

    def usable(self, node: Node) -> bool:
        evidence = self.of(node)
        return evidence.state is not State.CONTRADICTED and evidence.kind not in ("outcome", "style")

    def opening(self, cause: Node) -> float:
        """Points of having an unflagged cause in use: its own, and the direct effects that it should have had."""
        absent = (link.strength for link in self.graph.effects.get(cause, ()) if self.of(link.effect).is_in_range)
        return self.of(cause).points - sum(math.log(1 - strength) for strength in absent)

    @cached_property
    def free(self) -> tuple[np.ndarray, list[Node | None]]:
        """Each flag's least points without any unflagged cause, and the flagged cause that gives them."""
        points = np.full(len(self.flags), ON_ITS_OWN)
        by: list[Node | None] = [None for _ in self.flags]
        for index, flag in enumerate(self.flags):
            for cause, way in sorted(self.ways[flag].items()):
                if self.of(cause).flagged and self.usable(cause) and -math.log(way.share) < points[index] - 1e-12:
                    points[index], by[index] = -math.log(way.share), cause
        return points, by

    @cached_property
    def candidates(self) -> dict[Node, np.ndarray]:
        """Unflagged usable causes → points of explaining each flag by them, infinite where no path leads."""
        found: dict[Node, np.ndarray] = {}
        for index, flag in enumerate(self.flags):
            for cause, way in self.ways[flag].items():
                if self.of(cause).flagged or not self.usable(cause):
                    continue
                found.setdefault(cause, np.full(len(self.flags), np.inf))[index] = -math.log(way.share)
        return dict(sorted(found.items()))

    def best(
        self, *, own: Collection[Node] = (), use: Collection[Node] = (), cheap: Collection[Node] = ()
    ) -> Explanation:
        """The explanation with the fewest points.

        ``own``: flags that stand on their own whatever explains them. ``use``: unflagged causes that are in use
        whatever they cost. ``cheap``: unflagged causes that would cost nothing, as if they had been found flagged.
        """
        return min(self.within(0.0, own, use, cheap), key=lambda one: one.points)

    def within(
        self, slack: float, own: Collection[Node] = (), use: Collection[Node] = (), cheap: Collection[Node] = ()
    ) -> Iterator[Explanation]:
        """Every set of unflagged causes whose best explanation is at most so many points behind the best."""
        base, _ = self.free
        base = np.where([flag in own for flag in self.flags], ON_ITS_OWN, base)
        fixed = np.array([flag in own for flag in self.flags], dtype=bool)
        rows = {node: np.where(fixed, np.inf, row) for node, row in self.candidates.items()}
        opening = {node: 0.0 if node in cheap else self.opening(node) for node in rows}
        start = base.copy()
        for node in use:
            start = np.minimum(start, rows[node]) if node in rows else start
        forced = sum(opening.get(node, self.opening(node)) for node in use)
        worth = [
            node
            for node, row in rows.items()
            if node not in use and np.maximum(start - row, 0.0).sum() > opening[node] - slack - 1e-12
        ]
        worth.sort(key=lambda node: -float(np.maximum(start - rows[node], 0.0).sum() - opening[node]))
        found: list[tuple[float, frozenset[Node]]] = []
        self._search(start, forced, worth, 0, frozenset(use), rows, opening, slack, found)
        least = min(points for points, _ in found)
        for points, used in found:
            if points <= least + slack + 1e-9:
                yield self._explanation(used, frozenset(own), points)

    def _search(
        self, now: np.ndarray, paid: float, worth: list[Node], place: int, used: frozenset[Node],
        rows: Mapping[Node, np.ndarray], opening: Mapping[Node, float], slack: float,
        found: list[tuple[float, frozenset[Node]]],
    ) -> None:  # fmt: skip
        """Depth first over the causes in order, leaving out what cannot come within the slack."""
        found.append((paid + float(now.sum()), used))
        least = min(points for points, _ in found)
        for index in range(place, len(worth)):
            node = worth[index]
            saved = float(np.maximum(now - rows[node], 0.0).sum())
            if saved <= opening[node] - slack - 1e-12:
                continue  # and with more causes in use it would save less still
            lower = np.minimum.reduce([now, *(rows[other] for other in worth[index:])])
            if paid + opening[node] + float(lower.sum()) > least + slack + 1e-9:
                continue
            wider, cost = used | {node}, paid + opening[node]
            self._search(np.minimum(now, rows[node]), cost, worth, index + 1, wider, rows, opening, slack, found)
            least = min(points for points, _ in found)

    def _explanation(self, used: frozenset[Node], own: frozenset[Node], points: float) -> Explanation:
        """Which cause explains which flag when these are in use; a longer path wins among equals."""
        _, free_by = self.free
        by: dict[Node, Node | None] = {}
        for flag, cause in zip(self.flags, free_by, strict=True):
            choices: list[Node | None] = [None] if flag in own else [None, cause, *sorted(used)]
            by[flag] = min(choices, key=lambda one: self._cost_and_length(one, flag))
        return Explanation(points, by, used)

    def _cost_and_length(self, cause: Node | None, flag: Node) -> tuple[float, int]:
        if cause is None:
            return round(ON_ITS_OWN, 9), 0
        way = self.ways[flag].get(cause)
        return (round(-math.log(way.share), 9), -len(way.path)) if way else (math.inf, 0)
