"""What of a session a coach may share: the points that it offers, and whether a share still says what is found."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from uuid import UUID

from athletes.facts import body_size_on
from metrics.catalogue.plain import load_plain_words
from metrics.models import Finding, Share
from metrics.selectors.session_changes import changed
from metrics.selectors.session_rows import SessionRows
from metrics.selectors.session_trace import trace_session
from metrics.selectors.starting_point import starting_point_panel
from metrics.sharing import Before, SharedContent, SharedPoint, Strip
from metrics.sharing.words import good_words, value_words

OFFERED = 12
"""Points to work on that the page offers; the rest is for the coach's own eyes."""
SHARED_FIELDS = (
    *("metric", "zone", "side", "sure", "mean", "u", "target_low", "target_high", "flag_low", "flag_high"),
    "perhaps_flag",
)
OUT = (Finding.Zone.FLAG, Finding.Zone.WATCH)


@dataclass(frozen=True, slots=True)
class Offered:
    """A point on the coach's page. `is_start`: the starting point of the session, which stands first."""

    point: SharedPoint
    is_start: bool = False

    @property
    def key(self) -> str:
        return self.point.metric


@dataclass(frozen=True, slots=True)
class Offer:
    """What can be told of one session; `summary` is a first text in plain sentences, to be rewritten."""

    work: tuple[Offered, ...]
    better: tuple[Offered, ...]
    summary: str

    def point(self, key: str) -> SharedPoint | None:
        return next((one.point for one in (*self.work, *self.better) if one.key == key), None)


def offer_of(rows: SessionRows, system: str) -> Offer:
    """Flags and watches by priority, one a family, the starting point first; and what came back into range."""
    start = _start(rows)
    found = sorted(_heads(rows.findings), key=lambda row: (row.metric != start, -row.priority))
    work = [Offered(point_of(row, rows, system), row.metric == start) for row in found if row.zone in OUT]
    back = [row for row in found if row.zone == Finding.Zone.IN_RANGE and _came_back(row, rows)]
    better = [Offered(point_of(row, rows, system)) for row in back]
    return Offer(tuple(work[:OFFERED]), tuple(better[:OFFERED]), _summary(rows, work, better))


def point_of(row: Finding, rows: SessionRows, system: str) -> SharedPoint:
    """The finding as a family is told of it."""
    metric, plain = rows.catalogue.metric(row.metric), load_plain_words()[row.metric]
    height = body_size_on(rows.capture.athlete, rows.capture.date).height
    height_cm = height.value if height else None
    side = row.side if row.zone in OUT else ""
    sentence = {"low": metric.low_sentence, "high": metric.high_sentence}.get(side, "")
    return SharedPoint(
        metric=row.metric,
        kind="work" if side else "good",
        headline=plain.headline(side),
        sentence=sentence,
        zone=row.zone,
        side=side,
        sure=row.sure,
        probability=row.probability,
        unit="count" if metric.unit in ("class", "yes/no", "0-10") else metric.unit,
        decimals=metric.decimals,
        value_words=value_words(metric, row.mean, system, u=row.u, height_cm=height_cm),
        good_words=good_words(metric, row.target_low, row.target_high, system, height_cm=height_cm),
        ends=plain.ends,
        strip=_strip(row),
        before=_before(row, rows),
    )


def content_of(points: Sequence[SharedPoint], better: Sequence[SharedPoint], rows: SessionRows) -> SharedContent:
    return SharedContent(tuple(points), tuple(better), rows.capture.date, rows.capture.method)


def findings_digest(findings: Iterable[Finding], metrics: Iterable[str]) -> str:
    """Of what these metrics' findings say, so that a share notices when they say something else."""
    wanted = frozenset(metrics)
    said = sorted([getattr(row, name) for name in SHARED_FIELDS] for row in findings if row.metric in wanted)
    return hashlib.sha256(json.dumps(said).encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class SharedBefore:
    """The latest share of a session. `is_outdated`: the findings say something else now, and no coach has looked."""

    on: dt.datetime
    by: str
    uuid: UUID
    is_outdated: bool


def shared_before(rows: SessionRows) -> SharedBefore | None:
    """The session's latest share that stands. One query."""
    shares = Share.objects.filter(session=rows.capture, athlete=rows.capture.athlete_id).select_related("shared_by")
    last = shares.first()
    if last is None:
        return None
    outdated = says_something_else(last, rows.findings)
    return SharedBefore(last.shared_at, str(last.shared_by or ""), last.uuid, outdated)


def says_something_else(share: Share, findings: Iterable[Finding]) -> bool:
    """Whether the findings that were shared changed since, and no coach has said to leave it so."""
    return share.change_seen_at is None and share.findings_digest != findings_digest(
        findings, SharedContent.from_json(share.content).metrics
    )


def _heads(findings: Iterable[Finding]) -> list[Finding]:
    """What may be told: in the table of plain words, said with some certainty, the head of its family."""
    plain = load_plain_words()
    return [
        row for row in findings if row.metric in plain and row.is_family_head and row.sure != Finding.Sure.CANT_TELL
    ]


def _start(rows: SessionRows) -> str:
    """The metric of the starting point, where it is known: a coach's word on it counts."""
    traced = trace_session(rows)
    panel = starting_point_panel(rows, traced, may_change=False) if traced else None
    return panel.start.metric if panel and panel.start and not panel.is_unknown else ""


def _came_back(row: Finding, rows: SessionRows) -> bool:
    before = rows.before.get(row.metric)
    return before is not None and before.zone in OUT and _is_real(row, before, rows)


def _is_real(row: Finding, then: Finding, rows: SessionRows) -> bool:
    """Whether the session's page says that it changed since the last comparable session."""
    assert rows.last_time is not None
    change = changed(then, rows.last_time.date, row, rows.capture.date)
    return change is not None and change.is_real


def _before(row: Finding, rows: SessionRows) -> Before | None:
    then = rows.before.get(row.metric)
    if then is None or then.mean is None or rows.last_time is None:
        return None
    return Before(then.mean, rows.last_time.date, then.zone, then.side, _is_real(row, then, rows))


def _strip(row: Finding) -> Strip:
    step = (row.rule.unit_low or row.rule.unit_high) if row.rule else None
    return Strip(row.mean, row.u, row.target_low, row.target_high, row.flag_low, row.flag_high, step)


def _summary(rows: SessionRows, work: Sequence[Offered], better: Sequence[Offered]) -> str:
    """A first text: what got better, what comes first and why it matters; the points themselves stand below it."""
    said = [f"{one.point.headline}: that got better." for one in better[:1]]
    if work:
        why = rows.catalogue.metric(work[0].key).why
        said += [f"We work on one thing first: {_inside(work[0].point.headline)}.", why]
    return " ".join(said) or "We looked at how you throw. Nothing needs work right now."


def _inside(headline: str) -> str:
    """The headline within a sentence."""
    return headline[:1].lower() + headline[1:]
