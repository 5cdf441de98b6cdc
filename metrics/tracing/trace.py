"""The trace of one athlete's flags: the explanation, its roots in order, the starting point, and what to check next."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from metrics.tracing.evidence import Evidence, State
from metrics.tracing.explaining import Explanation, Problem
from metrics.tracing.graph import CauseGraph, Node

TIE = 0.05
CLOSE = 0.7
STRENGTHS_OFF = 0.2
CLEARS_IF_RIGHT = 0.90
CHECKS = 3
ITSELF, CAUSE_NOT_KNOWN = "itself", "cause not known yet"


@dataclass(frozen=True, slots=True)
class ExplainedFlag:
    """``cause`` None: it stands on its own. ``path``: from the cause to the flag."""

    flag: Node
    cause: Node | None
    share: float
    path: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Root:
    """``clears``: flag → share of it expected to clear when this root is put right; ``expected``: weighted, the order.

    ``absent``: direct effects that were measured in range; ``contradicts``: those that are out the other way.
    ``is_suspicion``: in use without having been measured.
    """

    node: Node
    p_root: float
    expected: float
    clears: Mapping[Node, float]
    supports: tuple[Node, ...]
    absent: tuple[Node, ...]
    contradicts: tuple[Node, ...]
    is_suspicion: bool
    may_be_starting_point: bool


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
        heading=heading_among(problem, start.node) if start else "",
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
    """Flags that stand on their own are explained where that costs no more than what the tie leaves."""
    points, by = one.points, dict(one.by)
    for flag in (flag for flag, cause in one.by.items() if cause is None):
        own = problem.own
        options = [
            (-math.log(way.share) - own, cause)
            for cause, way in sorted(problem.ways[flag].items())
            if problem.usable(cause) and (problem.of(cause).flagged or cause in one.used)
        ]
        extra, cause = min(options, default=(math.inf, flag))
        if points + extra <= most + 1e-12:
            points, by[flag] = points + extra, cause
    return Explanation(points, by, one.used)


def _tie(problem: Problem, one: Explanation) -> tuple[object, ...]:
    lengths = sum(len(problem.ways[flag][cause].path) for flag, cause in one.by.items() if cause is not None)
    weight = sum(problem.of(root).weight for root in one.roots)
    return len(one.roots), -lengths, -weight, tuple(sorted(one.roots))


def ordered_roots(problem: Problem, one: Explanation) -> tuple[Root, ...]:
    """The roots by what would be expected to clear if each were put right; outcomes and styles are none."""
    nodes = [node for node in sorted(one.roots) if problem.of(node).kind not in ("outcome", "style")]
    made = [root_among(problem, node, nodes) for node in nodes]
    return tuple(sorted(made, key=lambda root: (-round(root.expected, 9), -problem.of(root.node).weight, root.node)))


def root_among(problem: Problem, node: Node, roots: list[Node]) -> Root:
    """The node as a root beside others: what would clear, what speaks for it and against it."""
    evidence = problem.of(node)
    clears = {flag: need for flag in problem.flags if (need := _need(problem, node, flag, roots)) > 0}
    worth = sum(problem.of(flag).weight * problem.of(flag).severity * need for flag, need in clears.items())
    effects = [link.effect for link in problem.graph.effects.get(node, ())]
    is_suspicion = evidence.state is State.UNMEASURED
    return Root(
        node=node,
        p_root=evidence.chance,
        expected=evidence.chance * worth,
        clears=clears,
        supports=tuple(flag for flag in clears if flag != node),
        absent=tuple(effect for effect in effects if problem.of(effect).is_in_range),
        contradicts=tuple(effect for effect in effects if problem.of(effect).is_other_side),
        is_suspicion=is_suspicion,
        may_be_starting_point=evidence.may_be_root and not is_suspicion,
    )


def _need(problem: Problem, root: Node, flag: Node, roots: list[Node]) -> float:
    """How likely a flag needs this root: c·q / (1 − (1 − c)·q), q what neither chance nor another root explains."""
    share = problem.share(root, flag)
    others = math.prod(1 - problem.share(other, flag) for other in roots if other != root)
    rest = CLEARS_IF_RIGHT * others
    return share * rest / (1 - (1 - share) * rest) if share else 0.0


def heading_among(problem: Problem, node: Node) -> str:
    """Of a flag that stands on its own: whether its causes are known to be in range, or not known."""
    if not problem.of(node).flagged:
        return ""
    causes = [link.cause for link in problem.graph.causes.get(node, ())]
    unknown = any(problem.of(cause).state is State.UNMEASURED for cause in causes)
    return CAUSE_NOT_KNOWN if unknown else ITSELF


def _explained(problem: Problem, flag: Node, cause: Node | None) -> ExplainedFlag:
    if cause is None:
        return ExplainedFlag(flag, None, 1.0, (flag,))
    way = problem.ways[flag][cause]
    return ExplainedFlag(flag, cause, way.share, way.path)


def _first(problem: Problem, one: Explanation) -> Node | None:
    roots = ordered_roots(problem, one)
    return roots[0].node if roots else None


def _runner_up(problem: Problem, first: Node | None, points: float) -> tuple[Node, float] | None:
    """The best explanation with another first root, of those in which one more root is wanted."""
    forced = [problem.best(own=[flag]) for flag in problem.flags]
    forced += [problem.best(use=[cause]) for cause in problem.candidates]
    others = [(one.points - points, root) for one in forced if (root := _first(problem, one)) not in (None, first)]
    behind, root = min(others, default=(math.inf, None))
    return (root, behind) if root is not None else None


def _is_close(problem: Problem, roots: tuple[Root, ...], runner_up: tuple[Node, float] | None) -> bool:
    if runner_up and runner_up[1] <= CLOSE:
        return True
    first = roots[0].node if roots else None
    for factor in (1 - STRENGTHS_OFF, 1 + STRENGTHS_OFF):
        other = Problem(problem.graph.scaled(factor), problem.evidence)
        if _first(other, best_explanation(other)) != first:
            return True
    return False


def check_next(problem: Problem, one: Explanation) -> tuple[Check, ...]:
    """The three things whose measurement is worth most; causes in use that nobody measured come first."""
    checks = []
    for cause in problem.candidates:
        saved = one.points - problem.best(cheap=[cause]).points
        worth = saved * problem.of(cause).chance
        if worth > 1e-9:
            checks.append(Check(cause, worth))
    suspected = {node for node in one.used if problem.of(node).state is State.UNMEASURED}
    ordered = sorted(checks, key=lambda check: (check.node not in suspected, -check.worth, check.node))
    return tuple(ordered[:CHECKS])
