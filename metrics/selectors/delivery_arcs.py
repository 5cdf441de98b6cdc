"""Arcs of the delivery line: the ways from each flag to its possible causes, link by link."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from metrics.catalogue import Catalogue
from metrics.drawing.delivery_line import IN_RANGE, OUT, UNMEASURED, Arc, Point
from metrics.drawing.marks import FLAG, WATCH
from metrics.selectors.session_words import direction_words, name_without_moment
from metrics.tracing import Node, State


@dataclass(frozen=True, slots=True)
class PossibleCauseView:
    """A possible cause of a flag. `state`: flagged, open, contradicted or unmeasured; `share`: how strongly it
    produces the flag (0 to 1); `path`: from the cause to the flag, both included; `is_used`: the explanation uses it.
    """

    node: Node
    state: str
    share: float
    path: tuple[Node, ...]
    is_used: bool = False


def arcs_of(
    causes: Mapping[Node, Sequence[PossibleCauseView]], points: Mapping[str, Point], catalogue: Catalogue
) -> Iterable[Arc]:
    """One arc for each link on a way to a flag; a link of several ways once a flag."""
    states = {cause.node: cause.state for found in causes.values() for cause in found}
    for flag, found in causes.items():
        links: dict[tuple[Node, Node], bool] = {}
        for cause in found:
            for earlier, later in pairwise(cause.path):
                links[later, earlier] = links.get((later, earlier), False) or cause.is_used
        for (effect, cause_node), is_used in links.items():
            if cause_node.metric not in points or effect.metric not in points:
                continue
            state = arc_state(cause_node, states.get(cause_node, ""), points[cause_node.metric])
            words = f"{_words(cause_node, catalogue)}, a possible cause of {_words(effect, catalogue)}"
            yield Arc(effect.metric, cause_node.metric, state, is_used, words, flag.metric)


def arc_state(cause: Node, state: str, point: Point) -> str:
    """Out of range, in range or not measured, in the direction that the link speaks of."""
    if state == State.UNMEASURED or not point.verdict.is_scored:
        return UNMEASURED
    if state == State.FLAGGED:
        return OUT
    is_out = point.verdict.zone in (FLAG, WATCH) and point.verdict.side == cause.direction
    return OUT if is_out and state != State.CONTRADICTED else IN_RANGE


def _words(node: Node, catalogue: Catalogue) -> str:
    """Trunk opening time (early)."""
    if node.metric not in catalogue.metrics:
        return node.metric
    metric = catalogue.metric(node.metric)
    word = direction_words(metric, node.direction)
    return f"{name_without_moment(metric)} ({word})" if word else name_without_moment(metric)
