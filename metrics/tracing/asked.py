"""A root that a person puts first, held against the same evidence as those that the trace found."""

from __future__ import annotations

from collections.abc import Iterable

from metrics.tracing.evidence import Evidence, State
from metrics.tracing.explaining import Problem
from metrics.tracing.graph import CauseGraph, Node
from metrics.tracing.roots import Root, root_beside, root_nodes
from metrics.tracing.trace import best_explanation

ITSELF, CAUSE_NOT_KNOWN = "itself", "cause not known yet"


def root_of(graph: CauseGraph, evidence: Iterable[Evidence], node: Node) -> Root:
    """What would be expected to clear if `node` were put right, beside the roots of the best explanation."""
    problem = Problem(graph, {one.node: one for one in evidence})
    return root_beside(problem, node, root_nodes(problem, best_explanation(problem)))


def heading_of(graph: CauseGraph, evidence: Iterable[Evidence], node: Node) -> str:
    """Of a flag on its own: ITSELF where its causes are in range, CAUSE_NOT_KNOWN where one was not measured."""
    known = {one.node: one for one in evidence}
    if node not in known or not known[node].flagged:
        return ""
    causes = [link.cause for link in graph.causes.get(node, ())]
    unknown = any(cause not in known or known[cause].state is State.UNMEASURED for cause in causes)
    return CAUSE_NOT_KNOWN if unknown else ITSELF
