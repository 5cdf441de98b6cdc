"""Other ways to the same answers, which share no code with the search: all paths, all sets, an integer program."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from itertools import combinations, pairwise, product

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from metrics.tracing import CauseGraph, Evidence, Node
from metrics.tracing.evidence import State
from metrics.tracing.explaining import Explanation, Problem
from metrics.tracing.roots import first_root
from tests.metrics.tracing.cases import ALONE


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


def shares_by_relaxing(graph: CauseGraph, found: list[Evidence]) -> np.ndarray:
    """(causes, effects) the same shares, by multiplying until nothing grows: no order of the nodes is used."""
    place = {one.node: index for index, one in enumerate(found)}
    direct = np.zeros((len(found), len(found)))
    for link in graph.links:
        direct[place[link.cause], place[link.effect]] = link.strength
    passes = [not (one.kind == "mechanic" and one.state is State.CONTRADICTED) for one in found]
    shares = direct
    while True:
        through = direct[:, :, None] * np.where(np.array(passes)[:, None], shares, 0.0)
        wider = np.maximum(shares, through.max(axis=1))
        if (wider == shares).all():
            return shares
        shares = wider


def fewest_points(graph: CauseGraph, evidence: Iterable[Evidence]) -> float:
    """By trying every set of unflagged causes."""
    known = {one.node: one for one in evidence}
    nodes = {one.cause for one in graph.links} | {one.effect for one in graph.links} | set(known)
    found = [known.get(one, Evidence(one, "mechanic")) for one in sorted(nodes)]
    can = [one.state is not State.CONTRADICTED and one.kind not in ("outcome", "style") for one in found]
    flagged = np.array([one.flagged for one in found], dtype=bool)
    with np.errstate(divide="ignore"):
        costs = -np.log(np.where(np.array(can)[:, None], shares_by_relaxing(graph, found), 0.0))[:, flagged]
    free = np.minimum(costs[flagged].min(axis=0, initial=math.inf), ALONE)
    paid = [index for index, one in enumerate(found) if can[index] and not one.flagged]
    opening = np.array([found[index].points + _absent(graph, known, found[index].node) for index in paid])
    sets = (np.arange(2 ** len(paid))[:, None] >> np.arange(len(paid))) & 1 == 1
    by_used = np.where(sets[:, :, None], costs[paid], math.inf).min(axis=1, initial=math.inf)
    explained = np.minimum(free, by_used).sum(axis=1)
    return float((explained + np.where(sets, opening, 0.0).sum(axis=1)).min())


def _absent(graph: CauseGraph, known: Mapping[Node, Evidence], cause: Node) -> float:
    links = (one for one in graph.links if one.cause == cause)
    return -sum(math.log(1 - one.strength) for one in links if one.effect in known and known[one.effect].is_in_range)


def by_integer_program(problem: Problem) -> float:
    """Open or not for each cause, one explanation for each flag; scipy's milp (HiGHS)."""
    causes, flags = list(problem.candidates), problem.flags
    base = problem.free[0]
    rows = np.array([problem.candidates[cause] for cause in causes]).reshape(len(causes), len(flags))
    pairs = np.argwhere(np.isfinite(rows))
    opening = [problem.opening(cause) for cause in causes]
    costs = np.concatenate([opening, base, rows[np.isfinite(rows)]])
    shift, count = len(causes) + len(flags), len(pairs)
    number = np.arange(count)
    each = coo_array(
        (
            np.ones(len(flags) + count),
            (np.r_[np.arange(len(flags)), pairs[:, 1]], np.arange(len(causes), shift + count)),
        ),
        shape=(len(flags), shift + count),
    )
    limits = [LinearConstraint(each.tocsr(), 1, 1)]
    if count:
        only_open = coo_array(
            (np.r_[np.ones(count), -np.ones(count)], (np.r_[number, number], np.r_[shift + number, pairs[:, 0]])),
            shape=(count, shift + count),
        )
        limits.append(LinearConstraint(only_open.tocsr(), -np.inf, 0))
    # explanations need not be forced to be whole: with causes open or not, the cheapest one is
    whole = np.r_[np.ones(len(causes)), np.zeros(len(flags) + count)]
    answer = milp(costs, constraints=limits, integrality=whole, bounds=Bounds(0, 1))
    assert answer.success
    return float(answer.fun)


def nearest_other(problem: Problem, first: Node | None, points: float, most: float) -> float:
    """Points by which the nearest explanation with another first root is behind, of all that are at most ``most``
    behind; infinite when there is none. Every set of causes, and each flag on its own or not."""
    best = math.inf
    names = list(problem.candidates)
    for used in (one for count in range(len(names) + 1) for one in combinations(names, count)):
        opening = sum(problem.opening(cause) for cause in used)
        if opening > points + most:
            continue
        for choice in product(*(_choices(problem, column, used) for column in range(len(problem.flags)))):
            total = opening + sum(cost for cost, _ in choice)
            if total < min(points + most, best):
                by = {flag: cause for flag, (_, cause) in zip(problem.flags, choice, strict=True)}
                root = first_root(problem, Explanation(total, by, frozenset(used)))
                best = total if root not in (None, first) else best
    return best - points


def _choices(problem: Problem, column: int, used: tuple[Node, ...]) -> list[tuple[float, Node | None]]:
    can = [one for one in problem.nodes if one in used or (problem.of(one).flagged and problem.usable(one))]
    costs = [(float(problem.costs[problem.best_ways.row[one], column]), one) for one in can]
    cheapest = min(costs, default=(math.inf, None))
    return [(ALONE, None), *([cheapest] if math.isfinite(cheapest[0]) else [])]
