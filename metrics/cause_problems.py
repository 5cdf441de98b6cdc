"""What keeps cause links from being one graph, in sentences: the rules that the shipped links are held to.

Two of their rules do not bind an installation: that the paths of tracing's own check values stand, and that every
starting point has an answer in the library. The second is told as worth knowing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from metrics.catalogue import load_catalogue
from metrics.catalogue.causes import NOTHING_IN_LIBRARY, Link, load_interventions, load_unanswered, rules
from metrics.catalogue.causes.directions import sides_of, starting_sides
from metrics.causes import ends_in_words, in_words, is_retired
from metrics.models import RangeProfileVersion, RangeRule

Rule = Callable[[rules.Graph], Iterable[str]]

ALWAYS: tuple[Rule, ...] = (
    rules.ends_are_known,
    rules.pairs_stand_once,
    rules.directions_can_occur,
    rules.effects_are_judged,
    rules.causes_can_be_used,
    rules.causes_come_first,
    rules.nothing_causes_itself,
)
"""What holds after every change of one link."""

WHEN_DONE: tuple[Rule, ...] = (rules.both_ways_have_a_reason,)
"""What takes changes of two links to put right, and so is asked for when all are there."""


def problems_among(links: Sequence[Link], *, while_changing: bool = False) -> list[str]:
    """Every sentence once; empty when the links can be used together.

    `while_changing`: without the rules that a single change of a link cannot keep.
    """
    graph = _graph(links)
    asked = ALWAYS if while_changing else (*ALWAYS, *WHEN_DONE)
    return list(dict.fromkeys([*_itself(links), *(sentence for rule in asked for sentence in rule(graph))]))


def _graph(links: Sequence[Link]) -> rules.Graph:
    return rules.Graph(links, load_interventions(), load_catalogue(), load_unanswered(), _sides())


def _sides() -> Mapping[str, frozenset[str]]:
    """The directions that some range judges: of the starting profiles, or of the one in use."""
    fields = ("metric", "target_low", "target_high", "flag_low", "flag_high")
    in_use = RangeRule.objects.filter(
        version__profile__in_use=True, version__status=RangeProfileVersion.Status.PUBLISHED
    )
    found: defaultdict[str, frozenset[str]] = defaultdict(frozenset, starting_sides())
    for metric, sides in sides_of(in_use.values(*fields)).items():
        found[metric] |= sides
    return dict(found)


def _itself(links: Sequence[Link]) -> Iterator[str]:
    """Also low by high: one value cannot be off on both sides."""
    for link in links:
        if link.effect == link.cause:
            yield f"{ends_in_words(link)}: a metric cannot be a cause of itself. Choose another cause."


def worth_knowing(links: Sequence[Link]) -> list[str]:
    """Sentences that keep nothing from being published: links that tracing leaves out, and causes without an answer."""
    retired = [
        f"{ends_in_words(link)} is left out: the catalogue has one of the two no more."
        for link in links
        if is_retired(link)
    ]
    answered = {end for one in load_interventions() for end in one.answers}
    listed = {(one.metric, one.direction) for one in load_unanswered()}
    metrics = load_catalogue().metrics
    causes = dict.fromkeys(link.cause_end for link in links if not is_retired(link))
    starts = [
        end for end in causes if metrics[end[0]].kind in ("mechanic", "screen") and not metrics[end[0]].is_context
    ]
    return retired + [
        f"{in_words(*end)} may be where work starts. {NOTHING_IN_LIBRARY}"
        for end in starts
        if end not in answered | listed
    ]
