"""What was measured of the findings that prescriptions answer, as responses are computed from it."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from metrics.catalogue import Metric, load_catalogue
from metrics.change.values import Measurement
from metrics.comparable import same_measurement
from metrics.judging.ranges import moved_source_mean
from metrics.judging.values import Limits
from metrics.models import Finding
from metrics.profiles import to_rule
from metrics.selectors.session_changes import LIMITS, has_range, measurement_of
from plans.models import Prescription, PrescriptionReason
from plans.responding.response import Answered
from plans.responding.values import Flag, Seen, Source
from sessions.models import CaptureSession, Method


@dataclass(frozen=True)
class Measured:
    """Sessions of some athletes, oldest first, and findings of some metrics, by (session, metric)."""

    sessions: Mapping[int, Sequence[CaptureSession]]
    findings: Mapping[tuple[int, str], Finding]


def with_reasons(rows: QuerySet[Prescription]) -> QuerySet[Prescription]:
    """Prescriptions with what responses ask of them."""
    return rows.select_related("version__intervention").prefetch_related(
        Prefetch("reasons", PrescriptionReason.objects.order_by("place").select_related("session"))
    )


def read_measured(athlete_ids: Iterable[int], metrics: Iterable[str]) -> Measured:
    """Two queries. Withdrawn sessions are left out."""
    sessions: defaultdict[int, list[CaptureSession]] = defaultdict(list)
    for one in CaptureSession.objects.filter(athlete__in=set(athlete_ids)).order_by("date", "ordinal", "pk"):
        sessions[one.athlete_id].append(one)
    keys = [one.pk for of_athlete in sessions.values() for one in of_athlete]
    rows = Finding.objects.filter(session__in=keys, metric__in=set(metrics)).select_related("rule").order_by()
    return Measured(sessions, {(row.session_id, row.metric): row for row in rows})


def answered_by(prescription: Prescription, measured: Measured) -> list[Answered]:
    """Its reasons that have a number to start from, in their order; loaded `with_reasons`."""
    found = (answered_reason(reason, prescription.athlete_id, measured) for reason in prescription.reasons.all())
    return [one for one in found if one is not None]


def metrics_of(prescriptions: Iterable[Prescription]) -> set[str]:
    return {reason.metric for one in prescriptions for reason in one.reasons.all()}


def answered_reason(reason: PrescriptionReason, athlete_id: int, measured: Measured) -> Answered | None:
    """A finding with all that was measured of it later. `reason` need not be stored: only what it names is read.

    None for a reason that was never measured, or whose session is withdrawn or was retired with its metric.
    """
    metric = load_catalogue().metrics.get(reason.metric)
    sessions = measured.sessions.get(athlete_id, ())
    raised_in = next((one for one in sessions if one.pk == reason.session_id), None)
    row = measured.findings.get((raised_in.pk, reason.metric)) if raised_in else None
    if metric is None or raised_in is None or row is None or row.mean is None:
        return None
    flag = Flag(reason.metric, reason.direction)
    others = [one for one in sessions if one.pk != raised_in.pk and _may_hold(metric, one, measured)]
    seen = [_seen(one, metric, flag, (raised_in, row), measured) for one in others]
    return Answered(flag, Seen(raised_in.uuid, _point(row, raised_in.date), is_flag=True), seen, source_of(row))


def _may_hold(metric: Metric, session: CaptureSession, measured: Measured) -> bool:
    """Whether a session is a look at this metric: a screen where it was screened, a throw wherever somebody threw."""
    if metric.is_screen:
        return (session.pk, metric.key) in measured.findings
    return session.method != Method.HANDS_ON


def _seen(
    session: CaptureSession, metric: Metric, flag: Flag, raised: tuple[CaptureSession, Finding], measured: Measured
) -> Seen:
    row, (raised_in, first) = measured.findings.get((session.pk, metric.key)), raised
    comparable = (
        row is not None
        and session.method == raised_in.method
        and (row.condition_set, row.moment) == (first.condition_set, first.moment)
        and same_measurement(metric, session, raised_in)
    )
    is_flag = row is not None and is_flag_on(row, flag.side)
    return Seen(session.uuid, _point(row, session.date), comparable, is_flag)


def is_flag_on(row: Finding, side: str) -> bool:
    return row.zone == Finding.Zone.FLAG and row.side == side and row.sure != Finding.Sure.CANT_TELL


def _point(row: Finding | None, date: dt.date) -> Measurement:
    """With the severity unit that the rule states, which an estimated baseline asks for."""
    point = measurement_of(row, date) if row is not None else None
    if row is None or point is None:
        return Measurement(date, math.nan, n=0, sd=None, prior_sd=math.nan, u_between=None, limits=None)
    if row.rule is None or not has_range(row):
        return point
    stated = {"unit_low": row.rule.unit_low, "unit_high": row.rule.unit_high}
    limits = Limits.from_stored({name: getattr(row, name) for name in LIMITS} | stated)
    return Measurement(point.date, point.mean, point.n, point.sd, point.prior_sd, point.u_between, limits)


def source_of(row: Finding) -> Source | None:
    """Mean and SD of the people of the rule's source, moved to the body size that the finding was judged at."""
    if row.rule is None or row.rule.source_sd is None:
        return None
    mean = moved_source_mean(to_rule(row.rule), row.size_used)
    return None if mean is None else Source(mean, row.rule.source_sd)
