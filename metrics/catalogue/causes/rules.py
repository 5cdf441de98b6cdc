"""What a graph of causes must keep to: one function a rule, each giving sentences; empty when all is well.

The same rules hold the shipped tables and refuse an edited graph, so every sentence says what, where, what to do.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise

from metrics.catalogue.causes.directions import Sides, starting_sides, why_never
from metrics.catalogue.causes.loading import load_unanswered
from metrics.catalogue.causes.model import NOTHING_IN_LIBRARY, Intervention, Link, Unanswered
from metrics.catalogue.causes.moments import Place, place_of
from metrics.catalogue.model import Catalogue

End = tuple[str, str]

ARM_LOW, LAYBACK_LOW = ("shoulder_external_rotation_fp", "low"), ("shoulder_external_rotation_max", "low")
CHECK_PATHS: tuple[tuple[End, ...], ...] = (
    (("stride_length", "low"), ARM_LOW),
    (("latissimus_length_throwing", "low"), ARM_LOW),
    (("pec_minor_table_distance_throwing", "high"), ARM_LOW),
    (("trunk_opening_time", "low"), ("elbow_flexion_fp", "low")),
    (("shoulder_er_90_throwing", "low"), LAYBACK_LOW),
    (("shoulder_er_insufficiency", "low"), LAYBACK_LOW),
    (("latissimus_length_throwing", "low"), LAYBACK_LOW),
    (("pec_minor_table_distance_throwing", "high"), LAYBACK_LOW),
)
"""The paths that the check values of tracing walk, from cause to effect. Common practice, no published source."""


@dataclass(frozen=True)
class Graph:
    """What the rules look at."""

    links: Sequence[Link]
    interventions: Sequence[Intervention]
    catalogue: Catalogue
    unanswered: Sequence[Unanswered]
    sides: Sides

    def knows(self, *keys: str) -> bool:
        return all(key in self.catalogue.metrics for key in keys)

    def say(self, end: End) -> str:
        """ "Stride length, low" for a sentence; the bare key where the catalogue does not know it."""
        metric = self.catalogue.metrics.get(end[0])
        return f"{metric.name if metric else end[0]}, {end[1]}"

    def say_link(self, link: Link) -> str:
        return f"{self.say(link.cause_end)} → {self.say(link.effect_end)}"

    @cached_property
    def known_links(self) -> list[Link]:
        """Links whose ends the catalogue has; of the others the first rule speaks."""
        return [link for link in self.links if self.knows(link.effect, link.cause)]

    @cached_property
    def effects(self) -> dict[End, list[End]]:
        """Cause → its direct effects."""
        found: defaultdict[End, list[End]] = defaultdict(list)
        for link in self.known_links:
            found[link.cause_end].append(link.effect_end)
        return dict(found)


def problems_of(
    links: Sequence[Link],
    interventions: Sequence[Intervention],
    catalogue: Catalogue,
    *,
    unanswered: Sequence[Unanswered] | None = None,
    sides: Sides | None = None,
) -> list[str]:
    """Every sentence of every rule, in the order of the rules; empty when the graph may be used.

    ``unanswered``: causes for which there is nothing to do, the shipped list unless given. ``sides``: metric → the
    directions that its range rules judge (``directions.sides_of``), those of the starting profiles unless given.
    """
    graph = Graph(
        links,
        interventions,
        catalogue,
        load_unanswered() if unanswered is None else unanswered,
        starting_sides() if sides is None else sides,
    )
    return [sentence for rule in RULES for sentence in rule(graph)]


def ends_are_known(graph: Graph) -> Iterator[str]:
    """Every end is a metric, a screen or a derived screen of the catalogue; screens carry their side in the key."""
    for link in graph.links:
        for key in (link.effect, link.cause):
            if key in graph.catalogue.metrics:
                continue
            sided = [screen.key for screen in graph.catalogue.screens_for(key)]
            hint = f"Name the side: {', '.join(sided)}." if sided else "Name a metric or screen, or take the link away."
            yield f"{graph.say_link(link)}: the catalogue has no metric or screen {key!r}. {hint}"


def directions_can_occur(graph: Graph) -> Iterator[str]:
    """Both ends of a link can be off in the direction that it names."""
    for link in graph.known_links:
        for end in (link.effect_end, link.cause_end):
            why = why_never(graph.catalogue.metric(end[0]), end[1], graph.sides)
            if why:
                yield f"{graph.say_link(link)}: {graph.say(end)} can never be, since {why}. Take the link away."


def effects_are_judged(graph: Graph) -> Iterator[str]:
    """What a link explains can be flagged: styles are shown and context facts are known, neither is judged."""
    for link in graph.known_links:
        effect = graph.catalogue.metric(link.effect)
        if effect.kind == "style" or effect.is_context:
            what = "style" if effect.kind == "style" else "context"
            yield f"{graph.say_link(link)}: {effect.name} is {what}, never flagged. Take the link away."


def causes_can_be_used(graph: Graph) -> Iterator[str]:
    """Outcomes and styles explain nothing."""
    for link in graph.known_links:
        cause = graph.catalogue.metric(link.cause)
        if cause.kind in ("outcome", "style"):
            yield f"{graph.say_link(link)}: {cause.name} is {cause.kind}, which is no cause. Name what lies behind it."


def causes_come_first(graph: Graph) -> Iterator[str]:
    """No cause is surely later than its effect, nor than what its effect goes on to cause."""
    places = {
        key: place_of(graph.catalogue.metric(key), graph.catalogue)
        for link in graph.known_links
        for key in (link.effect, link.cause)
    }
    for start in sorted(graph.effects):
        for path in _too_late(start, graph.effects, places):
            way = " → ".join(graph.say(end) for end in path)
            yield f"{way}: the cause lies after its effect. Turn the link round or take it away."


def _too_late(start: End, effects: dict[End, list[End]], places: dict[str, Place]) -> Iterator[tuple[End, ...]]:
    """Shortest paths from a cause to what is surely over before it begins, along effects that are not."""
    earliest = places[start[0]][0]
    seen = {start}
    paths: list[tuple[End, ...]] = [(start,)]
    while paths:
        path = paths.pop(0)
        for effect in effects.get(path[-1], ()):
            if effect in seen:
                continue
            seen.add(effect)
            if earliest > places[effect[0]][1]:
                yield (*path, effect)
            else:
                paths.append((*path, effect))


def pairs_stand_once(graph: Graph) -> Iterator[str]:
    """One cause in one direction has one link to one effect in one direction."""
    counted = Counter((link.cause_end, link.effect_end) for link in graph.links)
    for (cause, effect), times in counted.items():
        if times > 1:
            yield f"{graph.say(cause)} → {graph.say(effect)} stands {times} times. Keep one of them."


def both_ways_have_a_reason(graph: Graph) -> Iterator[str]:
    """Two metrics with more than one link between them say why, and others do not."""
    counted = Counter(frozenset((link.cause, link.effect)) for link in graph.links)
    for link in graph.links:
        several = counted[frozenset((link.cause, link.effect))] > 1
        if several and not link.both_ways:
            yield f"{graph.say_link(link)}: these two have another link too. Say in both_ways why both hold."
        if link.both_ways and not several:
            yield f"{graph.say_link(link)}: both_ways has a reason, but these two have one link. Empty it."


def nothing_causes_itself(graph: Graph) -> Iterator[str]:
    """No path leads back to where it began."""
    causes: defaultdict[End, list[End]] = defaultdict(list)
    for link in graph.links:
        causes[link.effect_end].append(link.cause_end)
    try:
        tuple(TopologicalSorter(causes).static_order())
    except CycleError as error:
        path = " → ".join(graph.say(end) for end in error.args[1])
        yield f"These causes lead back to themselves: {path}. Take one of the links away."


def starting_points_have_an_answer(graph: Graph) -> Iterator[str]:
    """What may be a starting point has an intervention or is listed as having none, never both."""
    answered = {end for one in graph.interventions for end in one.answers}
    listed = {(one.metric, one.direction) for one in graph.unanswered}
    starts = {end for end in graph.effects if _may_start(graph, end)}
    for end in sorted(starts - answered - listed):
        yield (
            f"{graph.say(end)} may be a starting point and nothing answers it. Add an intervention, or list it with "
            f"its reason as: {NOTHING_IN_LIBRARY}"
        )
    for end in sorted(listed & answered):
        yield f"{graph.say(end)} is listed as without an answer, but has one. Take it from the list."


def _may_start(graph: Graph, end: End) -> bool:
    metric = graph.catalogue.metric(end[0])
    return metric.kind in ("mechanic", "screen") and not metric.is_context


def interventions_answer_what_can_be(graph: Graph) -> Iterator[str]:
    """An intervention answers metrics of the catalogue in directions that can occur, and no outcome or style."""
    for one in graph.interventions:
        for end in one.answers:
            metric = graph.catalogue.metrics.get(end[0])
            if metric is None:
                yield f"{one.name}: the catalogue has no metric or screen {end[0]!r}. Name one that it has."
            elif metric.kind in ("outcome", "style"):
                yield f"{one.name}: {metric.name} is {metric.kind}, never worked on. Name what lies behind it."
            elif why := why_never(metric, end[1], graph.sides):
                yield f"{one.name}: {graph.say(end)} can never be, since {why}. Name the other direction."


def check_paths_stand(graph: Graph) -> Iterator[str]:
    """Every check value of tracing can be reached by its named path."""
    pairs = {(link.cause_end, link.effect_end) for link in graph.links}
    for path in CHECK_PATHS:
        if any(step not in pairs for step in pairwise(path)):
            way = " → ".join(graph.say(end) for end in path)
            yield f"{way}: this path is needed for a check of tracing and is not there. Put its link back."


RULES: tuple[Callable[[Graph], Iterable[str]], ...] = (
    ends_are_known,
    pairs_stand_once,
    directions_can_occur,
    effects_are_judged,
    causes_can_be_used,
    causes_come_first,
    both_ways_have_a_reason,
    nothing_causes_itself,
    starting_points_have_an_answer,
    interventions_answer_what_can_be,
    check_paths_stand,
)
