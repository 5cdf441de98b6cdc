"""Cause links as a directed graph without cycles over (metric, direction)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from typing import NamedTuple


class Node(NamedTuple):
    """A metric (or screen, or context fact) that is off in one direction: "low" or "high"."""

    metric: str
    direction: str


@dataclass(frozen=True, slots=True)
class CauseLink:
    """``strength``: chance (0 to 1, both excluded) that the cause alone, when present, produces the effect."""

    effect: Node
    cause: Node
    strength: float
    reason: str = ""
    source: str = ""

    def __post_init__(self) -> None:
        if not 0 < self.strength < 1:
            raise ValueError(
                f"a link's strength lies between 0 and 1, got {self.strength} for {self.cause} → {self.effect}"
            )


class CyclicGraph(ValueError):
    """Links that lead back to where they began. ``path``: the nodes, the first again at the end."""

    def __init__(self, path: Sequence[Node]) -> None:
        self.path = tuple(path)
        named = " → ".join(f"{node.metric} {node.direction}" for node in self.path)
        super().__init__(f"These causes lead back to themselves: {named}. Take one of the links away.")


class CauseGraph:
    """All links; their order means nothing. Raises CyclicGraph; ValueError for two links of one pair."""

    def __init__(self, links: Iterable[CauseLink]) -> None:
        self.links = tuple(links)
        causes: defaultdict[Node, list[CauseLink]] = defaultdict(list)
        effects: defaultdict[Node, list[CauseLink]] = defaultdict(list)
        for link in sorted(self.links, key=lambda one: (one.effect, one.cause)):
            if any(other.cause == link.cause for other in causes[link.effect]):
                raise ValueError(f"there are two links from {link.cause} to {link.effect}")
            causes[link.effect].append(link)
            effects[link.cause].append(link)
        self.causes: Mapping[Node, list[CauseLink]] = dict(causes)
        self.effects: Mapping[Node, list[CauseLink]] = dict(effects)
        self._scaled: dict[tuple[float, float], CauseGraph] = {}
        try:
            order = TopologicalSorter({effect: [link.cause for link in found] for effect, found in causes.items()})
            self.order = tuple(order.static_order())
        except CycleError as error:
            raise CyclicGraph(error.args[1]) from error

    def scaled(self, factor: float, most: float = 0.95) -> CauseGraph:
        """The same links with every strength multiplied, at most ``most``; kept, since every trace asks for them."""
        if (factor, most) not in self._scaled:
            self._scaled[factor, most] = CauseGraph(
                CauseLink(link.effect, link.cause, min(most, factor * link.strength), link.reason, link.source)
                for link in self.links
            )
        return self._scaled[factor, most]
