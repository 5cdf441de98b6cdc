"""The three points of the floor sheet, and what the plan's findings were then and are now."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Mapping, Sequence

from athletes.models import Athlete
from athletes.quantities import format_quantity, format_span
from metrics.catalogue import Metric, load_catalogue
from metrics.models import Finding
from metrics.selectors.session_words import confirmation_words, direction_words, name_without_moment
from metrics.selectors.trace_words import METHOD_WORDS, Named, short_name
from plans.models import Prescription
from plans.responding.response import Answered
from plans.responding.values import Seen
from plans.selectors.answered import answered_by, metrics_of, read_measured
from plans.selectors.needs import AthleteNeeds
from plans.sheets import FloorPoint, Then

POINTS = 3
MOST_CHANGES = 6
NOT_MEASURED = "not measured"


def floor_points(athlete: Athlete, needs: AthleteNeeds, system: str) -> tuple[tuple[FloorPoint, ...], str]:
    """Starting point and top flags with their last values, and what is to be said of them. One query at most."""
    if needs.rows is None:
        return (), "Nothing was thrown and measured yet."
    start = needs.panel.start if needs.panel else None
    flags = [row for row in _flags(needs.rows.findings) if start is None or row.metric != start.metric]
    flags = flags[: POINTS - 1 if start else POINTS]
    latest = _latest(athlete, [row.metric for row in flags] + ([start.metric] if start else []))
    catalogue = load_catalogue()
    points = [_start(start, needs, latest.get(start.metric), system)] if start else []
    for row in flags:
        metric = catalogue.metric(row.metric)
        kind = ", ".join(part for part in ("flag", confirmation_words(row)) if part)
        name = _label(metric, row.side, needs)
        points.append(_point(name, kind, metric, latest.get(row.metric), system))
    return tuple(points), "" if points else "Nothing is flagged in the last session."


def thens(athlete: Athlete, rows: Sequence[Prescription], system: str) -> tuple[Then, ...]:
    """Of each finding that the work answers: what raised it, and the last comparable value since. Two queries."""
    if not rows:
        return ()
    measured = read_measured([athlete.pk], metrics_of(rows))
    answered: dict[tuple[str, str], Answered] = {}
    for row in rows:
        for one in answered_by(row, measured):
            answered.setdefault((one.flag.metric, one.flag.side), one)
    return tuple(_then(one, system) for one in list(answered.values())[:MOST_CHANGES])


def _flags(findings: Iterable[Finding]) -> list[Finding]:
    """As the standing counts them: one a family, without those of which it cannot be told, the heaviest first."""
    counted = [row for row in findings if row.zone == Finding.Zone.FLAG and row.is_family_head and row.priority > 0]
    sure = [row for row in counted if row.sure != Finding.Sure.CANT_TELL]
    return sorted(sure, key=lambda row: (-row.priority, row.metric))


def _latest(athlete: Athlete, metrics: Iterable[str]) -> Mapping[str, Finding]:
    """The last value of each metric, from whichever session holds one."""
    found = Finding.objects.filter(session__athlete=athlete, session__withdrawn_at=None, metric__in=set(metrics))
    found = found.exclude(mean=None).select_related("session")
    return {row.metric: row for row in found.order_by("session__date", "session__ordinal", "session_id")}


def _start(start: Named, needs: AthleteNeeds, last: Finding | None, system: str) -> FloorPoint:
    kind = "start here, provisional" if needs.is_provisional else "start here"
    if needs.panel and needs.panel.is_unknown:
        kind = "start, its cause is not known"
    metric = load_catalogue().metric(start.metric)
    if last is None and start.mean is not None and start.date is not None:
        value = format_quantity(start.mean, metric.unit, system, decimals=metric.decimals)
        return FloorPoint(start.label, kind, value, "", f"{_day(start.date)}, computed")
    return _point(start.label, kind, metric, last, system)


def _point(name: str, kind: str, metric: Metric, last: Finding | None, system: str) -> FloorPoint:
    if last is None:
        return FloorPoint(name, kind, NOT_MEASURED, "", "")
    value = format_quantity(last.mean, metric.unit, system, u=last.u, decimals=metric.decimals)
    target = format_span(last.target_low, last.target_high, metric.unit, system, decimals=metric.decimals)
    method = METHOD_WORDS.get(last.session.method, last.session.method)
    return FloorPoint(name, kind, value, target, f"{_day(last.session.date)}, {method}")


def _label(metric: Metric, side: str, needs: AthleteNeeds) -> str:
    landing = needs.landing
    return f"{short_name(metric, landing)}: {direction_words(metric, side)}"


def _then(one: Answered, system: str) -> Then:
    metric = load_catalogue().metric(one.flag.metric)
    last = _last_comparable(one)

    def value(seen: Seen) -> str:
        return format_quantity(seen.point.mean, metric.unit, system, decimals=metric.decimals)

    then = one.raised_by
    words = Then(name_without_moment(metric), value(then), _day(then.point.date))
    return words if last is None else Then(words.name, words.then, words.then_on, value(last), _day(last.point.date))


def _last_comparable(one: Answered) -> Seen | None:
    later = [seen for seen in one.sessions if seen.comparable and seen.point.date > one.raised_by.point.date]
    seen = [one for one in later if math.isfinite(one.point.mean)]
    return max(seen, key=lambda one: one.point.date, default=None)


def _day(date: dt.date) -> str:
    return f"{date.day} {date:%b %Y}"
