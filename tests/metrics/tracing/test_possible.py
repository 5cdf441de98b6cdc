"""Everything that could stand behind a finding, as a page draws it."""

from __future__ import annotations

import numpy as np
import pytest

from metrics.tracing import CauseGraph, State, possible_causes, possible_causes_of, trace
from tests.metrics.tracing.cases import flag, in_range, link, node, open_at, random_case

ARM, TRUNK, STRIDE, LATS = "external_rotation low", "trunk_opening low", "stride_length low", "latissimus low"
GRAPH = CauseGraph(
    [link(TRUNK, ARM, 0.5), link(STRIDE, TRUNK, 0.8), link(LATS, ARM, 0.2), link("hip low", STRIDE, 0.5)]
)


def found(*evidence):
    return [(one.node, one.share, one.state) for one in possible_causes(GRAPH, evidence, node(ARM))]


def test_every_cause_has_its_share_and_state_the_largest_share_first():
    assert found(flag(ARM), flag(TRUNK), open_at(STRIDE, 0.4), in_range(LATS, kind="screen")) == [
        (node(TRUNK), 0.5, State.FLAGGED),
        (node(STRIDE), pytest.approx(0.4), State.OPEN),
        (node("hip low"), pytest.approx(0.2), State.UNMEASURED),
        (node(LATS), 0.2, State.CONTRADICTED),
    ]


def test_path_leads_from_the_cause_to_the_flag():
    causes = {one.node: one.path for one in possible_causes(GRAPH, [flag(ARM)], node(ARM))}
    assert causes[node("hip low")] == (node("hip low"), node(STRIDE), node(TRUNK), node(ARM))


def test_contradicted_mechanic_is_named_and_nothing_beyond_it():
    assert [one[0] for one in found(flag(ARM), in_range(TRUNK))] == [node(TRUNK), node(LATS)]


def test_outcomes_and_styles_are_no_causes():
    assert [one[0] for one in found(flag(ARM), flag(TRUNK, kind="style"), flag(LATS, kind="outcome"))] == [
        node(STRIDE),
        node("hip low"),
    ]


def test_finding_in_range_has_its_possible_causes_too():
    assert found(in_range(ARM))[0][0] == node(TRUNK)


def test_finding_that_no_link_names_has_none():
    assert possible_causes(GRAPH, [], node("glove_drift high")) == ()


def test_cause_that_the_trace_chose_is_among_them_with_the_same_share_and_path():
    rng = np.random.default_rng(2)
    seen = 0
    for _ in range(80):
        graph, evidence = random_case(rng, size=10)
        explained = [one for one in trace(graph, evidence).flags if one.cause]
        possible = possible_causes_of(graph, evidence, [one.flag for one in explained])
        for one in explained:
            same = next(other for other in possible[one.flag] if other.node == one.cause)
            assert (same.share, same.path) == (one.share, one.path)
            seen += 1
    assert seen > 50
