"""What a session's trace gives to its delivery line: each flag's possible causes, and the screens among them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from athletes.quantities import format_quantity
from metrics.drawing.marks import Verdict
from metrics.selectors.delivery_arcs import PossibleCauseView
from metrics.selectors.delivery_figures import figures_of
from metrics.selectors.delivery_line import DeliveryLineView, ScreenPoint, delivery_line
from metrics.selectors.session_lines import WITHOUT_UNIT, Line
from metrics.selectors.session_rows import SessionRows
from metrics.selectors.session_trace import SessionTrace
from metrics.selectors.starting_point import StartingPointPanel
from metrics.tracing import Node
from metrics.tracing.evidence import State

Causes = Mapping[Node, Sequence[PossibleCauseView]]


def line_of_session(
    rows: SessionRows,
    lines: Sequence[Line],
    traced: SessionTrace | None,
    panel: StartingPointPanel | None,
    *,
    show_all: bool,
    system: str,
) -> DeliveryLineView | None:
    """The delivery line with what the trace knows; without a trace the findings alone."""
    is_recorded = any(getattr(throw, "is_recorded", False) for throw in rows.throws)
    figures = figures_of(rows) if is_recorded else {}
    if traced is None:
        return delivery_line(rows, lines, causes={}, show_all=show_all, system=system, figures=figures)
    causes = {flag: possible_causes(flag, traced) for flag in traced.flags}
    start = None
    if panel and panel.node and not panel.is_unknown:
        metric, _, direction = panel.node.partition(":")
        start = Node(metric, direction)
    return delivery_line(
        rows,
        lines,
        causes=causes,
        screens=tuple(_screens(causes, traced, rows, system)),
        starting_point=start,
        show_all=show_all,
        system=system,
        figures=figures,
    )


def possible_causes(flag: Node, traced: SessionTrace) -> tuple[PossibleCauseView, ...]:
    """What leads to the flag, the strongest first; facts of the person that nobody can measure now are left out."""
    explained = {one.flag: one.cause for one in traced.trace.flags}
    return tuple(
        PossibleCauseView(one.node, one.state.value, one.share, one.path, explained.get(flag) == one.node)
        for one in traced.causes[flag]
        if not (traced.evidence[one.node].kind == "context" and one.state is State.UNMEASURED)
    )


def _screens(causes: Causes, traced: SessionTrace, rows: SessionRows, system: str) -> Iterator[ScreenPoint]:
    """Screens and facts that were measured and may be behind a flag."""
    wanted = {node.metric for found in causes.values() for one in found for node in one.path}
    for key in sorted(wanted):
        metric, piece = rows.catalogue.metric(key), traced.pieces.get(key)
        if piece is None or not (metric.is_screen or metric.is_context):
            continue
        unit = "count" if metric.unit in WITHOUT_UNIT else metric.unit
        text = format_quantity(piece.mean, unit, system, decimals=metric.decimals)
        yield ScreenPoint(key, metric.name, text, Verdict(piece.zone, piece.side, piece.sure), piece.date)
