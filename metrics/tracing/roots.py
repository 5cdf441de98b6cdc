"""The roots of an explanation: what would clear if each were put right, and what speaks for and against each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from metrics.tracing.evidence import State
from metrics.tracing.explaining import NEVER_CAUSES, Explanation, Problem
from metrics.tracing.graph import Node

CLEARS_IF_RIGHT = 0.90


@dataclass(frozen=True, slots=True)
class Root:
    """``clears``: flag → share of it expected to clear when this root is put right; ``expected``: weighted, the order.

    ``absent``: direct effects that were measured in range. ``opposed``: direct effects that are out the other way.
    ``blocked``: flags that it could produce but for a mechanic between them that is not off. ``is_suspicion``: in use
    without having been measured.
    """

    node: Node
    p_root: float
    expected: float
    clears: Mapping[Node, float]
    supports: tuple[Node, ...]
    absent: tuple[Node, ...]
    is_suspicion: bool
    may_be_starting_point: bool
    opposed: tuple[Node, ...] = ()
    blocked: tuple[Node, ...] = ()


def ordered_roots(problem: Problem, one: Explanation) -> tuple[Root, ...]:
    """The roots by what would be expected to clear if each were put right; outcomes and styles are none."""
    nodes = root_nodes(problem, one)
    needs = needs_of(problem, nodes)
    expected = _expected(problem, nodes, needs)
    order = _order(problem, nodes, expected)
    return tuple(_root(problem, nodes[place], needs[place], float(expected[place])) for place in order)


def first_root(problem: Problem, one: Explanation) -> Node | None:
    nodes = root_nodes(problem, one)
    if not nodes:
        return None
    return nodes[_order(problem, nodes, _expected(problem, nodes, needs_of(problem, nodes)))[0]]


def root_nodes(problem: Problem, one: Explanation) -> list[Node]:
    return [node for node in sorted(one.roots) if problem.of(node).kind not in NEVER_CAUSES]


def needs_of(problem: Problem, roots: Sequence[Node]) -> np.ndarray:
    """(roots, flags): how likely a flag needs a root: c·q / (1 − (1 − c)·q), q what nothing else explains.

    c is the root's share of the flag, q = 0.90·Π(1 − share of every other root). Source: expected disablement, Richens
    et al. 2020 (from memory), in a noisy-or of the roots and chance.
    """
    shares = problem.shares[[problem.best_ways.row[node] for node in roots]]
    left = 1 - shares
    ones = np.ones((1, shares.shape[1]))
    before = np.cumprod(np.vstack([ones, left[:-1]]), axis=0)
    after = np.cumprod(np.vstack([ones, left[:0:-1]]), axis=0)[::-1]
    rest = CLEARS_IF_RIGHT * before * after
    needs: np.ndarray = shares * rest / (1 - left * rest)
    return needs


def _expected(problem: Problem, roots: Sequence[Node], needs: np.ndarray) -> np.ndarray:
    found: np.ndarray = problem.chances[[problem.best_ways.row[node] for node in roots]] * (needs @ problem.worths)
    return found


def _order(problem: Problem, roots: Sequence[Node], expected: np.ndarray) -> list[int]:
    worths = np.round(expected, 9).tolist()
    keys = [(-worth, -problem.of(node).weight, node) for worth, node in zip(worths, roots, strict=True)]
    return sorted(range(len(roots)), key=keys.__getitem__)


def _root(problem: Problem, node: Node, needs: np.ndarray, expected: float) -> Root:
    evidence = problem.of(node)
    clears = {flag: need for flag, need in zip(problem.flags, needs.tolist(), strict=True) if need > 0}
    effects = [link.effect for link in problem.graph.effects.get(node, ())]
    is_suspicion = evidence.state is State.UNMEASURED
    return Root(
        node=node,
        p_root=evidence.chance,
        expected=expected,
        clears=clears,
        supports=tuple(flag for flag in clears if flag != node),
        absent=tuple(effect for effect in effects if problem.of(effect).is_in_range),
        is_suspicion=is_suspicion,
        may_be_starting_point=evidence.may_be_root and not is_suspicion,
        opposed=tuple(effect for effect in effects if problem.of(effect).is_other_side),
        blocked=tuple(flag for flag in _reachable(problem, node) if flag not in clears),
    )


def _reachable(problem: Problem, node: Node) -> list[Node]:
    """Flags to which some path leads, whatever stands between."""
    seen, waiting = {node}, [node]
    while waiting:
        for link in problem.graph.effects.get(waiting.pop(), ()):
            if link.effect not in seen:
                seen.add(link.effect)
                waiting.append(link.effect)
    return [flag for flag in problem.flags if flag in seen and not problem.share(node, flag)]


def root_beside(problem: Problem, node: Node, others: Sequence[Node]) -> Root:
    """The node as a root beside others, whether or not an explanation uses it."""
    known = problem.best_ways.row
    nodes = [one for one in (*others, node) if one in known]
    nodes = sorted(set(nodes))
    needs = needs_of(problem, nodes)
    if node not in known:
        return _root(problem, node, np.zeros(len(problem.flags)), 0.0)
    place = nodes.index(node)
    return _root(problem, node, needs[place], float(_expected(problem, nodes, needs)[place]))
