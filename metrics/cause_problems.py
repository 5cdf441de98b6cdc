"""What keeps cause links from being one graph, in sentences."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from metrics.catalogue import load_catalogue
from metrics.catalogue.causes import Link
from metrics.causes import ends_in_words, in_words, pair_of, traced
from metrics.drawing.cause_picture import span_in_delivery
from metrics.tracing import CyclicGraph


def problems_among(links: Sequence[Link]) -> list[str]:
    """Every sentence once; empty when the links can be used together."""
    found = [*_unknown(links), *_itself(links), *_twice(links), *_later(links), *_cycle(links)]
    return list(dict.fromkeys(found))


def _unknown(links: Sequence[Link]) -> Iterator[str]:
    metrics = load_catalogue().metrics
    for link in links:
        for key in (link.effect, link.cause):
            if key in metrics:
                continue
            sides = [name for name in metrics if name.startswith(f"{key}_")]
            hint = f" It has a side: use {' or '.join(sides)}." if sides else ""
            yield f"{ends_in_words(link)}: the catalogue has no metric “{key}”.{hint}"


def _itself(links: Sequence[Link]) -> Iterator[str]:
    for link in links:
        if link.effect == link.cause:
            yield f"{ends_in_words(link)}: a metric cannot be a cause of itself. Choose another cause."


def _twice(links: Sequence[Link]) -> Iterator[str]:
    counts = Counter(pair_of(link) for link in links)
    for link in links:
        if counts[pair_of(link)] > 1:
            yield f"{ends_in_words(link)} stands there {counts[pair_of(link)]} times. Keep one link of the pair."


def _later(links: Sequence[Link]) -> Iterator[str]:
    """By the moments: the earliest one of the cause against the latest one of its effect."""
    catalogue = load_catalogue()
    for link in links:
        first, _ = span_in_delivery(link.cause, catalogue)
        _, last = span_in_delivery(link.effect, catalogue)
        if first > last:
            yield (
                f"{ends_in_words(link)}: the cause comes later in the delivery than its effect. "
                "Turn the link round or take it away."
            )


def _cycle(links: Sequence[Link]) -> Iterator[str]:
    """The first way that leads back to where it began, in words."""
    once = {pair_of(link): link for link in links}
    try:
        traced(once.values())
    except CyclicGraph as error:
        path = " → ".join(in_words(*node) for node in error.path)
        yield f"These causes lead back to themselves: {path}. Take one of these links away or turn it round."
