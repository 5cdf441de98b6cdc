"""Everything that could stand behind one finding, whatever the trace chose: what a page draws as arcs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from metrics.tracing.evidence import Evidence, State
from metrics.tracing.explaining import NEVER_CAUSES, Problem
from metrics.tracing.graph import CauseGraph, Node
from metrics.tracing.ways import Ways


@dataclass(frozen=True, slots=True)
class PossibleCause:
    """``share``: product of strengths along ``path``, the best one, from cause to flag. ``state``: the cause’s."""

    node: Node
    share: float
    path: tuple[Node, ...]
    state: State


def possible_causes(graph: CauseGraph, evidence: Iterable[Evidence], flag: Node) -> tuple[PossibleCause, ...]:
    """Every cause that reaches the flag, the largest share first; also those that are contradicted, which say so.

    No path leads on through a contradicted mechanic, and outcomes and styles are no causes: as in the trace.
    """
    return possible_causes_of(graph, evidence, [flag])[flag]


def possible_causes_of(
    graph: CauseGraph, evidence: Iterable[Evidence], flags: Iterable[Node]
) -> dict[Node, tuple[PossibleCause, ...]]:
    """Those of many flags at once."""
    problem = Problem(graph, {one.node: one for one in evidence})
    ways = Ways(graph, sorted(set(flags)), problem.blocks)
    return {flag: _sorted(problem, ways, flag) for flag in ways.targets}


def _sorted(problem: Problem, ways: Ways, flag: Node) -> tuple[PossibleCause, ...]:
    found = [
        PossibleCause(node, way.share, way.path, problem.of(node).state)
        for node, way in ways.to(flag).items()
        if problem.of(node).kind not in NEVER_CAUSES
    ]
    return tuple(sorted(found, key=lambda one: (-one.share, one.node)))
