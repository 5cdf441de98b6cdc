"""The delivery line of a session: its picture, the sentence above it and the table that says the same."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from athletes.quantities import convert_ball_speed, format_number, format_quantity, with_unit
from metrics.catalogue import Catalogue, Metric
from metrics.drawing.delivery_line import (
    NO_FLAG,
    NOTHING_SELECTED,
    DeliveryLine,
    Point,
    Stroke,
    selected_words,
    upright_svg,
    wide_svg,
)
from metrics.drawing.marks import FLAG, NOT_SCORED, WATCH, Verdict
from metrics.selectors.delivery_arcs import PossibleCauseView, arcs_of
from metrics.selectors.delivery_moments import Moments, events_of_session, moments_of
from metrics.selectors.delivery_table import FlagRow, flag_rows
from metrics.selectors.session_lines import Line, line_of
from metrics.selectors.session_rows import SessionRows
from metrics.selectors.session_words import moment_words, name_without_moment
from metrics.tracing import Node

NOT_MEASURED = "not measured"
LONG_NAME = 34  # letters


@dataclass(frozen=True, slots=True)
class ScreenPoint:
    """A screen or a fact about the body, from whichever session was nearest in time."""

    key: str
    name: str
    value_text: str
    verdict: Verdict
    date: datetime.date | None = None


@dataclass(frozen=True, slots=True)
class DeliveryLineView:
    """`wide`, `upright`: pictures; `selected_name`, `selected_rest`: the sentence; `otherwise`: what it says
    when no flag is selected; `shown`, `all_count`: scored metrics on the line and in all.
    """

    wide: str
    upright: str
    selected: str
    selected_name: str
    selected_rest: str
    selected_url: str
    otherwise: str
    flags: tuple[FlagRow, ...]
    has_arcs: bool
    shown: int
    all_count: int


def delivery_line(
    rows: SessionRows,
    lines: Sequence[Line],
    *,
    causes: Mapping[Node, Sequence[PossibleCauseView]],
    screens: Sequence[ScreenPoint] = (),
    starting_point: Node | None = None,
    selected: Node | None = None,
    show_all: bool = False,
    system: str = "us",
    figures: Mapping[str, tuple[Stroke, ...]] | None = None,
) -> DeliveryLineView | None:
    """The line of a session that was measured in throws; None for one of hands-on screens, or without findings.

    lines: all lines of the session. causes: flag → its possible causes. `selected`: a flag, else the one of highest
    priority that has a cause. `show_all`: every metric instead of first look, flags, watches, causes and one a family.
    `figures`: those of delivery_figures.figures_of, where they are to be drawn.
    """
    if rows.capture.method == "hands_on" or not rows.findings:
        return None
    lines = [line for line in _with_outcomes(rows, lines) if not rows.catalogue.metric(line.key).is_screen]
    drawn = _drawn(rows, lines, causes, screens, starting_point, selected, show_all, system)
    drawn = replace(drawn, figures=figures or {})
    flag = next((point for point in drawn.flags if point.key == drawn.selected), None)
    name, rest = selected_words(drawn, flag) if flag else ("", "")
    return DeliveryLineView(
        wide=wide_svg(drawn),
        upright=upright_svg(drawn),
        selected=drawn.selected,
        selected_name=name,
        selected_rest=rest,
        selected_url=flag.url if flag else "",
        otherwise=NOTHING_SELECTED if drawn.flags else NO_FLAG,
        flags=flag_rows(rows, lines, causes, drawn.points, screens),
        has_arcs=bool(drawn.arcs),
        shown=sum(point.verdict.is_scored and not point.is_screen for point in drawn.points),
        all_count=sum(_is_drawn(line) for line in lines),
    )


def _drawn(
    rows: SessionRows,
    lines: Sequence[Line],
    causes: Mapping[Node, Sequence[PossibleCauseView]],
    screens: Sequence[ScreenPoint],
    starting_point: Node | None,
    selected: Node | None,
    show_all: bool,
    system: str,
) -> DeliveryLine:
    catalogue, events = rows.catalogue, events_of_session(rows)
    moments = moments_of(rows, events)
    flags = sorted((line for line in lines if line.is_flag), key=lambda line: -line.priority)
    nodes = [Node(line.key, line.side) for line in flags]
    by_flag = {node: causes[node] for node in nodes if causes.get(node)}
    needed = {node.metric for found in by_flag.values() for cause in found for node in cause.path}
    chosen = on_the_line(lines, catalogue, needed, show_all=show_all)
    order = [*flags, *(line for line in chosen if not line.is_flag)]
    points = [point_of(line, catalogue.metric(line.key), moments, system) for line in order]
    known = {point.key for point in points}
    points += [_screen(screen) for screen in screens if screen.key not in known]
    known |= {screen.key for screen in screens}
    points += [_missing(catalogue.metric(key), moments) for key in sorted(needed - known) if key in catalogue.metrics]
    first = selected if selected in nodes else next((node for node in nodes if node in by_flag), None)
    first = first or (nodes[0] if nodes else None)
    return DeliveryLine(
        events,
        tuple(points),
        tuple(arcs_of(by_flag, {point.key: point for point in points}, catalogue)),
        first.metric if first else "",
        starting_point.metric if starting_point else "",
    )


def _with_outcomes(rows: SessionRows, lines: Sequence[Line]) -> list[Line]:
    """The lines and, behind them, loads and speeds, which the page lists in a place of their own."""
    listed = {line.key for line in lines}
    found = (row for row in rows.findings if row.metric not in listed and row.mean is not None)
    return [*lines, *(line_of(rows.catalogue.metric(row.metric), row, rows) for row in found)]


def _is_drawn(line: Line) -> bool:
    return line.mean is not None and line.group not in ("shown", "not_scored")


def on_the_line(
    lines: Iterable[Line], catalogue: Catalogue, needed: Iterable[str] = (), *, show_all: bool = False
) -> list[Line]:
    """First look, flags, watches, what is needed as a cause, and of every other family its weightiest metric; or all
    that are scored."""
    wanted, kept, families = set(needed), [], set()
    rest: list[Line] = []
    for line in lines:
        if not _is_drawn(line) and line.key not in wanted:
            continue
        if show_all or line.is_first_look or line.group in (FLAG, WATCH) or line.key in wanted:
            kept.append(line)
            families.add(_family(line, catalogue))
        else:
            rest.append(line)
    for line in sorted(rest, key=lambda line: -line.weight):
        family = _family(line, catalogue)
        if family not in families:
            families.add(family)
            kept.append(line)
    return kept


def _family(line: Line, catalogue: Catalogue) -> str:
    return catalogue.metric(line.key).family or line.key


def point_of(line: Line, metric: Metric, moments: Moments, system: str) -> Point:
    """The point of a line: its mean as the reader's units have it, at its moment."""
    at_ms, span_ms = moments.place(metric)
    return Point(
        key=line.key,
        name=line.name,
        value_text=_value(line, system),
        lane=metric.lane,
        verdict=Verdict(line.zone, line.side, line.sure or "sure"),
        at_ms=at_ms,
        span_ms=span_ms,
        note=line.moment,
        is_flag=line.is_flag,
        is_watch=line.group == WATCH,
        is_first_look=line.is_first_look,
        url=line.url,
        short_name=_short(line.name, metric),
    )


def _value(line: Line, system: str) -> str:
    if line.mean is None:
        return NOT_MEASURED
    if line.key == "ball_speed":
        speed, unit = convert_ball_speed(line.mean, system)
        return with_unit(format_number(speed, 1), unit)
    return format_quantity(line.mean, line.unit, system, u=line.u, decimals=line.decimals)


def _short(name: str, metric: Metric) -> str:
    """For the picture; the sentence and the table have the whole name."""
    return metric.short_name if len(name) > LONG_NAME and not metric.is_screen else ""


def _screen(screen: ScreenPoint) -> Point:
    note = f"{screen.date:%-d %B %Y}" if screen.date else ""
    is_flag, is_watch = screen.verdict.zone == FLAG, screen.verdict.zone == WATCH
    return Point(
        screen.key, screen.name, screen.value_text, "screen", screen.verdict, note=note, is_watch=is_flag or is_watch
    )


def _missing(metric: Metric, moments: Moments) -> Point:
    """A possible cause that nobody measured, where it would stand."""
    blank = Verdict(NOT_SCORED)
    if metric.is_screen or metric.is_context:
        return Point(metric.key, metric.name, NOT_MEASURED, "screen", blank)
    at_ms, span_ms = moments.place(metric)
    name, moment = name_without_moment(metric), moment_words(metric.moment)
    return Point(
        metric.key, name, NOT_MEASURED, metric.lane, blank, at_ms, span_ms, note=moment, short_name=_short(name, metric)
    )
