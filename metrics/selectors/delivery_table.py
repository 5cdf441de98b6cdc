"""The delivery line as a table: every flag with its possible causes, for screen readers, print and close reading."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from metrics.catalogue import Catalogue
from metrics.drawing.delivery_line import Point
from metrics.drawing.marks import Verdict
from metrics.selectors.delivery_arcs import PossibleCauseView
from metrics.selectors.session_lines import Line
from metrics.selectors.session_rows import SessionRows
from metrics.selectors.session_words import direction_words, joined, name_without_moment
from metrics.tracing import Node, State

STRONG, MODERATE = 0.65, 0.35
"""Halfway between the strengths of links: weak 0.2, moderate 0.5, strong 0.8."""

STATE_WORDS = {
    State.FLAGGED: "out of range",
    State.OPEN: "not clear",
    State.UNMEASURED: "not measured",
    State.CONTRADICTED: "speaks against it",
}
STATE_ORDER = tuple(STATE_WORDS)


class Dated(Protocol):
    """A screen: its key and the day that it was taken."""

    @property
    def key(self) -> str: ...

    @property
    def date(self) -> datetime.date | None: ...


@dataclass(frozen=True, slots=True)
class CauseRow:
    """One possible cause as the table says it; `point` for its mark and value, None when it is not on the line."""

    name: str
    direction: str
    by: str
    state: str
    link: str
    is_used: bool
    value_text: str
    zone: str
    side: str
    sure: str
    date: datetime.date | None


@dataclass(frozen=True, slots=True)
class FlagRow:
    line: Line
    value_text: str
    node: str
    causes: tuple[CauseRow, ...]


def flag_rows(
    rows: SessionRows,
    lines: Sequence[Line],
    causes: Mapping[Node, Sequence[PossibleCauseView]],
    points: Sequence[Point],
    screens: Sequence[Dated],
) -> tuple[FlagRow, ...]:
    """Flags by priority; their causes: used first, then out of range, not clear, not measured, speaking against."""
    by_key = {point.key: point for point in points}
    dates: dict[str, datetime.date | None] = {screen.key: screen.date for screen in screens}
    found = []
    for line in sorted((line for line in lines if line.is_flag), key=lambda line: -line.priority):
        listed = sorted(causes.get(Node(line.key, line.side), ()), key=_order)
        made = tuple(_row(cause, by_key, dates, rows) for cause in listed)
        found.append(FlagRow(line, by_key[line.key].value_text, f"{line.key} {line.side}", made))
    return tuple(found)


def _order(cause: PossibleCauseView) -> tuple[bool, int, float]:
    place = STATE_ORDER.index(State(cause.state)) if cause.state in STATE_ORDER else len(STATE_ORDER)
    return not cause.is_used, place, -cause.share


def _row(
    cause: PossibleCauseView, points: Mapping[str, Point], dates: Mapping[str, datetime.date | None], rows: SessionRows
) -> CauseRow:
    key, direction = cause.node
    point = points.get(key)
    verdict = point.verdict if point else Verdict("not_scored")
    is_measured = verdict.is_scored
    date = dates.get(key) or (rows.capture.date if is_measured and point and not point.is_screen else None)
    return CauseRow(
        name=point.name if point else _name(key, rows.catalogue),
        direction=direction_words(rows.catalogue.metric(key), direction)
        if key in rows.catalogue.metrics
        else direction,
        by=joined([lower_first(_name(node.metric, rows.catalogue)) for node in cause.path[1:-1]]),
        state=STATE_WORDS.get(State(cause.state), cause.state),
        link=share_words(cause.share),
        is_used=cause.is_used,
        value_text=point.value_text if point and is_measured else "",
        zone=verdict.zone,
        side=verdict.side,
        sure=verdict.sure,
        date=date,
    )


def lower_first(name: str) -> str:
    return name[:1].lower() + name[1:]


def share_words(share: float) -> str:
    """How strongly a cause produces the flag, over all links on the way: a strong, moderate or weak link."""
    return "strong link" if share >= STRONG else "moderate link" if share >= MODERATE else "weak link"


def _name(key: str, catalogue: Catalogue) -> str:
    return name_without_moment(catalogue.metric(key)) if key in catalogue.metrics else key
