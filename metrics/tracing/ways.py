"""How strongly each cause produces each of some effects by its best path, and that path."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

import numpy as np

from metrics.tracing.graph import CauseGraph, CauseLink, Node

DIGITS = 12  # shares that are equal on paper are equal here, in whatever order their strengths were multiplied
A_LINK = 1e-15  # decides between equal shares only: a thousand links are less than the last digit of a share


class Way(NamedTuple):
    """How strongly a cause produces an effect by its best path, and that path from cause to effect."""

    share: float
    path: tuple[Node, ...]


class Ways:
    """The best ways from every node to the ``targets``, by paths whose in-between nodes are not blocked.

    ``shares``, ``lengths``: (nodes, targets); largest product of strengths, 1 for a target itself and 0 where no path
    leads, and the links of that path, meaningless where none does. Among paths of one share the longer is kept, then
    the first by name.
    """

    def __init__(self, graph: CauseGraph, targets: Iterable[Node], is_blocked: Callable[[Node], bool]) -> None:
        self.targets = tuple(targets)
        self.nodes = tuple(sorted({*graph.order, *self.targets}))
        self.row = {node: index for index, node in enumerate(self.nodes)}
        self.column = {node: index for index, node in enumerate(self.targets)}
        self._columns = np.arange(len(self.targets))
        shape = (len(self.nodes), len(self.targets))
        self.shares = np.zeros(shape)
        self.lengths = np.zeros(shape, dtype=int)
        self._next = np.full(shape, -1)
        self.shares[[self.row[target] for target in self.targets], self._columns] = 1.0
        through = self.shares.copy()  # what leads on to the targets by way of a node
        for node in reversed(graph.order):
            if links := graph.effects.get(node):
                self._reach(node, links, through)
            if not is_blocked(node):
                through[self.row[node]] = self.shares[self.row[node]]

    def _reach(self, node: Node, links: list[CauseLink], through: np.ndarray) -> None:
        effects = np.array([self.row[link.effect] for link in links])
        strengths = np.array([link.strength for link in links])
        shares = np.round(strengths[:, None] * through[effects], DIGITS)
        chosen = (shares + A_LINK * self.lengths[effects]).argmax(axis=0)
        row, picked = self.row[node], effects[chosen]
        self.shares[row] = shares[chosen, self._columns]
        self.lengths[row] = self.lengths[picked, self._columns] + 1
        self._next[row] = picked
        if (own := self.column.get(node)) is not None:
            self.shares[row, own], self.lengths[row, own], self._next[row, own] = 1.0, 0, -1

    def path(self, cause: Node, target: Node) -> tuple[Node, ...]:
        """From the cause to the target, both included."""
        row, column = self.row[cause], self.column[target]
        found = [cause]
        while self._next[row, column] >= 0:
            row = self._next[row, column]
            found.append(self.nodes[row])
        return tuple(found)

    def to(self, target: Node) -> dict[Node, Way]:
        """Every cause that reaches the target, with its best way."""
        shares = self.shares[:, self.column[target]]
        found = (self.nodes[row] for row in np.flatnonzero(shares))
        return {node: Way(float(shares[self.row[node]]), self.path(node, target)) for node in found if node != target}
