"""The search is exact: against trying everything, and against an integer program of a general-purpose solver."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from metrics.tracing import CauseGraph, CyclicGraph, trace
from metrics.tracing.explaining import ON_ITS_OWN, Problem
from tests.metrics.tracing.cases import fewest_points, link, node, random_case, share_by_paths

CASES = 400


@pytest.mark.parametrize("number", range(8))
def test_fewest_points_are_those_of_trying_everything(number):
    rng = np.random.default_rng(number)
    for _ in range(CASES // 8):
        graph, evidence = random_case(rng)
        found = trace(graph, evidence)
        if not found.flags:
            continue
        problem = Problem(graph, {one.node: one for one in evidence})
        assert problem.best().points == pytest.approx(fewest_points(graph, evidence), abs=1e-9)
        assert found.points <= problem.best().points + 0.05 + 1e-9


def by_integer_program(problem: Problem) -> float:
    """Open or not for each cause, one explanation for each flag; scipy's milp (HiGHS)."""
    causes, flags = list(problem.candidates), problem.flags
    base, _ = problem.free
    opening = np.array([problem.opening(cause) for cause in causes])
    rows = np.array([problem.candidates[cause] for cause in causes]).reshape(len(causes), len(flags))
    costs = np.concatenate([opening, base, np.where(np.isfinite(rows), rows, 1e3).ravel()])
    variables = len(costs)
    each, only_open = [], []
    for index in range(len(flags)):
        row = np.zeros(variables)
        row[len(causes) + index] = 1
        row[len(causes) + len(flags) + index :: len(flags)] = 1
        each.append(row)
    for place in range(len(causes)):
        for index in range(len(flags)):
            row = np.zeros(variables)
            row[len(causes) + len(flags) + place * len(flags) + index], row[place] = 1, -1
            only_open.append(row)
    limits = [LinearConstraint(np.array(each), 1, 1)]
    if only_open:
        limits.append(LinearConstraint(np.array(only_open), -np.inf, 0))
    answer = milp(costs, constraints=limits, integrality=np.ones(variables), bounds=Bounds(0, 1))
    assert answer.success
    return float(answer.fun)


def test_fewest_points_are_those_of_an_integer_program():
    rng = np.random.default_rng(77)
    tried = 0
    while tried < 60:
        graph, evidence = random_case(rng, size=16)
        problem = Problem(graph, {one.node: one for one in evidence})
        if not problem.flags:
            continue
        assert problem.best().points == pytest.approx(by_integer_program(problem), abs=1e-6)
        tried += 1


def test_shares_are_the_best_products_over_all_paths():
    rng = np.random.default_rng(5)
    for _ in range(60):
        graph, evidence = random_case(rng)
        problem = Problem(graph, {one.node: one for one in evidence})
        known = problem.evidence
        for flag in problem.flags:
            for cause, way in problem.ways[flag].items():
                assert way.share == pytest.approx(share_by_paths(graph, known, cause, flag))
                assert (way.path[0], way.path[-1]) == (cause, flag)


def test_textbook_covering():
    """One disorder that covers all symptoms beats one each: Peng & Reggia 1990, Abductive Inference Models, the idea of
    a parsimonious cover (from memory); with the points of this package."""
    graph = CauseGraph([link("d1 low", f"s{n} low", 0.8) for n in range(4)] + [link("d2 low", "s0 low", 0.8)])
    from tests.metrics.tracing.cases import flag

    found = trace(graph, [flag(f"s{n} low") for n in range(4)])
    assert {one.cause for one in found.flags} == {node("d1 low")}
    assert found.points == pytest.approx(-math.log(0.05) - 4 * math.log(0.8))
    assert found.points < 4 * ON_ITS_OWN


def test_cycle_is_refused_with_its_path():
    with pytest.raises(CyclicGraph) as refused:
        CauseGraph([link("a low", "b low", 0.5), link("b low", "c low", 0.5), link("c low", "a low", 0.2)])
    assert refused.value.path[0] == refused.value.path[-1]
    assert set(refused.value.path) == {node("a low"), node("b low"), node("c low")}
    assert "lead back to themselves" in str(refused.value)


@pytest.mark.parametrize("strength", [0.0, 1.0, -0.1, 1.5])
def test_strength_is_a_chance(strength):
    with pytest.raises(ValueError, match="between 0 and 1"):
        link("a low", "b low", strength)


def test_two_links_of_one_pair_are_refused():
    with pytest.raises(ValueError, match="two links"):
        CauseGraph([link("a low", "b low", 0.5), link("a low", "b low", 0.2)])
