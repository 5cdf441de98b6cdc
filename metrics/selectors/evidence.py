"""What is known of each metric around one session: the evidence that a trace is made of, each piece dated."""

from __future__ import annotations

import datetime
import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from django.db.models import F, Q

from metrics.catalogue import Catalogue, Metric
from metrics.judging.sides import chance_beyond
from metrics.models import Finding
from metrics.selectors.derived_screens import DerivedScreen
from metrics.tracing import Evidence, Node
from sessions.models import CaptureSession, Method

WINDOW = datetime.timedelta(days=60)
"""How far from the session evidence may come, numbers.md section 5."""

FINDING_FIELDS = (
    "metric", "kind", "zone", "side", "sure", "other_zone", "probability", "p_in", "p_out", "p_flag", "mean", "u", "nu",
    "target_low", "target_high", "flag_low", "flag_high", "severity", "weight", "is_family_head", "confirmation",
)  # fmt: skip
SIDES = ("low", "high")


@dataclass(frozen=True, slots=True)
class Piece:
    """One judged number with where it comes from. `p_out`, `p_flag`: by side. `weight` 0 where it does not count."""

    metric: str
    kind: str
    date: datetime.date
    method: str
    is_of_session: bool
    zone: str
    side: str
    sure: str
    other_zone: str
    probability: float | None
    p_in: float
    p_out: Mapping[str, float]
    p_flag: Mapping[str, float]
    mean: float
    severity: float
    weight: float
    confirmation: str

    @property
    def is_flag(self) -> bool:
        return self.zone == Finding.Zone.FLAG and self.sure != Finding.Sure.CANT_TELL


def pieces_of(
    capture: CaptureSession,
    findings: Iterable[Finding],
    derived: Iterable[DerivedScreen],
    metrics: Collection[str],
    catalogue: Catalogue,
) -> Mapping[str, Piece]:
    """The piece that counts of each metric: the session's own, else the nearest comparable one, else the nearest.

    `findings`: the session's; `metrics`: those of which others are asked for. Of throws, later sessions have their
    own page and are left out; screens count on either side of the date. One query.
    """
    own = [_row(finding, capture) for finding in findings if finding.zone != Finding.Zone.NOT_SCORED]
    conditions = own[0]["conditions"] if own else None
    best: dict[str, dict[str, object]] = {}
    for row in sorted([*own, *_others(capture, metrics)], key=lambda row: _nearness(row, capture, conditions)):
        if row["metric"] in catalogue.metrics:
            best.setdefault(str(row["metric"]), row)
    pieces = {piece.metric: piece for piece in _judged(list(best.values()), capture)}
    return pieces | {one.metric: _of_derived(one, capture) for one in derived if one.zone != Finding.Zone.NOT_SCORED}


def evidence_of(
    pieces: Mapping[str, Piece], nodes: Iterable[Node], catalogue: Catalogue, judged: Collection[str]
) -> Mapping[Node, Evidence]:
    """Evidence of every node of the graph and of every flag, measured or not. `judged`: metrics that have a range."""
    flags = {Node(piece.metric, piece.side) for piece in pieces.values() if piece.is_flag}
    return {
        node: _evidence(node, catalogue.metrics[node.metric], pieces.get(node.metric), judged)
        for node in {*nodes, *flags}
        if node.metric in catalogue.metrics
    }


def _evidence(node: Node, metric: Metric, piece: Piece | None, judged: Collection[str]) -> Evidence:
    """What no range judges is context while it is not measured: measuring it would show nothing."""
    kind = "context" if metric.is_context else metric.kind
    if piece is None:
        is_askable = kind != "screen" or metric.key in judged
        return Evidence(node, kind if is_askable else "context", weight=metric.weight)
    is_off = piece.zone != Finding.Zone.IN_RANGE and piece.sure != Finding.Sure.CANT_TELL
    return Evidence(
        node,
        kind,
        flagged=piece.is_flag and piece.side == node.direction,
        p_flag=piece.p_flag[node.direction],
        p_in=piece.p_in,
        p_out=piece.p_out[node.direction],
        is_other_side=is_off and piece.side != node.direction,
        severity=piece.severity,
        weight=piece.weight,
        date=str(piece.date),
        method=piece.method,
    )


def _row(finding: Finding, capture: CaptureSession) -> dict[str, object]:
    row: dict[str, object] = {name: getattr(finding, name) for name in FINDING_FIELDS}
    fixed = {"date": capture.date, "method": capture.method, "session": capture.pk}
    return row | fixed | {"conditions": finding.condition_set}


def _others(capture: CaptureSession, metrics: Collection[str]) -> Sequence[dict[str, object]]:
    near = Q(session__date__gte=capture.date - WINDOW, session__date__lte=capture.date)
    screens = Q(session__method=Method.HANDS_ON, session__date__gt=capture.date)
    found = (
        Finding.objects.filter(near | screens & Q(session__date__lte=capture.date + WINDOW))
        .filter(session__athlete=capture.athlete_id, session__withdrawn_at=None, metric__in=metrics)
        .exclude(session=capture.pk)
        .exclude(zone=Finding.Zone.NOT_SCORED)
        .order_by()
        .values(
            *FINDING_FIELDS, "session", conditions=F("condition_set"), date=F("session__date"),
            method=F("session__method"),
        )
    )  # fmt: skip
    return list(found)


def _nearness(row: Mapping[str, object], capture: CaptureSession, conditions: object) -> tuple[object, ...]:
    """Sorts the session's own first, then what is comparable, then by days; of two as near, the later."""
    date = row["date"]
    assert isinstance(date, datetime.date)
    days = (date - capture.date).days
    is_comparable = row["method"] == capture.method and row["conditions"] == conditions
    return row["session"] != capture.pk, not is_comparable, abs(days), -days, -int(str(row["session"]))


def _judged(rows: Sequence[Mapping[str, object]], capture: CaptureSession) -> Iterable[Piece]:
    """The pieces, with the chances of both sides: a finding keeps those of the side on which its mean lies."""
    numbers = {
        name: np.array([_float(row[name]) for row in rows], dtype=float)
        for name in ("mean", "u", "nu", "target_low", "target_high", "flag_low", "flag_high")
    }
    nu = np.where(np.isnan(numbers["nu"]), np.inf, numbers["nu"])

    def beyond(limit: str, sign: int) -> np.ndarray:
        distance = sign * (numbers["mean"] - numbers[limit])
        return np.nan_to_num(chance_beyond(np.where(np.isnan(distance), -np.inf, distance), numbers["u"], nu))

    out = {"low": beyond("target_low", -1), "high": beyond("target_high", 1)}
    flag = {"low": beyond("flag_low", -1), "high": beyond("flag_high", 1)}
    for place, row in enumerate(rows):
        yield Piece(
            **{name: row[name] for name in ("metric", "kind", "date", "method", "zone", "side", "sure")},  # type: ignore[arg-type]
            **{name: row[name] for name in ("other_zone", "probability", "severity", "confirmation")},  # type: ignore[arg-type]
            is_of_session=row["session"] == capture.pk,
            p_in=_float(row["p_in"]),
            p_out={side: float(out[side][place]) for side in SIDES},
            p_flag={side: float(flag[side][place]) for side in SIDES},
            mean=_float(row["mean"]),
            weight=_float(row["weight"]) if row["is_family_head"] else 0.0,
        )


def _of_derived(one: DerivedScreen, capture: CaptureSession) -> Piece:
    """What follows from the person rather than from a throw; its chances are of the side named."""
    other = {"low": "high", "high": "low"}.get(one.side, "")
    return Piece(
        metric=one.metric,
        kind="context",
        date=one.date,
        method="derived",
        is_of_session=one.date == capture.date,
        zone=one.zone,
        side=one.side,
        sure=one.sure,
        other_zone="",
        probability=None,
        p_in=one.p_in if one.p_in is not None else math.nan,
        p_out={one.side: one.p_out or 0.0, other: 0.0} if one.side else {"low": 0.0, "high": 0.0},
        p_flag={one.side: one.p_flag or 0.0, other: 0.0} if one.side else {"low": 0.0, "high": 0.0},
        mean=_float(one.value),
        severity=one.severity,
        weight=0.0,
        confirmation="",
    )


def _float(value: object) -> float:
    return math.nan if value is None else float(str(value))
