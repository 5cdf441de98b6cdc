"""What a re-test opens with: of what mattered last time then, now, changed or not; then the flags that are new."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from metrics.catalogue import Metric
from metrics.drawing.marks import CANT_TELL, Verdict
from metrics.drawing.words import either_words, zone_words
from metrics.models import Finding
from metrics.selectors.session_lines import WITHOUT_UNIT, Line, is_outcome
from metrics.selectors.session_rows import SessionRows
from metrics.selectors.session_trace import SessionTrace
from metrics.selectors.session_words import direction_words, moment_words, name_without_moment
from metrics.tracing import Node

STARTING_POINT = "starting point"


@dataclass(frozen=True, slots=True)
class ThenNow:
    """One thing that mattered last time. Numbers in `unit`.

    `was`: what it was then, in words; `line`: the finding of now with its change, None where nothing comparable was
    measured, and then `reason` says why. `answer`: changed or not, in a word; `stands`: where it stands now.
    """

    key: str
    name: str
    moment: str
    was: str
    then_mean: float | None
    then_u: float | None
    unit: str
    decimals: int
    line: Line | None
    answer: str = ""
    is_real: bool = False
    stands: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Retest:
    """`url`: of the session of last time. `lines`: the starting point first, then flags by priority, one a family."""

    date: datetime.date
    url: str
    lines: tuple[ThenNow, ...]
    new: tuple[Line, ...]


def retest_of(
    rows: SessionRows, lines: Sequence[Line], start: Node | None, then: SessionTrace | None, now: SessionTrace | None
) -> Retest | None:
    """None without a comparable session before, or before findings stand.

    lines: every line of the session; start: where to start as last time's session says it; then, now: the traces of
    both sessions, None where there is none.
    """
    if rows.last_time is None or not rows.findings:
        return None
    by_key = {line.key: line for line in lines}
    mattered = _flags(rows.then, rows)
    if start is not None:
        mattered = [row for row in mattered if row.metric != start.metric]
    told = [_then_now(row, by_key.get(row.metric), rows) for row in mattered]
    first = _of_start(start, by_key, rows, then, now) if start else None
    return Retest(
        date=rows.last_time.date,
        url=reverse("metrics:session", args=[rows.last_time.uuid]),
        lines=(*((first,) if first else ()), *told),
        new=_new_flags(lines, rows),
    )


def _flags(findings: Iterable[Finding], rows: SessionRows) -> list[Finding]:
    """Flags but outcomes, by priority; of a family the one that counts most."""
    flags = [row for row in findings if _is_flag(row) and not is_outcome(rows.catalogue.metric(row.metric))]
    kept: dict[str, Finding] = {}
    for row in sorted(flags, key=lambda row: -row.priority):
        kept.setdefault(row.family or row.metric, row)
    return list(kept.values())


def _is_flag(row: Finding) -> bool:
    return row.zone == Finding.Zone.FLAG and row.sure != Finding.Sure.CANT_TELL


def _new_flags(lines: Sequence[Line], rows: SessionRows) -> tuple[Line, ...]:
    """Flags of now that were none last time on that side; of a family the one that counts most."""
    before = {(row.metric, row.side) for row in rows.then if _is_flag(row)}
    flags = [line for line in lines if line.is_flag and (line.key, line.side) not in before]
    kept: dict[str, Line] = {}
    for line in sorted(flags, key=lambda line: -line.priority):
        kept.setdefault(rows.catalogue.metric(line.key).family or line.key, line)
    return tuple(kept.values())


def _then_now(row: Finding, line: Line | None, rows: SessionRows, *, was: str = "") -> ThenNow:
    metric = rows.catalogue.metric(row.metric)
    comparable = line if line is not None and row.metric in rows.before and line.change is not None else None
    change = comparable.change if comparable else None
    return ThenNow(
        **_named(metric, row.moment),
        was=was or _zone(row),
        then_mean=row.mean,
        then_u=row.u,
        line=comparable,
        answer=change.word if change else "",
        is_real=change.is_real if change else False,
        stands=_stands(row, comparable) if comparable else "",
        reason="" if comparable else _reason(row, line, rows),
    )


def _named(metric: Metric, moment: str) -> dict[str, Any]:
    return {
        "key": metric.key,
        "name": name_without_moment(metric),
        "moment": moment_words(moment),
        "unit": "count" if metric.unit in WITHOUT_UNIT else metric.unit,
        "decimals": metric.decimals,
    }


def _of_start(
    start: Node, by_key: dict[str, Line], rows: SessionRows, then: SessionTrace | None, now: SessionTrace | None
) -> ThenNow | None:
    """The starting point of last time; a screen that was its evidence has its numbers in other sessions."""
    metric = rows.catalogue.metric(start.metric)
    row = next((one for one in rows.then if one.metric == start.metric and one.mean is not None), None)
    if row is not None:
        return _then_now(row, by_key.get(start.metric), rows, was=f"{STARTING_POINT}, {_zone(row)}")
    piece = then.pieces.get(start.metric) if then else None
    later = now.pieces.get(start.metric) if now else None
    if piece is None:
        was = f"{STARTING_POINT}, {direction_words(metric, start.direction)}: not measured"
        reason = f"measured on {later.date:%-d %B %Y}" if later else "still not measured"
        return ThenNow(**_named(metric, ""), was=was, then_mean=None, then_u=None, line=None, reason=reason)
    was = f"{STARTING_POINT}, {zone_words(Verdict(piece.zone, piece.side, piece.sure))} on {piece.date:%-d %B %Y}"
    again = later is not None and later.date > piece.date
    reason = f"measured again on {later.date:%-d %B %Y}: see there" if later and again else "not measured again since"
    return ThenNow(**_named(metric, ""), was=was, then_mean=piece.mean, then_u=None, line=None, reason=reason)


def _zone(row: Finding) -> str:
    if row.sure == Finding.Sure.CANT_TELL:
        return f"can’t tell: {either_words(Verdict(row.zone, row.side, row.sure), row.other_zone)}"
    return zone_words(Verdict(row.zone, row.side, row.sure))


def _stands(then: Finding, line: Line) -> str:
    """still flag low; now in range; now it can’t be told: watch or flag."""
    if line.zone == Finding.Zone.NOT_SCORED:
        return "not scored now"
    if line.sure == CANT_TELL:
        return f"now can’t tell: {either_words(Verdict(line.zone, line.side, line.sure), line.other_zone)}"
    same = _is_flag(then) and line.zone == then.zone and line.side == then.side
    return f"{'still' if same else 'now'} {zone_words(Verdict(line.zone, line.side, line.sure))}"


def _reason(then: Finding, line: Line | None, rows: SessionRows) -> str:
    """Why this cannot stand beside last time's number."""
    now = next((row for row in rows.findings if row.metric == then.metric), None)
    if now is None or now.mean is None:
        return "not measured this time"
    if now.moment != then.moment:
        return "not comparable: read at another moment"
    return "not comparable: another filter or definition"
