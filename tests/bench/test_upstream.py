"""The simulation behind docs/tracing.md, small: what it counts, and that tracing clears more than a simple rule."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import binomtest

from bench.planted import Athlete, World, active, athlete, shipped_graph, true_links
from bench.upstream import ratio_interval, run, wilson
from metrics.tracing import Node

A, B, C = (Node(name, "low") for name in "abc")


def simulated(*sources: Node, fired: dict[Node, tuple[Node, ...]]) -> Athlete:
    return Athlete(frozenset(), frozenset(sources), fired, active(frozenset(sources), fired), ())


def test_putting_a_cause_right_clears_what_it_alone_keeps_up():
    assert simulated(A, fired={A: (B,), B: (C,)}).cleared_by(A) == {A, B, C}
    assert simulated(A, C, fired={A: (B,), C: (B,)}).cleared_by(A) == {A}


def test_flag_whose_cause_stays_comes_back():
    one = simulated(A, fired={A: (B,), B: (C,)})
    assert one.cleared_by(B) == frozenset()
    both = simulated(A, B, fired={A: (B,), B: (C,)})
    assert both.cleared_by(B) == frozenset()


def test_true_graph_differs_as_stated():
    world, rng = World(shipped_graph()), np.random.default_rng(4)
    shipped = {(link.cause, link.effect): link.strength for link in world.graph.links}
    kept, wrong = 0, 0
    for _ in range(50):
        for link in true_links(world, rng):
            strength = shipped.get((link.cause, link.effect))
            kept, wrong = kept + (strength is not None), wrong + (strength is None)
            assert world.place[link.cause] < world.place[link.effect]
    of = 50 * len(shipped)
    assert kept / of == pytest.approx(0.70, abs=0.02)
    assert wrong / of == pytest.approx(0.10, abs=0.02)


def test_three_in_ten_metrics_are_not_measured_and_what_is_planted_is_off():
    world, rng = World(shipped_graph()), np.random.default_rng(5)
    made = [athlete(world, rng) for _ in range(100)]
    assert {len(one.planted) for one in made} == {1, 2}
    assert all(one.planted <= one.sources <= one.off for one in made)
    missing = np.mean([evidence.p_flag is None for one in made for evidence in one.evidence])
    assert missing == pytest.approx(0.30, abs=0.02)


def test_interval_of_a_share_is_that_of_a_statistics_library():
    for hits, of in ((0, 10), (7, 20), (360, 1000)):
        expected = binomtest(hits, of).proportion_ci(method="wilson")
        assert wilson(hits, of) == (pytest.approx(hits / of), pytest.approx(expected.low), pytest.approx(expected.high))


def test_interval_of_a_ratio_holds_it():
    rng = np.random.default_rng(6)
    bottom = rng.uniform(1, 5, 400)
    share, low, high = ratio_interval(bottom * rng.binomial(1, 0.4, 400), bottom)
    assert low < share < high
    assert (low, high) == (pytest.approx(0.4, abs=0.1), pytest.approx(0.4, abs=0.1))


def test_first_root_clears_more_flagged_weight_than_the_better_simple_rule():
    results = run(athletes=400)
    share, low, _ = results.margin()
    assert share > 0
    assert low > 0
