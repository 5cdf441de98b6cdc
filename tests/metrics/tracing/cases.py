"""Small graphs and findings to trace on."""

from __future__ import annotations

import math

import numpy as np

from metrics.tracing import CauseGraph, CauseLink, Evidence, Node

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


def random_case(
    rng: np.random.Generator, size: int = 7, *, links: int = 0, all_flagged: bool = False
) -> tuple[CauseGraph, list[Evidence]]:
    """A graph without cycles on so many nodes, and findings on some of them; ``links``: so many instead of 45%."""
    names = [Node(f"m{number}", "low") for number in range(size)]
    pairs = [(cause, effect) for cause in range(size) for effect in range(cause + 1, size)]
    chosen = rng.choice(len(pairs), links, replace=False) if links else np.flatnonzero(rng.random(len(pairs)) < 0.45)
    strengths = rng.choice([0.2, 0.5, 0.8], len(chosen)).tolist()
    graph = CauseGraph(
        CauseLink(names[pairs[place][1]], names[pairs[place][0]], strength)
        for place, strength in zip(chosen, strengths, strict=True)
    )
    return graph, [one for name in names if (one := _random_finding(rng, name, all_flagged))]


KINDS = ("mechanic", "mechanic", "mechanic", "screen", "outcome", "context", "style")


def _random_finding(rng: np.random.Generator, one: Node, all_flagged: bool) -> Evidence | None:
    kind, what, text = KINDS[rng.integers(len(KINDS))], 0.0 if all_flagged else rng.random(), " ".join(one)
    if what < 0.45:
        return flag(text, kind=kind, weight=float(rng.integers(1, 9)), severity=float(rng.uniform(1, 3)))
    if what < 0.60:
        return in_range(text, kind=kind)
    if what < 0.75:
        return open_at(text, float(rng.uniform(0.05, 0.7)), kind=kind)
    return unmeasured(text, kind=kind) if what < 0.9 else None
