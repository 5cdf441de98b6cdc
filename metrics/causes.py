"""Cause links as stored, and as tracing takes them."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from hashlib import sha256
from uuid import UUID

from metrics.catalogue import load_catalogue
from metrics.catalogue.causes import STRENGTHS, Link
from metrics.models import CauseGraphVersion, CauseLink
from metrics.tracing import CauseGraph, Node
from metrics.tracing import CauseLink as TracedLink

LINK_FIELDS = (
    "effect", "effect_direction", "cause", "cause_direction", "kind", "strength", "reason", "source", "status",
    "both_ways",
)  # fmt: skip
"""What a link says, in the order of its table and of its CSV file."""

PAIR = LINK_FIELDS[:4]
"""What makes a link the one it is."""


def versions_in_force(dates: Collection[datetime.date]) -> Mapping[datetime.date, CauseGraphVersion]:
    """Of each date the newest published version that is valid on it, else the first one; empty where none is published.

    One query.
    """
    published = CauseGraphVersion.objects.filter(status=CauseGraphVersion.Status.PUBLISHED, valid_from__isnull=False)
    versions = [(one.valid_from, one) for one in published.order_by("valid_from", "number") if one.valid_from]
    if not versions:
        return {}
    (_, first), latest_first = versions[0], versions[::-1]
    return {date: next((one for begins, one in latest_first if begins <= date), first) for date in dates}


def graph_for(date: datetime.date) -> tuple[CauseGraph, CauseGraphVersion] | None:
    """The cause graph that applies on the date, with its version; None while no version is published.

    Links to metrics that the catalogue has no more are left out; `retired_links` names them.
    """
    version = versions_in_force([date]).get(date)
    return None if version is None else (graph_of(version), version)


def graph_of(version: CauseGraphVersion) -> CauseGraph:
    """The version ready to trace with. A published version never changes, so it is read once a process."""
    return _published_graph(version.uuid) if version.is_published else _read_graph(version)


@lru_cache(maxsize=8)
def _published_graph(version_uuid: UUID) -> CauseGraph:
    """By uuid: a primary key can come back for another version when a database is made anew."""
    return _read_graph(CauseGraphVersion.objects.get(uuid=version_uuid))


def _read_graph(version: CauseGraphVersion) -> CauseGraph:
    return traced(to_link(row) for row in version.links.all() if not is_retired(row))


def traced(links: Iterable[Link]) -> CauseGraph:
    """The links as a graph to trace in, with strengths as numbers. Raises metrics.tracing.CyclicGraph."""
    return CauseGraph(
        TracedLink(
            effect=Node(link.effect, link.effect_direction),
            cause=Node(link.cause, link.cause_direction),
            strength=STRENGTHS[link.strength],
            reason=link.reason,
            source=link.source,
        )
        for link in links
    )


def to_link(row: CauseLink) -> Link:
    """The stored link as the catalogue has it."""
    return Link(**{name: getattr(row, name) for name in LINK_FIELDS})


def links_of(version: CauseGraphVersion) -> list[Link]:
    """The version's links in the order of their table."""
    return [to_link(row) for row in version.links.all()]


def digest_of(links: Iterable[Link]) -> str:
    """A short text that differs when a link does: a form carries it to tell whether it shows what is stored."""
    told = sorted(repr([getattr(link, name) for name in LINK_FIELDS]) for link in links)
    return sha256("\n".join(told).encode()).hexdigest()[:16]


def in_words(metric: str, direction: str) -> str:
    """One end of a link as people say it: "Stride length, low"."""
    known = load_catalogue().metrics.get(metric)
    return f"{known.name if known else metric}, {direction}"


def ends_in_words(link: Link) -> str:
    return f"{in_words(*link.cause_end)} → {in_words(*link.effect_end)}"


@dataclass(frozen=True, slots=True)
class Changed:
    """One link that says something else than before; `fields` are those that differ."""

    before: Link
    after: Link
    fields: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Difference:
    added: tuple[Link, ...]
    removed: tuple[Link, ...]
    changed: tuple[Changed, ...]

    @property
    def is_none(self) -> bool:
        return not (self.added or self.removed or self.changed)


def difference(links: Iterable[Link], earlier: Iterable[Link]) -> Difference:
    """What the links say that the earlier ones do not. A link is known by its two ends with their directions."""
    now = {pair_of(link): link for link in links}
    then = {pair_of(link): link for link in earlier}
    changed = []
    for pair, link in now.items():
        if pair in then and (fields := _differing(then[pair], link)):
            changed.append(Changed(then[pair], link, fields))
    return Difference(
        added=tuple(link for pair, link in now.items() if pair not in then),
        removed=tuple(link for pair, link in then.items() if pair not in now),
        changed=tuple(changed),
    )


def pair_of(link: Link) -> tuple[str, ...]:
    return tuple(getattr(link, name) for name in PAIR)


def _differing(before: Link, after: Link) -> tuple[str, ...]:
    return tuple(name for name in LINK_FIELDS if getattr(before, name) != getattr(after, name))


def is_retired(row: CauseLink | Link) -> bool:
    """Whether the catalogue has no more one of the two metrics."""
    metrics = load_catalogue().metrics
    return row.effect not in metrics or row.cause not in metrics


def retired_links(version: CauseGraphVersion) -> list[CauseLink]:
    """The links that tracing leaves out since the catalogue has one of their metrics no more."""
    return [row for row in version.links.all() if is_retired(row)]
