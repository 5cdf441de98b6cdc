"""Judging a roster's findings at once, against Student's t alone: the three probabilities cannot be had for less."""

from __future__ import annotations

import numpy as np
from scipy import stats

from bench.ratios import Ratio, compare
from metrics.judging.severity import severity
from metrics.judging.values import Limits
from metrics.judging.verdicts import judge

FINDINGS = 100_000


def measure() -> list[Ratio]:
    chance = np.random.default_rng(11)
    low = chance.uniform(-5, 0, FINDINGS)
    high = low + chance.uniform(0.5, 8, FINDINGS)
    limits = Limits(low, high, low - 1.0, high + 1.0)
    mean = chance.uniform(-9, 11, FINDINGS)
    u = chance.uniform(0.05, 1.5, FINDINGS)
    nu = chance.uniform(8, 60, FINDINGS)

    def probabilities_only() -> None:
        for edge in (limits.target_low, limits.target_high, limits.flag_low):
            stats.t.cdf((edge - mean) / u, nu)

    def judged() -> None:
        judge(mean, u, nu, limits)
        severity(mean, limits)

    return [compare(f"judge {FINDINGS:,} findings", floor=probabilities_only, work=judged, goal=3.0)]
