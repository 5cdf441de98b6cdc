"""Simulated athletes of whom is known what lies upstream: one or two planted causes, and what they bring about.

What is assumed, and was fixed before the first result was looked at:

- **The true graph** differs from the one that traces, anew for each athlete: of its links 20% are missing and 10% lead
  to another, later effect; the strength of each is off by up to 0.3 (uniform; kept within 0.05 and 0.95).
- **Planted** are one or two mechanics or screens (half and half) that have an effect in the true graph. A link fires
  with its strength; what an active cause reaches by links that fired is off. A metric is off in one direction only.
- **Values** in SD of the population: target ± 1, flag limits ± 2. What is off lies beyond the limit by an exponential
  of mean 0.5; everything else is ordinary variety, standard normal, so that 2.3% a side are truly beyond the limit by
  chance. These bring nothing else about. (With an SD of 0.5 hardly any are: what that changes is told beside it.)
- **Measured** with a standard uncertainty of 0.2 to 0.6 SD (uniform) and judged by `metrics.judging`; 30% of the
  metrics are not measured at all, screens like mechanics.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from metrics.catalogue import load_catalogue
from metrics.catalogue.causes import STRENGTHS, load_links
from metrics.judging.severity import severity
from metrics.judging.values import Limits
from metrics.judging.verdicts import judge
from metrics.tracing import CauseGraph, CauseLink, Evidence, Node

MISSING_LINKS, WRONG_LINKS, STRENGTH_OFF = 0.20, 0.10, 0.3
NOT_MEASURED = 0.30
BEYOND_SD = 0.5
VARIETY_SD = 1.0
U_OVER_SD = (0.2, 0.6)
LIMITS = Limits(-1.0, 1.0, -2.0, 2.0)


def shipped_graph() -> CauseGraph:
    return CauseGraph(
        CauseLink(Node(*one.effect_end), Node(*one.cause_end), STRENGTHS[one.strength]) for one in load_links()
    )


def kind_of(metric_key: str) -> str:
    metric = load_catalogue().metric(metric_key)
    return "context" if metric.is_context else metric.kind


@dataclass(frozen=True)
class World:
    """The graph that traces, and what the catalogue says of its metrics."""

    graph: CauseGraph
    variety_sd: float = VARIETY_SD

    @cached_property
    def metrics(self) -> tuple[str, ...]:
        return tuple(sorted({node.metric for node in self.graph.order}))

    @cached_property
    def kinds(self) -> Mapping[str, str]:
        return {metric: kind_of(metric) for metric in self.metrics}

    @cached_property
    def weights(self) -> Mapping[str, float]:
        return {metric: load_catalogue().metric(metric).weight for metric in self.metrics}

    @cached_property
    def place(self) -> Mapping[Node, int]:
        """Causes before effects."""
        return {node: index for index, node in enumerate(self.graph.order)}


@dataclass(frozen=True)
class Athlete:
    """``sources``: what is off of itself, planted or by chance. ``fired``: cause → effects that it brings about."""

    planted: frozenset[Node]
    sources: frozenset[Node]
    fired: Mapping[Node, tuple[Node, ...]]
    off: frozenset[Node]
    evidence: tuple[Evidence, ...]

    @property
    def flags(self) -> list[Evidence]:
        return [one for one in self.evidence if one.flagged]

    def cleared_by(self, root: Node) -> frozenset[Node]:
        """What is no longer off when this root is put right. What another cause keeps up comes back."""
        if root not in self.sources:
            return frozenset()
        return self.off - active(self.sources - {root}, self.fired)


def active(sources: frozenset[Node], fired: Mapping[Node, tuple[Node, ...]]) -> frozenset[Node]:
    """Everything that these bring about, themselves included."""
    seen, waiting = set(sources), list(sources)
    while waiting:
        for effect in fired.get(waiting.pop(), ()):
            if effect not in seen:
                seen.add(effect)
                waiting.append(effect)
    return frozenset(seen)


def true_links(world: World, rng: np.random.Generator) -> list[CauseLink]:
    """The links as they truly are for one athlete."""
    order = world.graph.order
    fate = rng.random(len(world.graph.links))
    found: dict[tuple[Node, Node], CauseLink] = {}
    for link, drawn in zip(world.graph.links, fate, strict=True):
        strength = float(np.clip(link.strength + rng.uniform(-STRENGTH_OFF, STRENGTH_OFF), 0.05, 0.95))
        effect = link.effect
        if drawn < MISSING_LINKS:
            continue
        if drawn < MISSING_LINKS + WRONG_LINKS:
            later = order[world.place[link.cause] + 1 :]
            effect = later[rng.integers(len(later))]
        if effect.metric != link.cause.metric:
            found[link.cause, effect] = CauseLink(effect, link.cause, strength)
    return list(found.values())


def athlete(world: World, rng: np.random.Generator) -> Athlete:
    links = true_links(world, rng)
    able = sorted({link.cause for link in links if world.kinds[link.cause.metric] in ("mechanic", "screen")})
    count = 1 + int(rng.random() < 0.5)
    planted = {able[place] for place in rng.choice(len(able), count, replace=False)}
    planted = {node for node in planted if Node(node.metric, "low") == node or Node(node.metric, "low") not in planted}
    fired: dict[Node, tuple[Node, ...]] = {}
    off = set(planted)
    ordered = sorted(links, key=lambda link: (world.place[link.cause], world.place[link.effect]))
    for link in ordered:
        other = Node(link.effect.metric, "high" if link.effect.direction == "low" else "low")
        if link.cause in off and rng.random() < link.strength and other not in off:
            off.add(link.effect)
            fired[link.cause] = (*fired.get(link.cause, ()), link.effect)
    values = _values(world, off, rng)
    chance = {Node(metric, "low" if value < 0 else "high") for metric, value in values.items() if abs(value) > 2} - off
    sources = frozenset(planted | chance)
    return Athlete(frozenset(planted), sources, fired, frozenset(off | chance), _measured(world, values, rng))


def _values(world: World, off: set[Node], rng: np.random.Generator) -> dict[str, float]:
    drawn = world.variety_sd * rng.standard_normal(len(world.metrics))
    values = dict(zip(world.metrics, drawn.tolist(), strict=True))
    for node in sorted(off):
        beyond = 2.0 + rng.exponential(BEYOND_SD)
        values[node.metric] = -beyond if node.direction == "low" else beyond
    return values


def _measured(world: World, values: Mapping[str, float], rng: np.random.Generator) -> tuple[Evidence, ...]:
    u = rng.uniform(*U_OVER_SD, len(world.metrics))
    mean = np.array([values[metric] for metric in world.metrics]) + u * rng.standard_normal(len(u))
    verdicts = judge(mean, u, np.inf, LIMITS).rows()
    severities = severity(mean, LIMITS)
    missing = rng.random(len(u)) < NOT_MEASURED
    found = []
    for metric, verdict, how_far, is_missing in zip(world.metrics, verdicts, severities, missing, strict=True):
        kind, weight = world.kinds[metric], world.weights[metric]
        for direction in ("low", "high"):
            node = Node(metric, direction)
            if is_missing:
                found.append(Evidence(node, kind, weight=weight))
            elif direction == verdict.near_side:
                is_flag = verdict.zone == "flag" and verdict.sure != "cant_tell"
                chances = (verdict.p_flag, verdict.p_in, verdict.p_out)
                found.append(Evidence(node, kind, is_flag, *chances, severity=float(how_far), weight=weight))
            else:
                is_other = verdict.p_out >= 0.80
                found.append(Evidence(node, kind, False, 0.0, verdict.p_in, 0.0, is_other, weight=weight))
    return tuple(found)
