"""What coaches said of starting points, and what they may say: answers of this session and of those before."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass

from django.urls import reverse

from metrics.models import StartingPointAnswer
from metrics.selectors.session_rows import SessionRows
from metrics.selectors.session_trace import SessionTrace
from metrics.selectors.session_words import direction_words
from metrics.selectors.trace_words import node_text, node_words
from metrics.tracing import Node
from metrics.tracing.evidence import ROOT_KINDS

Kind = StartingPointAnswer.Kind
SAID = {Kind.ACCEPTED: "took", Kind.REJECTED: "put aside", Kind.OWN: "put first"}


@dataclass(frozen=True, slots=True)
class AnswerView:
    """What a coach said; `url` takes it back, "" where the reader may not or it belongs to another session."""

    words: str
    reason: str
    date: datetime.date
    url: str


def read_answers(rows: SessionRows) -> list[StartingPointAnswer]:
    """Standing answers of this session and of those before it, the latest session first."""
    return list(
        StartingPointAnswer.objects.standing()
        .filter(session__athlete=rows.capture.athlete_id, session__date__lte=rows.capture.date)
        .filter(session__withdrawn_at=None)
        .select_related("session", "given_by")
        .order_by("-session__date", "given_at", "id")
    )


def answer_view(one: StartingPointAnswer, rows: SessionRows, may_change: bool) -> AnswerView:
    node = Node(one.metric, one.direction)
    name = node_words(node, rows) if one.metric in rows.catalogue.metrics else one.metric
    url = reverse("metrics:starting-point-take-back", args=[rows.capture.uuid, one.uuid]) if may_change else ""
    return AnswerView(f"{one.given_by or 'A coach'} {SAID[Kind(one.kind)]} {name}", one.reason, one.session.date, url)


def options_of(rows: SessionRows, traced: SessionTrace) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    """What a coach may put first: what may cause these flags, then every other movement and screen."""
    near = {*traced.flags, *(one.node for found in traced.causes.values() for one in found)}
    may = [
        Node(metric.key, side)
        for metric in rows.catalogue.metrics.values()
        if metric.kind in ROOT_KINDS and not metric.is_context
        for side in ("low", "high")
    ]
    groups: Mapping[str, list[Node]] = {
        "Possible causes of these flags": [node for node in may if node in near],
        "Everything else": [node for node in may if node not in near],
    }
    return tuple(
        (title, tuple((node_text(node), _option_name(node, rows)) for node in nodes)) for title, nodes in groups.items()
    )


def _option_name(node: Node, rows: SessionRows) -> str:
    metric = rows.catalogue.metric(node.metric)
    return f"{metric.name}: {direction_words(metric, node.direction)}"
