"""The panel that says where to start: its evidence, what it does not explain, and what to measure next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.urls import reverse

from athletes.words import number_word
from metrics.catalogue import Metric
from metrics.models import Finding, StartingPointAnswer
from metrics.selectors.session_rows import SessionRows
from metrics.selectors.session_trace import SessionTrace
from metrics.selectors.session_words import joined
from metrics.selectors.starting_point_answers import AnswerView, Kind, answer_view, options_of, read_answers
from metrics.selectors.trace_words import Named, link_words, named, node_text, node_words
from metrics.tracing import Node, Root
from metrics.tracing.asked import CAUSE_NOT_KNOWN, heading_of, root_of

Answers = Sequence[StartingPointAnswer]

EARLIER_ANSWERS = 3
"""Answers of earlier sessions that are shown again, the latest first."""


@dataclass(frozen=True, slots=True)
class Cleared:
    """A flag that should clear when the start is put right. `through`: in words, "" for the flag itself."""

    flag: Named
    share: float
    through: str


@dataclass(frozen=True, slots=True)
class CheckView:
    """Something to measure next. `url`: the form that begins it, "" where it takes a capture."""

    what: Named
    url: str
    how: str


@dataclass(frozen=True, slots=True)
class StartingPointPanel:
    """`is_unknown`: `start` is a flag of which nobody knows what lies behind it, or None where none may be worked on.

    `options`: what may be put first instead, by group.
    """

    url: str
    seen: str
    is_provisional: bool
    start: Named | None
    is_unknown: bool
    node: str
    plain: str
    sentence: str
    standing: str
    clears: tuple[Cleared, ...]
    weight_cleared: str
    supports: tuple[tuple[Named, str], ...]
    contradicts: tuple[Named, ...]
    absent: tuple[Named, ...]
    unexplained: tuple[Named, ...]
    counts: str
    runner_up: str
    is_close: bool
    checks: tuple[CheckView, ...]
    answers: tuple[AnswerView, ...]
    earlier: tuple[AnswerView, ...]
    is_taken: bool
    may_change: bool
    options: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    links_version: int


def starting_point_panel(
    rows: SessionRows, traced: SessionTrace, *, may_change: bool, answers: Answers | None = None
) -> StartingPointPanel | None:
    """None where nothing is flagged. One query, unless `answers` (of `read_answers`) are given."""
    if not traced.flags:
        return None
    answers = read_answers(rows) if answers is None else answers
    here = [one for one in answers if one.session_id == rows.capture.pk]
    root, own = _first_root(traced, here)
    unexplained = _unexplained(rows, traced, root)
    start = named(root.node, traced, rows) if root else None
    return StartingPointPanel(
        url=reverse("metrics:starting-point", args=[rows.capture.uuid]),
        seen=traced.seen,
        is_provisional=_is_provisional(rows, root, traced),
        start=start,
        is_unknown=_is_unknown(traced, root, own),
        node=node_text(root.node) if root else "",
        plain=_plain(rows, root),
        sentence=_sentence(traced, root),
        standing=_standing(traced, root),
        clears=_clears(rows, traced, root),
        weight_cleared=_weight_cleared(traced, root),
        supports=_supports(rows, traced, root),
        contradicts=_named_all(root.opposed if root else (), traced, rows),
        absent=_once_a_metric(_named_all(root.absent if root else (), traced, rows)),
        unexplained=unexplained,
        counts=_counts(root, len(unexplained)),
        runner_up=_runner_up(rows, traced, root),
        is_close=traced.trace.is_close,
        checks=_checks(rows, traced),
        answers=tuple(answer_view(one, rows, may_change) for one in here),
        earlier=tuple(answer_view(one, rows, False) for one in answers if one not in here)[:EARLIER_ANSWERS],
        is_taken=own is not None,
        may_change=may_change,
        options=options_of(rows, traced) if may_change and own is None else (),
        links_version=traced.version.number,
    )


def starting_node(rows: SessionRows, traced: SessionTrace, answers: Answers) -> Node | None:
    """The node that the session's panel names as where to start; None where that is not known."""
    root, own = _first_root(traced, [one for one in answers if one.session_id == rows.capture.pk])
    return None if root is None or _is_unknown(traced, root, own) else root.node


def _first_root(traced: SessionTrace, here: Answers) -> tuple[Root | None, Node | None]:
    """What a coach took or put first, twice; else the first root of the trace that was not put aside, and None.

    here: the answers to this session.
    """
    own = next((Node(one.metric, one.direction) for one in here if one.kind != Kind.REJECTED), None)
    if own is not None:
        return root_of(traced.graph, traced.evidence.values(), own), own
    aside = {Node(one.metric, one.direction) for one in here if one.kind == Kind.REJECTED}
    left = [root for root in traced.trace.roots if root.may_be_starting_point and root.node not in aside]
    return (left[0] if left else None), None


def _is_unknown(traced: SessionTrace, root: Root | None, own: Node | None) -> bool:
    """A flag that explains no other, and of whose own causes one or more were not measured; nobody put it first."""
    if root is None or own is not None:
        return root is None
    return not root.supports and heading_of(traced.graph, traced.evidence.values(), root.node) == CAUSE_NOT_KNOWN


def _is_provisional(rows: SessionRows, root: Root | None, traced: SessionTrace) -> bool:
    piece = traced.pieces.get(root.node.metric) if root else None
    to_confirm = piece is not None and piece.confirmation == Finding.Confirmation.TO_CONFIRM
    return rows.last_time is None or to_confirm


def _plain(rows: SessionRows, root: Root | None) -> str:
    """The catalogue's sentence, as it is said to the athlete."""
    if root is None:
        return ""
    metric = rows.catalogue.metric(root.node.metric)
    return metric.low_sentence if root.node.direction == "low" else metric.high_sentence


def _sentence(traced: SessionTrace, root: Root | None) -> str:
    """How many of the other flags it explains."""
    if root is None:
        return "Nothing that can be worked on was found out of range."
    is_flag = traced.evidence[root.node].flagged
    others, explained = len(traced.flags) - is_flag, len(root.supports)
    if not others:
        return "It is the only flag."
    other = "other " if is_flag else ""
    if not explained:
        return f"It explains no {other}flag."
    if explained == others:
        return (
            f"It explains the {other}flag." if others == 1 else f"It explains all {number_word(others)} {other}flags."
        )
    return f"It explains {number_word(explained)} of {number_word(others)} {other}flags."


def _standing(traced: SessionTrace, root: Root | None) -> str:
    """Whether its own causes are known: "itself", "cause not known yet", or nothing to say."""
    return heading_of(traced.graph, traced.evidence.values(), root.node) if root else ""


def _clears(rows: SessionRows, traced: SessionTrace, root: Root | None) -> tuple[Cleared, ...]:
    if root is None:
        return ()
    found = []
    for flag, share in sorted(root.clears.items(), key=lambda item: (-item[1], item[0])):
        way = traced.cause_of(flag, root.node)
        between = [rows.catalogue.metric(one.metric).short_name.lower() for one in (way.path[1:-1] if way else ())]
        found.append(Cleared(named(flag, traced, rows), share, f"through {joined(between)}" if between else ""))
    return tuple(found)


def _weight_cleared(traced: SessionTrace, root: Root | None) -> str:
    """Of the weight of all flags, how much should clear; "" without weights."""
    total = sum(one.weight * one.severity for one in traced.evidence.values() if one.flagged)
    if root is None or not total:
        return ""
    cleared = sum(
        traced.evidence[flag].weight * traced.evidence[flag].severity * need for flag, need in root.clears.items()
    )
    return f"{cleared / total:.0%} of the weight of all flags."


def _supports(rows: SessionRows, traced: SessionTrace, root: Root | None) -> tuple[tuple[Named, str], ...]:
    """Flags that it may have produced, each with how strong the best way from it is."""
    if root is None:
        return ()
    return tuple((named(flag, traced, rows), link_words(root.node, flag, traced, rows)) for flag in root.supports)


def _named_all(nodes: Sequence[Node], traced: SessionTrace, rows: SessionRows) -> tuple[Named, ...]:
    return tuple(named(node, traced, rows) for node in nodes)


def _once_a_metric(found: Sequence[Named]) -> tuple[Named, ...]:
    """A metric that could be off either way, and is off in neither, stands once."""
    once: dict[str, Named] = {}
    for one in found:
        key, _, _ = one.node.partition(":")
        once[key] = replace(once[key], expected=f"{once[key].expected} or {one.expected}") if key in once else one
    return tuple(once.values())


def _counts(root: Root | None, unexplained: int) -> str:
    """Said even where the lists are folded: people favour a single cause over what it does not explain."""
    against = len({effect.metric for effect in (*root.absent, *root.opposed)}) if root else 0
    parts = (
        (len(root.supports) if root else 0, "supports it", "support it"),
        (against, "should follow and does not", "should follow and do not"),
        (unexplained, "unexplained", "unexplained"),
    )
    return ", ".join(f"{count} {one if count == 1 else many}" for count, one, many in parts if count)


def _unexplained(rows: SessionRows, traced: SessionTrace, root: Root | None) -> tuple[Named, ...]:
    """Flags that stand on their own and that the start does not reach."""
    own = [one.flag for one in traced.trace.flags if one.cause is None and one.flag in traced.flags]
    reached = {root.node, *root.clears} if root else set()
    return _named_all([flag for flag in own if flag not in reached], traced, rows)


def _runner_up(rows: SessionRows, traced: SessionTrace, root: Root | None) -> str:
    runner_up = traced.trace.runner_up
    if runner_up is None or (root and runner_up[0] == root.node):
        return ""
    node, behind = runner_up
    return f"{node_words(node, rows)}, {behind:.1f} points behind."


def _checks(rows: SessionRows, traced: SessionTrace) -> tuple[CheckView, ...]:
    found = []
    for check in traced.trace.check_next:
        metric = rows.catalogue.metric(check.node.metric)
        url = _form_of(metric, rows)
        what = named(check.node, traced, rows)
        found.append(CheckView(what, url, "measure again" if what.zone else "needs a capture"))
    return tuple(found)


def _form_of(metric: Metric, rows: SessionRows) -> str:
    if not metric.is_screen or metric.is_context:
        return ""
    form = reverse("metrics:screens", args=[rows.capture.athlete.uuid])
    return f"{form}?screen={(metric.derived_from or (metric.key,))[0]}"
