"""Upstream: from flagged findings to the cause that is worked on first. Pure: no Django, no clock, no environment.

`CauseGraph` holds the links, `Evidence` what is known of a metric in one direction, `trace` finds the explanation with
the fewest points and orders its roots. docs/tracing.md works an example by hand.
"""

from metrics.tracing.evidence import Evidence, State
from metrics.tracing.graph import CauseGraph, CauseLink, CyclicGraph, Node
from metrics.tracing.possible import PossibleCause, possible_causes, possible_causes_of
from metrics.tracing.roots import Root
from metrics.tracing.trace import Check, ExplainedFlag, Trace, trace

ALGORITHM = "tracing 2"
"""Raise it when a trace of the same findings can differ."""

__all__ = [
    "ALGORITHM",
    "CauseGraph",
    "CauseLink",
    "Check",
    "CyclicGraph",
    "Evidence",
    "ExplainedFlag",
    "Node",
    "PossibleCause",
    "Root",
    "State",
    "Trace",
    "possible_causes",
    "possible_causes_of",
    "trace",
]
