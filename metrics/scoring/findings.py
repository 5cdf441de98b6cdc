"""From the readings of one session to its decided findings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from metrics.catalogue import Catalogue, Metric
from metrics.judging.findings import Measured, measure, prior_spread, summarise_groups
from metrics.judging.severity import COUNTING_KINDS, expected_severity, family_winners, priority, severity, shrink
from metrics.judging.values import Limits
from metrics.judging.verdicts import Verdict, judge
from metrics.scoring.rows import RangeFinder, Row, build_rows
from metrics.scoring.throws import ScoredThrows, choose_scored_throws
from metrics.scoring.together import (
    expected_by_chance,
    family_numbers,
    first_look_coverage,
    judgeable_metrics,
    session_as_a_whole,
    sources,
)
from metrics.scoring.values import Decided, ProfileRules, SessionFacts, SessionScore

NO_SESSION_SD = "How much this metric varies from session to session is not known."


@dataclass(frozen=True, slots=True)
class _Session:
    """One session on its way to a score; its rows stand at `place` among those of all."""

    facts: SessionFacts
    chosen: ScoredThrows
    rows: Sequence[Row]
    place: slice


@dataclass(frozen=True, slots=True)
class _Judged:
    """The rows of all sessions, measured and judged; arrays of shape (rows,)."""

    measured: Measured
    limits: Limits
    scored: np.ndarray
    counting: np.ndarray
    weights: np.ndarray
    expected: np.ndarray
    expected_sd: np.ndarray
    findings: tuple[Decided, ...]


def decide_session(facts: SessionFacts, profile: ProfileRules, catalogue: Catalogue) -> SessionScore:
    """Every metric that the session's scored throws have, measured, held against its range, and ordered."""
    return decide_sessions([facts], profile, catalogue)[0]


def decide_sessions(many: Sequence[SessionFacts], profile: ProfileRules, catalogue: Catalogue) -> list[SessionScore]:
    """Many sessions in one numerical pass, each decided as it would be alone, to the last bit."""
    ranges = RangeFinder(profile)
    sessions, start = [], 0
    for facts in many:
        chosen = choose_scored_throws(facts.throws, profile.conditions, facts.method)
        rows = build_rows(chosen, facts, ranges, catalogue)
        sessions.append(_Session(facts, chosen, rows, slice(start, start + len(rows))))
        start += len(rows)
    if not start:
        return [_empty(session) for session in sessions]
    judged = _judge(sessions, profile)
    judgeable = {method: judgeable_metrics(method, profile, catalogue) for method in {facts.method for facts in many}}
    return [
        _score(session, judged, judgeable[session.facts.method], profile, catalogue)
        if session.rows
        else _empty(session)
        for session in sessions
    ]


def _judge(sessions: Sequence[_Session], profile: ProfileRules) -> _Judged:
    rows = [row for session in sessions for row in session.rows]
    lengths = [len(session.rows) for session in sessions]
    prior_sd = prior_spread(
        np.array([row.within_sd for row in rows]),
        np.array([row.metric.event_rate or 0.0 for row in rows]),
        np.repeat([session.facts.frame_rate_hz or np.inf for session in sessions], lengths),
    )
    measured = _measure(rows, prior_sd)
    limits = Limits.stack([row.applied.limits if row.applied else Limits() for row in rows])
    verdicts = judge(measured.mean, measured.u, measured.nu, limits, profile.thresholds)
    scored = np.array([row.not_scored is None for row in rows]) & (verdicts.not_scored < 0)
    counting = np.array([row.metric.kind in COUNTING_KINDS for row in rows])
    weights = np.array([profile.weights.get(row.metric.key, row.metric.weight) for row in rows], dtype=float)
    severities = np.nan_to_num(severity(measured.mean, limits, profile.thresholds))
    severities = np.where(scored, severities, 0.0)
    priorities = np.where(counting, priority(weights, severities), 0.0)
    families = family_numbers(
        [row.metric.family and (index, row.metric.family) for index, one in enumerate(sessions) for row in one.rows]
    )
    heads = family_winners(families, np.where(counting & scored, priorities, np.nan), weights)
    columns = (measured.rows(), verdicts.rows(), *map(np.ndarray.tolist, (prior_sd, weights, severities, priorities)))
    findings = tuple(map(_decided, rows, *columns, heads.tolist()))
    centre, spread = shrink(measured.mean, measured.u, *sources(rows))
    expected, expected_sd = expected_severity(centre, spread, limits, profile.thresholds)
    return _Judged(measured, limits, scored, counting, weights, expected, expected_sd, findings)


def _measure(rows: Sequence[Row], prior_sd: np.ndarray) -> Measured:
    numbers = np.array([number for row in rows for number in row.values.numbers], dtype=float)
    groups = np.repeat(np.arange(len(rows)), [len(row.values.numbers) for row in rows])
    summary = summarise_groups(numbers, groups, len(rows))
    return measure(
        summary,
        prior_sd=prior_sd,
        u_between=np.array([row.between_sd for row in rows]),
        u_constant=np.array([row.applied.u_open_event if row.applied else 0.0 for row in rows]),
    )


def _score(
    session: _Session, judged: _Judged, judgeable: Sequence[Metric], profile: ProfileRules, catalogue: Catalogue
) -> SessionScore:
    """The session's part of what was judged, and what its findings come to together."""
    at, rows, findings = session.place, session.rows, judged.findings[session.place]
    scored, counting, weights = judged.scored[at], judged.counting[at], judged.weights[at]
    expected = (judged.expected[at], judged.expected_sd[at])
    whole = session_as_a_whole(rows, expected, scored, counting, weights, judgeable, profile)
    measured = (judged.measured.mean[at], judged.measured.u[at])
    limits = Limits(**{item.name: getattr(judged.limits, item.name)[at] for item in fields(Limits)})
    chance = expected_by_chance(rows, *measured, limits, scored & counting, findings)
    return replace(
        _empty(session),
        findings=findings,
        coverage=whole.coverage,
        first_look_coverage=first_look_coverage(findings, session.facts, catalogue),
        score=whole.score,
        score_sd=None if whole.half_width is None else whole.half_width / 1.96,
        outside_by_variety=chance.ordinary_variety.expected,
        outside_by_variety_of=chance.ordinary_variety.counted,
        flags_by_error=chance.measuring_error.expected,
        flags_by_error_of=chance.measuring_error.counted,
    )


def _decided(
    row: Row,
    measured: Measured,
    verdict: Verdict,
    prior_sd: float,
    weight: float,
    severity: float,
    priority: float,
    is_head: bool,
) -> Decided:
    not_scored = row.not_scored or verdict.not_scored
    applied = row.applied
    return Decided(
        metric=row.metric.key,
        kind=row.metric.kind,
        family=row.metric.family,
        unit=row.metric.unit,
        moment=row.metric.moment_for(row.landing or "fp"),
        measured=measured,
        prior_sd=prior_sd,
        applied=applied,
        limits=applied.limits if applied else None,
        verdict=None if not_scored else verdict,
        not_scored=not_scored,
        weight=weight,
        severity=severity,
        priority=priority,
        is_family_head=is_head,
        notes=_notes(row),
    )


def _notes(row: Row) -> tuple[str, ...]:
    what = "round" if row.metric.is_screen else "throw"
    lost = [
        f"{count} {what if count == 1 else f'{what}s'} without a value: {code.replace('_', ' ')}."
        for code, count in row.values.lost.items()
    ]
    unknown = (NO_SESSION_SD,) if math.isnan(row.between_sd) else ()
    came_about = (row.note,) if row.note else ()
    return (*came_about, *(row.applied.notes if row.applied else ()), *lost, *unknown)


def _empty(session: _Session) -> SessionScore:
    chosen = session.chosen
    return SessionScore(
        condition_set=chosen.condition_set,
        conditions_used=chosen.conditions,
        for_orientation=chosen.for_orientation,
        scored_throws=len(chosen.throws),
        throws=len(session.facts.throws),
        findings=(),
        coverage=0.0,
        first_look_coverage=0.0,
        score=None,
        score_sd=None,
        outside_by_variety=0.0,
        outside_by_variety_of=0,
        flags_by_error=0.0,
        flags_by_error_of=0,
    )
