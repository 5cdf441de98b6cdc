"""From the readings of one session to its decided findings."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from metrics.catalogue import Catalogue
from metrics.judging.findings import Measured, measure, summarise_groups
from metrics.judging.severity import COUNTING_KINDS, family_winners, priority, severity
from metrics.judging.values import Limits
from metrics.judging.verdicts import Verdict, Verdicts, judge
from metrics.scoring.rows import Row, build_row
from metrics.scoring.throws import ScoredThrows, choose_scored_throws
from metrics.scoring.together import expected_by_chance, family_numbers, first_look_coverage, session_as_a_whole
from metrics.scoring.values import Decided, ProfileRules, SessionFacts, SessionScore


def decide_session(facts: SessionFacts, profile: ProfileRules, catalogue: Catalogue) -> SessionScore:
    """Every metric that the session's scored throws have, measured, held against its range, and ordered."""
    chosen = choose_scored_throws(facts.throws, profile.conditions, facts.method)
    rows = [row for metric in catalogue.metrics.values() if (row := build_row(metric, chosen, facts, profile))]
    if not rows:
        return _empty(chosen, facts)
    measured = _measure(rows)
    limits = Limits.stack([row.applied.limits if row.applied else Limits() for row in rows])
    verdicts = judge(measured.mean, measured.u, measured.nu, limits, profile.thresholds)
    severities = np.nan_to_num(severity(measured.mean, limits, profile.thresholds))
    return _assemble(rows, measured, limits, verdicts, severities, chosen, facts, profile, catalogue)


def _measure(rows: Sequence[Row]) -> Measured:
    numbers = np.array([number for row in rows for number in row.values.numbers], dtype=float)
    groups = np.repeat(np.arange(len(rows)), [len(row.values.numbers) for row in rows])
    summary = summarise_groups(numbers, groups, len(rows))
    return measure(
        summary,
        prior_sd=np.array([row.prior_sd for row in rows]),
        u_between=np.array([row.u_between for row in rows]),
        u_constant=np.array([row.applied.u_open_event if row.applied else 0.0 for row in rows]),
    )


def _assemble(
    rows: Sequence[Row],
    measured: Measured,
    limits: Limits,
    verdicts: Verdicts,
    severities: np.ndarray,
    chosen: ScoredThrows,
    facts: SessionFacts,
    profile: ProfileRules,
    catalogue: Catalogue,
) -> SessionScore:
    scored = np.array([row.not_scored is None for row in rows]) & (verdicts.not_scored < 0)
    counting = np.array([row.metric.kind in COUNTING_KINDS for row in rows])
    weights = np.array([profile.weights.get(row.metric.key, row.metric.weight) for row in rows], dtype=float)
    severities = np.where(scored, severities, 0.0)
    priorities = np.where(counting, priority(weights, severities), 0.0)
    families = family_numbers([row.metric.family for row in rows])
    heads = family_winners(families, np.where(counting & scored, priorities, np.nan), weights)
    findings = tuple(
        _decided(row, index, measured, verdicts, weights, severities, priorities, heads)
        for index, row in enumerate(rows)
    )
    whole = session_as_a_whole(rows, measured, limits, scored, counting, weights, facts, profile, catalogue)
    chance = expected_by_chance(rows, measured, limits, scored & counting, findings)
    return SessionScore(
        condition_set=chosen.condition_set,
        conditions_used=chosen.conditions,
        for_orientation=chosen.for_orientation,
        scored_throws=len(chosen.throws),
        throws=len(facts.throws),
        findings=findings,
        coverage=whole.coverage,
        first_look_coverage=first_look_coverage(findings, facts, catalogue),
        score=whole.score,
        score_sd=None if whole.half_width is None else whole.half_width / 1.96,
        outside_by_variety=chance.ordinary_variety.expected,
        outside_by_variety_of=chance.ordinary_variety.counted,
        flags_by_error=chance.measuring_error.expected,
        flags_by_error_of=chance.measuring_error.counted,
    )


def _decided(
    row: Row,
    index: int,
    measured: Measured,
    verdicts: Verdicts,
    weights: np.ndarray,
    severities: np.ndarray,
    priorities: np.ndarray,
    heads: np.ndarray,
) -> Decided:
    verdict: Verdict | None = verdicts.row(index) if row.not_scored is None else None
    not_scored = row.not_scored or (verdict.not_scored if verdict else None)
    applied = row.applied
    return Decided(
        metric=row.metric.key,
        kind=row.metric.kind,
        family=row.metric.family,
        unit=row.metric.unit,
        moment=row.metric.moment_for(row.landing or "fp"),
        measured=measured.row(index),
        prior_sd=row.prior_sd,
        applied=applied,
        limits=applied.limits if applied else None,
        verdict=None if not_scored else verdict,
        not_scored=not_scored,
        weight=float(weights[index]),
        severity=float(severities[index]),
        priority=float(priorities[index]),
        is_family_head=bool(heads[index]),
        notes=_notes(row),
    )


def _notes(row: Row) -> tuple[str, ...]:
    lost = [
        f"{count} {'throw' if count == 1 else 'throws'} without a value: {code.replace('_', ' ')}."
        for code, count in row.values.lost.items()
    ]
    unknown = ["How much this metric varies from session to session is not known."] if np.isnan(row.u_between) else []
    return (*(row.applied.notes if row.applied else ()), *lost, *unknown)


def _empty(chosen: ScoredThrows, facts: SessionFacts) -> SessionScore:
    return SessionScore(
        condition_set=chosen.condition_set,
        conditions_used=chosen.conditions,
        for_orientation=chosen.for_orientation,
        scored_throws=len(chosen.throws),
        throws=len(facts.throws),
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
