"""A root that a person puts first, held against the same evidence as those that the trace found."""

from __future__ import annotations

from collections.abc import Iterable

from metrics.tracing.evidence import Evidence
from metrics.tracing.explaining import Problem
from metrics.tracing.graph import CauseGraph, Node
from metrics.tracing.trace import Root, best_explanation, heading_among, root_among


def root_of(graph: CauseGraph, evidence: Iterable[Evidence], node: Node) -> Root:
    """What would be expected to clear if `node` were put right, beside the roots of the best explanation."""
    problem = Problem(graph, {one.node: one for one in evidence})
    others = [root for root in best_explanation(problem).roots if root != node]
    return root_among(problem, node, [*others, node])


def heading_of(graph: CauseGraph, evidence: Iterable[Evidence], node: Node) -> str:
    """Of a flag on its own: ITSELF where its causes are in range, CAUSE_NOT_KNOWN where one was not measured."""
    return heading_among(Problem(graph, {one.node: one for one in evidence}), node)
