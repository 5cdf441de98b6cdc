"""Shares and what would clear, against exact inference by a general-purpose Bayesian-network library (pybbn).

A noisy-or (Pearl 1988) is a network in which every cause that is there fires or not by itself, and the effect is on
when any of them fired. The library gets exactly these nodes; products of ours are held against its posteriors.
"""

from __future__ import annotations

import math
from itertools import product

import numpy as np
import pytest
from pybbn.graph.dag import Bbn
from pybbn.graph.edge import Edge, EdgeType
from pybbn.graph.jointree import EvidenceBuilder
from pybbn.graph.node import BbnNode
from pybbn.graph.variable import Variable
from pybbn.pptc.inferencecontroller import InferenceController

from metrics.tracing import CauseGraph, Node, trace
from metrics.tracing.explaining import Problem
from tests.metrics.tracing.cases import flag, link, node, random_case

BY_CHANCE = 0.10


class Network:
    """Nodes that are off ("n") or on ("y"); `gate` is the chance of being on for each combination of the parents."""

    def __init__(self) -> None:
        self.net, self.nodes = Bbn(), {}

    def add(self, name: str, parents: list[str], gate) -> str:
        table = []
        for states in product([0, 1], repeat=len(parents)):
            on = gate(states)
            table += [1 - on, on]
        made = BbnNode(Variable(len(self.nodes), name, ["n", "y"]), table)
        self.net.add_node(made)
        for parent in parents:
            self.net.add_edge(Edge(self.nodes[parent], made, EdgeType.DIRECTED))
        self.nodes[name] = made
        return name

    def chance(self, name: str, **given: str) -> float:
        tree = InferenceController.apply(self.net)
        for known, value in given.items():
            seen = EvidenceBuilder().with_node(tree.get_bbn_node_by_name(known)).with_evidence(value, 1.0).build()
            tree.set_observation(seen)
        return float(tree.get_posteriors()[name]["y"])


def noisy_or(graph: CauseGraph) -> tuple[Network, dict[Node, str]]:
    """The whole graph, causes without a cause of their own on in half of the cases, and nothing by chance."""
    network, names = Network(), {one: f"v{number}" for number, one in enumerate(graph.order)}
    for one in graph.order:
        links = graph.causes.get(one, [])
        strengths = [each.strength for each in links]

        def gate(states, strengths=strengths):
            return 1 - math.prod(1 - s for s, on in zip(strengths, states, strict=True) if on) if strengths else 0.5

        network.add(names[one], [names[each.cause] for each in links], gate)
    return network, names


def on_by_cause_alone(graph: CauseGraph, cause: Node, effect: Node) -> float:
    network, names = noisy_or(graph)
    origins = {one: "n" for one in graph.order if not graph.causes.get(one)} | {cause: "y"}
    return network.chance(names[effect], **{names[one]: value for one, value in origins.items()})


def test_share_is_the_chance_of_the_effect_by_the_cause_alone_where_one_path_leads():
    """In a random tree one path leads from the top to anything."""
    rng = np.random.default_rng(21)
    for _ in range(12):
        names = [f"m{n} low" for n in range(8)]
        above = [int(rng.integers(n)) for n in range(1, 8)]
        graph = CauseGraph(
            [link(names[up], names[n], float(rng.choice([0.2, 0.5, 0.8]))) for n, up in enumerate(above, 1)]
        )
        problem = Problem(graph, {one.node: one for one in map(flag, names)})
        for name in names[1:]:
            expected = on_by_cause_alone(graph, node(names[0]), node(name))
            assert problem.share(node(names[0]), node(name)) == pytest.approx(expected, abs=1e-9)


def test_share_is_at_most_that_chance_where_several_paths_lead():
    """The best path is a lower bound: the trace never claims more for a cause than the whole network would."""
    rng = np.random.default_rng(22)
    less = 0
    for _ in range(25):
        graph, _ = random_case(rng, size=7)
        top = graph.order[0] if graph.order else None
        problem = Problem(graph, {one: flag(" ".join(one)) for one in graph.order})
        for effect in problem.flags:
            if top and effect != top and problem.share(top, effect):
                whole = on_by_cause_alone(graph, top, effect)
                assert problem.share(top, effect) <= whole + 1e-9
                less += problem.share(top, effect) < whole - 1e-6
    assert less > 10


def goes_off_without(shares: list[float], root: int) -> float:
    """Chance that a flag which is on would be off had this root been put right: a network of both worlds.

    Each root fires by its share, chance by 0.10, the same in both worlds; the second world lacks the root.
    """
    network = Network()
    fired = [network.add(f"f{n}", [], lambda _, s=s: s) for n, s in enumerate([*shares, BY_CHANCE])]
    network.add("flag", fired, lambda states: float(any(states)))
    network.add("without", fired[:root] + fired[root + 1 :], lambda states: float(any(states)))
    return 1 - network.chance("without", flag="y")


def test_what_clears_is_the_chance_that_the_flag_would_not_be_there_without_the_root():
    """Expected disablement (Richens et al. 2020, from memory): flag on, and off in the world without the root."""
    rng = np.random.default_rng(23)
    compared = shared = 0
    for _ in range(60):
        graph, evidence = random_case(rng, size=9)
        problem = Problem(graph, {one.node: one for one in evidence})
        roots = trace(graph, evidence).roots
        for place, root in enumerate(roots):
            for effect in problem.flags:
                shares = [problem.share(other.node, effect) for other in roots]
                if shares[place]:
                    expected = goes_off_without(shares, place)
                    assert root.clears.get(effect, 0.0) == pytest.approx(expected, abs=1e-9)
                    compared, shared = compared + 1, shared + (sum(share > 0 for share in shares) > 1)
    assert compared > 100
    assert shared > 20


def test_chance_of_a_flag_by_several_roots_is_the_product_form():
    """1 − 0.90·Π(1 − share), the denominator of what clears."""
    network = Network()
    fired = [network.add(f"f{n}", [], lambda _, s=s: s) for n, s in enumerate([0.5, 0.2, 0.8, BY_CHANCE])]
    network.add("flag", fired, lambda states: float(any(states)))
    assert network.chance("flag") == pytest.approx(1 - 0.9 * 0.5 * 0.8 * 0.2)
