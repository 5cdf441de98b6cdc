"""Cause links as stored, and as tracing takes them."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from functools import lru_cache
from uuid import UUID

from metrics.catalogue import load_catalogue
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


STRENGTHS = {"weak": 0.2, "moderate": 0.5, "strong": 0.8}


def version_in_force(date: datetime.date) -> CauseGraphVersion | None:
    """The newest published version that is valid on the date; else the first one."""
    versions = CauseGraphVersion.objects.filter(status=CauseGraphVersion.Status.PUBLISHED)
    return (
        versions.filter(valid_from__lte=date).order_by("-valid_from", "-number").first()
        or versions.order_by("valid_from", "number").first()
    )


def graph_for(date: datetime.date) -> tuple[CauseGraph, CauseGraphVersion] | None:
    """The cause graph that applies on the date, with its version; None while no version is published.

    Links to metrics that the catalogue has no more are left out; `retired_links` names them.
    """
    version = version_in_force(date)
    return None if version is None else (graph_of(version), version)


graph_in_force = graph_for


def graph_of(version: CauseGraphVersion) -> CauseGraph:
    """The version ready to trace with. A published version never changes, so it is read once a process."""
    return _published_graph(version.uuid) if version.is_published else _read_graph(version)


@lru_cache(maxsize=8)
def _published_graph(version_uuid: UUID) -> CauseGraph:
    """By uuid: a primary key can come back for another version when a database is made anew."""
    return _read_graph(CauseGraphVersion.objects.get(uuid=version_uuid))


def _read_graph(version: CauseGraphVersion) -> CauseGraph:
    return traced(row for row in version.links.all() if not is_retired(row))


def traced(links: Iterable[CauseLink]) -> CauseGraph:
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


def is_retired(row: CauseLink) -> bool:
    """Whether the catalogue has no more one of the two metrics."""
    metrics = load_catalogue().metrics
    return row.effect not in metrics or row.cause not in metrics


def retired_links(version: CauseGraphVersion) -> list[CauseLink]:
    """The links that tracing leaves out since the catalogue has one of their metrics no more."""
    return [row for row in version.links.all() if is_retired(row)]
