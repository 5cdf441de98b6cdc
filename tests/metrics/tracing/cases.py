"""Small graphs, and a slow second way to the explanation with the fewest points."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from itertools import combinations, pairwise

import numpy as np

from metrics.tracing import CauseGraph, CauseLink, Evidence, Node
from metrics.tracing.evidence import State

ALONE = -math.log(0.10)


def node(text: str) -> Node:
    """ "stride low" → Node("stride", "low")."""
    return Node(*text.split())


def link(cause: str, effect: str, strength: float) -> CauseLink:
    return CauseLink(node(effect), node(cause), strength)


def flag(text: str, *, kind: str = "mechanic", weight: float = 5.0, severity: float = 1.0) -> Evidence:
    return Evidence(node(text), kind, True, 0.97, 0.0, 0.99, severity=severity, weight=weight)


def in_range(text: str, *, kind: str = "mechanic") -> Evidence:
    return Evidence(node(text), kind, False, 0.01, 0.9, 0.1)


def open_at(text: str, p_flag: float, *, kind: str = "mechanic") -> Evidence:
    """Out of the target, and flagged with that chance."""
    return Evidence(node(text), kind, False, p_flag, 0.1, 0.9)


def unmeasured(text: str, *, kind: str = "mechanic") -> Evidence:
    return Evidence(node(text), kind)


# ---- the slow way -------------------------------------------------------------------------------------------


def paths(graph: CauseGraph, cause: Node, effect: Node) -> Iterator[tuple[Node, ...]]:
    """Every path from cause to effect."""
    if cause == effect:
        yield (effect,)
        return
    for one in graph.effects.get(cause, ()):
        for rest in paths(graph, one.effect, effect):
            yield (cause, *rest)


def share_by_paths(graph: CauseGraph, known: Mapping[Node, Evidence], cause: Node, effect: Node) -> float:
    """The largest product of strengths over paths whose in-between mechanics are not contradicted; 0 without any."""
    strength = {(one.cause, one.effect): one.strength for one in graph.links}
    best = 0.0
    for path in paths(graph, cause, effect):
        between = [known.get(one, Evidence(one, "mechanic")) for one in path[1:-1]]
        if not any(one.kind == "mechanic" and one.state is State.CONTRADICTED for one in between):
            best = max(best, math.prod(strength[pair] for pair in pairwise(path)))
    return best


def fewest_points(graph: CauseGraph, evidence: Iterable[Evidence]) -> float:
    """By trying every set of unflagged causes."""
    known = {one.node: one for one in evidence}
    nodes = {one.cause for one in graph.links} | {one.effect for one in graph.links} | set(known)

    def of(one: Node) -> Evidence:
        return known.get(one, Evidence(one, "mechanic"))

    usable = [
        one for one in nodes if of(one).state is not State.CONTRADICTED and of(one).kind not in ("outcome", "style")
    ]
    flags = [one for one in nodes if of(one).flagged]
    free = [one for one in usable if of(one).flagged]
    paid = [one for one in usable if not of(one).flagged]
    costs = {(one, each): share_by_paths(graph, known, one, each) for one in usable for each in flags if one != each}

    def explained(each: Node, causes: Iterable[Node]) -> float:
        found = [-math.log(costs[one, each]) for one in causes if one != each and costs[one, each] > 0]
        return min([ALONE, *found])

    best = math.inf
    for count in range(len(paid) + 1):
        for chosen in combinations(paid, count):
            opening = sum(
                of(one).points
                - sum(math.log(1 - each.strength) for each in graph.effects.get(one, ()) if of(each.effect).is_in_range)
                for one in chosen
            )
            best = min(best, opening + sum(explained(each, [*free, *chosen]) for each in flags))
    return best


def random_case(rng: np.random.Generator, size: int = 7) -> tuple[CauseGraph, list[Evidence]]:
    """A graph without cycles on so many nodes, and findings on some of them."""
    names = [Node(f"m{number}", "low") for number in range(size)]
    links = [
        CauseLink(names[later], names[earlier], float(rng.choice([0.2, 0.5, 0.8])))
        for earlier in range(size)
        for later in range(earlier + 1, size)
        if rng.random() < 0.45
    ]
    evidence = []
    for one in names:
        kind = str(rng.choice(["mechanic", "mechanic", "mechanic", "screen", "outcome"]))
        what = rng.random()
        if what < 0.45:
            evidence.append(flag(" ".join(one), kind=kind, weight=float(rng.integers(1, 9))))
        elif what < 0.60:
            evidence.append(in_range(" ".join(one), kind=kind))
        elif what < 0.75:
            evidence.append(open_at(" ".join(one), float(rng.uniform(0.05, 0.7)), kind=kind))
        elif what < 0.9:
            evidence.append(unmeasured(" ".join(one), kind=kind))
    return CauseGraph(links), evidence
