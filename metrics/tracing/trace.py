"""The trace of one athlete's flags: the explanation, its roots in order, the starting point, and what to check next."""

from __future__ import annotations

import heapq
import math
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from metrics.tracing.evidence import Evidence, State
from metrics.tracing.explaining import IMPOSSIBLE, Explanation, Problem
from metrics.tracing.graph import CauseGraph, Node
from metrics.tracing.roots import Root, first_root, ordered_roots

TIE = 0.05
CLOSE = 0.7
STRENGTHS_OFF = 0.2
CHECKS = 3


@dataclass(frozen=True, slots=True)
class ExplainedFlag:
    """``cause`` None: it stands on its own. ``path``: from the cause to the flag."""

    flag: Node
    cause: Node | None
    share: float
    path: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Check:
    """What to measure next: ``worth`` is the points that it would save if it were flagged, times its chance."""

    node: Node
    worth: float


@dataclass(frozen=True, slots=True)
class Trace:
    """``starting_point`` None: nothing that can be worked on is known.

    ``heading``: "", "itself" (its causes are in range, or it has none) or "cause not known yet". ``runner_up``: the
    first root of the best explanation that has another one, and how many points that is behind.
    """

    points: float
    flags: tuple[ExplainedFlag, ...]
    roots: tuple[Root, ...]
    starting_point: Node | None
    heading: str
    unexplained: tuple[Node, ...]
    runner_up: tuple[Node, float] | None
    is_close: bool
    check_next: tuple[Check, ...]


def trace(graph: CauseGraph, evidence: Iterable[Evidence]) -> Trace:
    """The trace of these findings. Nothing flagged gives an empty one."""
    problem = Problem(graph, {one.node: one for one in evidence})
    if not problem.flags:
        return Trace(0.0, (), (), None, "", (), None, False, ())
    chosen = best_explanation(problem)
    roots = ordered_roots(problem, chosen)
    start = next((root for root in roots if root.may_be_starting_point), None)
    on_their_own = [flag for flag, cause in chosen.by.items() if cause is None]
    runner_up = _runner_up(problem, roots[0].node if roots else None, chosen.points)
    return Trace(
        points=chosen.points,
        flags=tuple(_explained(problem, flag, cause) for flag, cause in chosen.by.items()),
        roots=roots,
        starting_point=start.node if start else None,
        heading=_heading(problem, chosen, start.node) if start else "",
        unexplained=tuple(flag for flag in on_their_own if not start or flag != start.node),
        runner_up=runner_up,
        is_close=_is_close(problem, roots, runner_up),
        check_next=check_next(problem, chosen),
    )


def best_explanation(problem: Problem) -> Explanation:
    """The fewest points; among those within 0.05 fewer roots, then longer paths, then weight, then key."""
    near = list(problem.within(TIE))
    least = min(one.points for one in near)
    return min((_with_fewer_roots(problem, one, least + TIE) for one in near), key=lambda one: _tie(problem, one))


def _with_fewer_roots(problem: Problem, one: Explanation, most: float) -> Explanation:
    """Flags that stand on their own are explained where that costs no more than what the tie leaves, least first."""
    points, by = one.points, dict(one.by)
    options = sorted(
        min((extra, -length, cause, flag) for extra, length, cause in found)
        for flag, cause in one.by.items()
        if cause is None and (found := _explanations(problem, flag, one.used))
    )
    for extra, _, cause, flag in options:
        if points + extra <= most + 1e-12:
            points, by[flag] = points + extra, cause
    return Explanation(points, by, one.used)


def _explanations(problem: Problem, flag: Node, used: Collection[Node]) -> list[tuple[float, int, Node]]:
    """Causes that are there or in use and hardly dearer than leaving the flag on its own: what more, length, cause."""
    column = problem.best_ways.column[flag]
    extra = np.round(problem.costs[:, column] - problem.own, 9)
    found = []
    for row in np.flatnonzero(extra <= TIE + 1e-9):
        node = problem.nodes[row]
        if problem.of(node).flagged or node in used:
            found.append((float(extra[row]), int(problem.best_ways.lengths[row, column]), node))
    return found


def _tie(problem: Problem, one: Explanation) -> tuple[object, ...]:
    ways = problem.best_ways
    lengths = sum(
        int(ways.lengths[ways.row[cause], ways.column[flag]]) for flag, cause in one.by.items() if cause is not None
    )
    weight = sum(problem.of(root).weight for root in one.roots)
    return len(one.roots), -lengths, -weight, tuple(sorted(one.roots))


def _heading(problem: Problem, one: Explanation, start: Node) -> str:
    """Of a starting point that stands on its own: whether its causes are known to be in range, or not known."""
    if one.by.get(start, start) is not None:
        return ""
    causes = [link.cause for link in problem.graph.causes.get(start, ())]
    unknown = [cause for cause in causes if problem.of(cause).state is State.UNMEASURED]
    return "cause not known yet" if unknown else "itself"


def _explained(problem: Problem, flag: Node, cause: Node | None) -> ExplainedFlag:
    if cause is None:
        return ExplainedFlag(flag, None, 1.0, (flag,))
    return ExplainedFlag(flag, cause, problem.share(cause, flag), problem.best_ways.path(cause, flag))


def _runner_up(problem: Problem, first: Node | None, points: float) -> tuple[Node, float] | None:
    """The best explanation with another first root, and how far it is behind.

    Whatever is the first root elsewhere is a root there. So each node is made one; where the first root still comes
    first, it is made none.
    """
    behind = math.inf
    found: list[Node] = []
    waiting = [_with_root(problem, node, None) for node in (*problem.flags, *problem.candidates)]
    heapq.heapify(waiting)
    while waiting:
        one = heapq.heappop(waiting)
        if one.points >= IMPOSSIBLE or (found and one.points - points > behind + 1e-9):
            break
        own = () if one.wanted in one.used else (one.wanted,)
        root = first_root(problem, problem.explanation(one.used, one.points, own=own, without=one.without))
        if root is not None and root != first:
            behind = min(behind, one.points - points)
            found.append(root)
        elif root is not None and one.without is None and one.wanted != first:
            heapq.heappush(waiting, _with_root(problem, one.wanted, first))
    return (min(found), behind) if found else None


class Forced(NamedTuple):
    """The best explanation in which one node is a root and another perhaps none, by its points."""

    points: float
    wanted: Node
    without: Node | None
    used: frozenset[Node]


def _with_root(problem: Problem, wanted: Node, without: Node | None) -> Forced:
    own, use = ([wanted], ()) if wanted in problem.best_ways.column else ((), [wanted])
    points, used = problem.fewest(own=own, use=use, without=without)
    return Forced(points, wanted, without, used)


def _is_close(problem: Problem, roots: tuple[Root, ...], runner_up: tuple[Node, float] | None) -> bool:
    if runner_up and runner_up[1] <= CLOSE:
        return True
    first = roots[0].node if roots else None
    for factor in (1 - STRENGTHS_OFF, 1 + STRENGTHS_OFF):
        other = Problem(problem.graph.scaled(factor), problem.evidence)
        if first_root(other, best_explanation(other)) != first:
            return True
    return False


def check_next(problem: Problem, one: Explanation) -> tuple[Check, ...]:
    """The three things whose measurement is worth most; causes in use that nobody measured come first.

    Facts of the person are no measurement to make: they follow from the record, or are not known.
    """
    checks = []
    for cause in (node for node in problem.candidates if problem.of(node).kind != "context"):
        saved = one.points - problem.fewest(cheap=[cause])[0]
        worth = saved * problem.of(cause).chance
        if worth > 1e-9:
            checks.append(Check(cause, worth))
    suspected = {node for node in one.used if problem.of(node).state is State.UNMEASURED}
    ordered = sorted(checks, key=lambda check: (check.node not in suspected, -check.worth, check.node))
    return tuple(ordered[:CHECKS])
