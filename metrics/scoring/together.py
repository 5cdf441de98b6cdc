"""What a session's findings come to together: score, coverage, and what chance alone would give."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import fields

import numpy as np

from metrics.catalogue import Catalogue, Metric
from metrics.judging.chance import ByChance, Count, by_chance
from metrics.judging.severity import SessionScore as WholeScore
from metrics.judging.severity import session_score
from metrics.judging.values import Limits
from metrics.scoring.rows import Row
from metrics.scoring.values import Decided, ProfileRules, SessionFacts


def family_numbers(names: Sequence[Hashable]) -> np.ndarray:
    """A number for each family; -1 for the empty name of what belongs to none."""
    numbers: dict[Hashable, int] = {}
    return np.array([numbers.setdefault(name, len(numbers)) if name else -1 for name in names], dtype=int)


def session_as_a_whole(
    rows: Sequence[Row],
    expected_severities: tuple[np.ndarray, np.ndarray],
    scored: np.ndarray,
    counting: np.ndarray,
    weights: np.ndarray,
    judgeable: Sequence[Metric],
    profile: ProfileRules,
) -> WholeScore:
    """Score and coverage, over what was scored and what the profile could have judged but was not measured.

    expected_severities: mean and SD of each row's; arrays of shape (rows,) like the rest.
    """
    use = scored & counting
    expected, expected_sd = (np.where(use, one, np.nan)[counting] for one in expected_severities)
    present = {row.metric.key for row in rows}
    silent = [metric for metric in judgeable if metric.key not in present]
    blank = np.full(len(silent), np.nan)
    names = [row.metric.family for row, counts in zip(rows, counting.tolist(), strict=True) if counts]
    return session_score(
        weights=np.concatenate([weights[counting], [profile.weights.get(m.key, m.weight) for m in silent]]),
        families=family_numbers([*names, *(metric.family for metric in silent)]),
        expected=np.concatenate([expected, blank]),
        expected_sd=np.concatenate([expected_sd, blank]),
        priorities=np.concatenate([np.nan_to_num(weights[counting] * np.nan_to_num(expected)), blank]),
        thresholds=profile.thresholds,
    )


def judgeable_metrics(method: str, profile: ProfileRules, catalogue: Catalogue) -> list[Metric]:
    """Counting metrics for which the profile has a rule for this capture method."""
    lane = "screen" if method == "hands_on" else "mechanic"
    return [
        metric
        for metric in catalogue.metrics.values()
        if metric.kind == lane
        and not metric.is_from_person
        and any(rule.method in (None, method) for rule in profile.rules.get(metric.key, ()))
    ]


def sources(rows: Sequence[Row]) -> tuple[np.ndarray, np.ndarray]:
    """Mean and SD of each rule's source, NaN without."""
    pairs = [(row.applied.source_mean, row.applied.source_sd) if row.applied else (None, None) for row in rows]
    return (
        np.array([np.nan if mean is None else mean for mean, _ in pairs], dtype=float),
        np.array([np.nan if sd is None else sd for _, sd in pairs], dtype=float),
    )


def expected_by_chance(
    rows: Sequence[Row],
    means: np.ndarray,
    us: np.ndarray,
    limits: Limits,
    use: np.ndarray,
    findings: Sequence[Decided],
) -> ByChance:
    """How many findings to expect outside by ordinary variety, and how many flags by measuring error."""
    index = np.flatnonzero(use)
    if not index.size:
        return ByChance(Count(0.0, 0, 0), Count(0.0, 0, 0))
    mean, sd = sources(rows)
    flagged = np.array([is_shown_flag(findings[i]) for i in index.tolist()], dtype=np.bool_)
    return by_chance(
        mean=means[index],
        u=us[index],
        limits=Limits(**{item.name: getattr(limits, item.name)[index] for item in fields(limits)}),
        is_flag=flagged,
        source_mean=mean[index],
        source_sd=sd[index],
    )


def is_shown_flag(finding: Decided) -> bool:
    return bool(finding.verdict and finding.verdict.zone == "flag" and finding.verdict.sure != "cant_tell")


def first_look_coverage(findings: Sequence[Decided], facts: SessionFacts, catalogue: Catalogue) -> float:
    """Share of the first look that is scored, of what this capture method can give at all."""
    possible = [metric.key for metric in catalogue.first_look if metric.can_be_given_by(facts.method)]
    scored = {finding.metric for finding in findings if finding.is_scored}
    return len(scored & set(possible)) / len(possible) if possible else 0.0
