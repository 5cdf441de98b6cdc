"""How a page names what a trace speaks of: a metric in one direction, with its number, date and method."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from django.urls import reverse

from metrics.catalogue import Metric
from metrics.catalogue.causes import STRENGTHS
from metrics.selectors.session_rows import SessionRows
from metrics.selectors.session_trace import SessionTrace
from metrics.selectors.session_words import SHORT_MOMENTS, direction_words, name_without_moment
from metrics.tracing import Node
from metrics.tracing.evidence import State
from sessions.models import Method

METHOD_WORDS = {**dict(Method.choices), "derived": "computed"}


@dataclass(frozen=True, slots=True)
class Named:
    """A metric in one direction as the pages show it; the names of the verdict are those of the drawing tags.

    `expected`: the word of the direction ("early", "short"). `when`: date and method where it is another session's.
    """

    node: str
    name: str
    expected: str
    unit: str
    decimals: int
    zone: str = ""
    side: str = ""
    sure: str = ""
    other_zone: str = ""
    probability: float | None = None
    perhaps_flag: bool = False
    mean: float | None = None
    date: datetime.date | None = None
    when: str = ""
    url: str = ""

    @property
    def metric(self) -> str:
        return self.node.partition(":")[0]

    @property
    def label(self) -> str:
        return f"{self.name}: {self.expected}" if self.expected else self.name


def named(node: Node, traced: SessionTrace, rows: SessionRows) -> Named:
    metric, piece = rows.catalogue.metric(node.metric), traced.pieces.get(node.metric)
    name, expected = short_name(metric, rows.capture.landing), direction_words(metric, node.direction)
    if piece is None:
        return Named(node_text(node), name, expected, metric.unit, metric.decimals, when="not measured")
    return Named(
        node_text(node),
        name,
        expected,
        metric.unit,
        metric.decimals,
        zone=piece.zone,
        side=piece.side,
        sure=piece.sure,
        other_zone=piece.other_zone,
        probability=piece.probability,
        mean=piece.mean,
        date=piece.date,
        when="" if piece.is_of_session else f"{piece.date:%-d %b %Y}, {METHOD_WORDS.get(piece.method, piece.method)}",
        url=reverse("metrics:finding", args=[rows.capture.uuid, metric.key]) if piece.is_of_session else "",
    )


def node_text(node: Node) -> str:
    """metric:direction, as forms carry it."""
    return f"{node.metric}:{node.direction}"


def node_words(node: Node, rows: SessionRows) -> str:
    """Elbow flexion, touch: straight."""
    metric = rows.catalogue.metric(node.metric)
    return f"{short_name(metric, rows.capture.landing)}: {direction_words(metric, node.direction)}"


def short_name(metric: Metric, landing: str) -> str:
    """The name as lists have it, with the moment in a word where the name had it: Elbow flexion, touch."""
    alone = name_without_moment(metric)
    if alone == metric.name:
        return alone
    moments = [SHORT_MOMENTS[part] for part in metric.moment_for(landing).split("-") if part in SHORT_MOMENTS]
    return f"{alone}, {' to '.join(moments)}" if moments else alone


def strength_word(share: float) -> str:
    """The word whose strength is nearest to a share: weak, moderate, strong."""
    return min(STRENGTHS, key=lambda word: abs(STRENGTHS[word] - share))


def link_words(cause: Node, flag: Node, traced: SessionTrace, rows: SessionRows) -> str:
    """moderate link; by trunk opening time, where the best way runs through something else."""
    way = traced.cause_of(flag, cause)
    if way is None:
        return ""
    if len(way.path) == 2:
        return f"{strength_word(way.share)} link"
    return f"by {rows.catalogue.metric(way.path[-2].metric).short_name.lower()}"


STATE_WORDS = {
    State.FLAGGED: "out of range",
    State.OPEN: "perhaps out of range",
    State.CONTRADICTED: "ruled out",
    State.UNMEASURED: "not measured",
}
