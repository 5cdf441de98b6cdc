"""The rules of tracing, one by one; docs/tracing.md works the example of the first test by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from metrics.tracing import CauseGraph, Evidence, trace
from tests.metrics.tracing.cases import (
    ALONE,
    flag,
    in_range,
    link,
    node,
    open_at,
    random_case,
    unmeasured,
)

STRIDE, ARM, ELBOW, TRUNK = "stride_length low", "external_rotation low", "elbow_flexion low", "trunk_opening low"
LATS = "latissimus low"
GRAPH = CauseGraph(
    [
        link(STRIDE, ARM, 0.5),
        link(LATS, ARM, 0.5),
        link(TRUNK, ELBOW, 0.5),
        link(STRIDE, TRUNK, 0.5),
    ]
)


def cause_of(found, text: str):
    return next(one.cause for one in found.flags if one.flag == node(text))


def test_worked_example():
    found = trace(
        GRAPH, [flag(STRIDE, weight=7), flag(ARM, weight=8), flag(TRUNK, weight=8), in_range(LATS, kind="screen")]
    )
    assert found.points == pytest.approx(ALONE - 2 * math.log(0.5))
    assert (cause_of(found, ARM), cause_of(found, TRUNK), cause_of(found, STRIDE)) == (node(STRIDE), node(STRIDE), None)
    assert (found.starting_point, found.heading) == (node(STRIDE), "itself")
    (root,) = found.roots
    need = 0.5 * 0.9 / (1 - 0.5 * 0.9)
    assert root.clears[node(ARM)] == pytest.approx(need)
    assert root.clears[node(STRIDE)] == pytest.approx(0.9)
    assert root.expected == pytest.approx(7 * 0.9 + 8 * need + 8 * need)


def test_one_flag_never_conjures_up_an_unmeasured_cause():
    strong = CauseGraph([link(STRIDE, ARM, 0.8)])
    found = trace(strong, [flag(ARM)])
    assert cause_of(found, ARM) is None
    assert (found.starting_point, found.heading) == (node(ARM), "cause not known yet")
    assert [check.node for check in found.check_next] == [node(STRIDE)]


def test_two_moderate_effects_do_and_it_is_a_suspicion_that_heads_check_next():
    two = CauseGraph([link(STRIDE, ARM, 0.5), link(STRIDE, ELBOW, 0.5)])
    found = trace(two, [flag(ARM), flag(ELBOW)])
    assert found.points == pytest.approx(-math.log(0.05) - 2 * math.log(0.5))
    assert [root.node for root in found.roots] == [node(STRIDE)]
    assert found.roots[0].is_suspicion
    assert found.starting_point is None
    assert found.check_next[0].node == node(STRIDE)


def test_cause_that_is_flagged_itself_costs_nothing_to_use():
    found = trace(CauseGraph([link(STRIDE, ARM, 0.2)]), [flag(ARM), flag(STRIDE)])
    assert found.points == pytest.approx(ALONE - math.log(0.2))
    assert found.starting_point == node(STRIDE)


@pytest.mark.parametrize(("p_flag", "counted"), [(0.5, 0.5), (0.95, 0.80), (0.001, 0.02)])
def test_doubted_cause_costs_by_its_chance_within_bounds(p_flag, counted):
    graph = CauseGraph([link(STRIDE, f"m{n} low", 0.8) for n in range(3)])
    found = trace(graph, [open_at(STRIDE, p_flag), *(flag(f"m{n} low") for n in range(3))])
    expected = min(3 * ALONE, -math.log(counted) - 3 * math.log(0.8))
    assert found.points == pytest.approx(expected)


def test_contradicted_cause_cannot_be_used():
    graph = CauseGraph([link(STRIDE, f"m{n} low", 0.8) for n in range(3)])
    found = trace(graph, [in_range(STRIDE), *(flag(f"m{n} low") for n in range(3))])
    assert {one.cause for one in found.flags} == {None}


def test_cause_that_is_out_on_the_other_side_cannot_be_used():
    graph = CauseGraph([link(STRIDE, f"m{n} low", 0.8) for n in range(3)])
    other = Evidence(node(STRIDE), "mechanic", False, 0.0, 0.1, 0.95, is_other_side=True)
    assert {one.cause for one in trace(graph, [other, *(flag(f"m{n} low") for n in range(3))]).flags} == {None}


@pytest.mark.parametrize(("kind", "reaches"), [("mechanic", False), ("screen", True)])
def test_path_does_not_lead_through_a_contradicted_mechanic(kind, reaches):
    chain = CauseGraph([link(STRIDE, TRUNK, 0.8), link(TRUNK, ELBOW, 0.8)])
    found = trace(chain, [flag(STRIDE), flag(ELBOW), in_range(TRUNK, kind=kind)])
    assert (cause_of(found, ELBOW) == node(STRIDE)) == reaches


def test_unflagged_cause_pays_for_effects_that_it_should_have_had():
    graph = CauseGraph([link(STRIDE, f"m{n} low", 0.8) for n in range(4)])
    flags = [flag(f"m{n} low") for n in range(3)]
    without = trace(graph, [open_at(STRIDE, 0.5), *flags])
    with_one = trace(graph, [open_at(STRIDE, 0.5), *flags, in_range("m3 low")])
    assert with_one.points == pytest.approx(without.points - math.log(1 - 0.8))
    assert with_one.roots[0].absent == (node("m3 low"),)


def test_context_explains_and_is_never_the_starting_point():
    graph = CauseGraph([link("age low", ARM, 0.8), link("age low", ELBOW, 0.8)])
    found = trace(graph, [flag("age low", kind="context", weight=0), flag(ARM), flag(ELBOW)])
    assert {cause_of(found, ARM), cause_of(found, ELBOW)} == {node("age low")}
    assert found.starting_point is None


@pytest.mark.parametrize("kind", ["outcome", "style"])
def test_outcomes_and_styles_are_never_roots(kind):
    found = trace(CauseGraph([]), [flag("torque high", kind=kind)])
    assert found.roots == ()
    assert found.starting_point is None
    assert found.unexplained == (node("torque high"),)


def test_outcome_on_its_own_stands_beside_a_root_and_never_becomes_one():
    found = trace(CauseGraph([link(STRIDE, ARM, 0.8)]), [flag(ARM), flag(STRIDE), flag("torque high", kind="outcome")])
    assert [root.node for root in found.roots] == [node(STRIDE)]
    assert found.unexplained == (node("torque high"),)
    assert node("torque high") not in found.roots[0].clears


def test_flagged_outcome_explains_nothing():
    found = trace(CauseGraph([link("speed high", ARM, 0.8)]), [flag(ARM), flag("speed high", kind="outcome")])
    assert cause_of(found, ARM) is None


def test_only_mechanics_and_screens_are_starting_points_and_outcomes_and_styles_no_roots():
    rng = np.random.default_rng(41)
    seen = 0
    for _ in range(300):
        graph, evidence = random_case(rng, size=10)
        kinds = {one.node: one.kind for one in evidence}
        found = trace(graph, evidence)
        assert {kinds.get(root.node, "mechanic") for root in found.roots} <= {"mechanic", "screen", "context"}
        assert found.starting_point is None or kinds[found.starting_point] in ("mechanic", "screen")
        named = {one.flag for one in found.flags if one.cause is None}
        seen += any(kinds[one] == "outcome" for one in named)
    assert seen > 20


@pytest.mark.parametrize("factor", [2, 0.5])
def test_scaling_all_weights_changes_nothing_but_the_sums(factor):
    rng = np.random.default_rng(12)
    for _ in range(60):
        graph, evidence = random_case(rng, size=10)
        scaled = [replace(one, weight=factor * one.weight) for one in evidence]
        one, two = trace(graph, evidence), trace(graph, scaled)
        assert replace(two, roots=()) == replace(one, roots=())
        for root, other in zip(one.roots, two.roots, strict=True):
            assert other.expected == pytest.approx(factor * root.expected)
            assert replace(other, expected=0.0) == replace(root, expected=0.0)


def test_weight_and_severity_never_explain():
    rng = np.random.default_rng(13)
    for _ in range(60):
        graph, evidence = random_case(rng, size=10)
        even = [replace(one, weight=3.0, severity=1.0) for one in evidence]
        assert trace(graph, evidence).points == pytest.approx(trace(graph, even).points, abs=0.05)


def test_order_in_which_links_and_findings_come_changes_nothing():
    rng = np.random.default_rng(9)
    for _ in range(60):
        graph, evidence = random_case(rng, size=12)
        links, findings = rng.permutation(np.array(graph.links, dtype=object)), rng.permutation(len(evidence))
        assert trace(CauseGraph(links), [evidence[place] for place in findings]) == trace(graph, evidence)


def test_equal_points_and_roots_go_to_the_greater_weight_and_then_to_the_name():
    graph = CauseGraph([link(one, effect, 0.5) for one in ("a low", "b low") for effect in (ARM, ELBOW)])
    flags = [flag(ARM), flag(ELBOW)]

    def chosen(heavier: str) -> list[object]:
        unsure = [replace(open_at(one, 0.5), weight=7 if one == heavier else 5) for one in ("a low", "b low")]
        return [root.node for root in trace(graph, [*flags, *unsure]).roots]

    assert chosen("b low") == [node("b low")]
    assert chosen("a low") == chosen("") == [node("a low")]


def test_equal_points_go_to_fewer_roots():
    """A flag that a cause explains with a share of a tenth costs what it costs on its own."""
    found = trace(CauseGraph([link(STRIDE, TRUNK, 0.2), link(TRUNK, ARM, 0.5)]), [flag(STRIDE), flag(ARM)])
    assert cause_of(found, ARM) == node(STRIDE)
    assert len(found.roots) == 1


def test_equal_shares_go_to_the_longer_path():
    graph = CauseGraph([link("a low", ARM, 0.25), link("b low", "a low", 0.5), link("b low", ARM, 0.125)])
    found = trace(graph, [flag("b low"), flag(ARM)])
    assert next(one.path for one in found.flags if one.flag == node(ARM)) == (node("b low"), node("a low"), node(ARM))


def test_equal_shares_of_two_known_causes_go_to_the_longer_path():
    """Both are there; the one further upstream explains it."""
    graph = CauseGraph([link("a low", ARM, 0.5), link("b low", "c low", 0.625), link("c low", ARM, 0.8)])
    assert cause_of(trace(graph, [flag("a low"), flag("b low"), flag(ARM)]), ARM) == node("b low")


def test_metric_that_is_flagged_the_other_way_is_not_unmeasured():
    graph = CauseGraph([link(STRIDE, f"m{n} low", 0.8) for n in range(3)])
    found = trace(graph, [flag("stride_length high"), *(flag(f"m{n} low") for n in range(3))])
    assert {one.cause for one in found.flags} == {None}
    assert found.check_next == ()


def test_root_names_what_speaks_against_it():
    graph = CauseGraph([link(STRIDE, one, 0.5) for one in (ARM, ELBOW, TRUNK)] + [link(ELBOW, "lag high", 0.5)])
    other = Evidence(node(TRUNK), "mechanic", False, 0.0, 0.05, 0.0, is_other_side=True)
    found = trace(graph, [flag(STRIDE), flag(ARM), in_range(ELBOW), other, flag("lag high")])
    root = next(root for root in found.roots if root.node == node(STRIDE))
    assert (root.absent, root.opposed, root.blocked) == ((node(ELBOW),), (node(TRUNK),), (node("lag high"),))


def test_runner_up_is_the_other_first_root_and_how_far_it_is_behind():
    graph = CauseGraph([link(one, effect, 0.5) for one in ("a low", "b low") for effect in (ARM, ELBOW)])
    unsure = [open_at("a low", 0.6), open_at("b low", 0.3)]
    found = trace(graph, [flag(ARM), flag(ELBOW), *unsure])
    assert found.starting_point == node("a low")
    assert found.runner_up == (node("b low"), pytest.approx(math.log(0.6 / 0.3)))
    assert found.is_close


def test_close_call_when_another_first_root_is_near():
    graph = CauseGraph([link("a low", ARM, 0.5), link("b low", ARM, 0.5)])
    near = trace(graph, [flag("a low", weight=5.0), flag("b low", weight=5.1), flag(ARM)])
    assert {root.node for root in near.roots} == {node("a low"), node("b low")}
    alone = trace(CauseGraph([link("a low", ARM, 0.8)]), [flag("a low"), flag(ARM)])
    assert alone.starting_point == node("a low")
    assert not alone.is_close


def test_check_next_is_worth_points_times_chance():
    found = trace(CauseGraph([link(STRIDE, ARM, 0.8), link(LATS, ARM, 0.5)]), [flag(ARM), open_at(LATS, 0.1)])
    worth = {check.node: check.worth for check in found.check_next}
    assert worth[node(STRIDE)] == pytest.approx(0.05 * (ALONE + math.log(0.8)))
    assert node(LATS) not in worth or worth[node(LATS)] > 0
    assert len(found.check_next) <= 3


def test_nothing_flagged_is_an_empty_trace():
    found = trace(GRAPH, [in_range(ARM), unmeasured(LATS)])
    assert (found.flags, found.roots, found.starting_point) == ((), (), None)


def test_finding_that_no_link_names_stands_on_its_own():
    found = trace(GRAPH, [flag("glove_drift high")])
    assert (found.starting_point, found.heading) == (node("glove_drift high"), "itself")


def test_athlete_with_every_metric_flagged_is_traced():
    rng = np.random.default_rng(3)
    names = [f"m{number} low" for number in range(64)]
    links = [link(names[a], names[b], 0.5) for a in range(64) for b in range(a + 1, 64) if rng.random() < 0.05]
    found = trace(CauseGraph(links), [flag(name) for name in names])
    assert len(found.flags) == 64
    assert found.starting_point


def test_a_fact_of_the_person_is_nothing_to_measure_next():
    graph = CauseGraph([link("age high", "arm low", 0.5), link("hip low", "arm low", 0.5)])
    found = trace(
        graph, [flag("arm low"), unmeasured("age high", kind="context"), unmeasured("hip low", kind="screen")]
    )
    assert [check.node for check in found.check_next] == [node("hip low")]
