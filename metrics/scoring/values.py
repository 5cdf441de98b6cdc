"""What goes into a scoring and what comes out."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass

from metrics.judging.findings import Measured
from metrics.judging.values import Applied, BodySize, Limits, NotScored, Rule, Thresholds
from metrics.judging.verdicts import Verdict

ReadingMap = Mapping[str, Mapping[str, object]]
"""metric@moment → {"value": number, "unit"?: "m"} or {"reason": code}; metrics.models.Reading.values."""


@dataclass(frozen=True, slots=True)
class ThrowFacts:
    """One throw with its conditions and readings; `number` is its place in the outing."""

    number: int
    pitch_type: str
    intent: str
    surface: str
    ball: str
    excluded: bool
    ball_speed_m_s: float | None
    readings: ReadingMap


@dataclass(frozen=True, slots=True)
class SessionFacts:
    """All inputs of one session's findings, as they were on its date."""

    date: datetime.date
    method: str
    level: str | None
    body_size: BodySize
    landing: str
    filter_hz: float | None
    frame_rate_hz: float | None
    definitions: Mapping[str, str]
    throws: tuple[ThrowFacts, ...]


@dataclass(frozen=True, slots=True)
class ProfileRules:
    """One version of a range profile, ready to judge with. `weights` overrides the catalogue's."""

    rules: Mapping[str, tuple[Rule, ...]]
    thresholds: Thresholds
    weights: Mapping[str, float]
    conditions: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Decided:
    """One finding: what was measured, what it was held against, what was decided."""

    metric: str
    kind: str
    family: str
    unit: str
    moment: str
    measured: Measured
    prior_sd: float
    applied: Applied | None
    limits: Limits | None
    verdict: Verdict | None
    not_scored: NotScored | None
    weight: float
    severity: float
    priority: float
    is_family_head: bool
    notes: tuple[str, ...] = ()

    @property
    def is_scored(self) -> bool:
        return self.not_scored is None


@dataclass(frozen=True, slots=True)
class SessionScore:
    """All findings of a session and what they come to together."""

    condition_set: str
    conditions_used: Mapping[str, str]
    for_orientation: bool
    scored_throws: int
    throws: int
    findings: tuple[Decided, ...]
    coverage: float
    first_look_coverage: float
    score: float | None
    score_sd: float | None
    outside_by_variety: float
    outside_by_variety_of: int
    flags_by_error: float
    flags_by_error_of: int
