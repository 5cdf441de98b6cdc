"""Judging a million readings, against one pass of grouped mean and SD and Student's t on the same shapes."""

from __future__ import annotations

import numpy as np
from scipy.special import stdtr

from bench.ratios import Ratio, compare
from metrics.judging.findings import measure as measure_findings
from metrics.judging.findings import summarise_groups
from metrics.judging.severity import severity
from metrics.judging.values import FloatArray, Limits
from metrics.judging.verdicts import judge

READINGS = 1_000_000


def measure() -> list[Ratio]:
    return [judging(per_finding) for per_finding in (10, 1)]


def judging(per_finding: int) -> Ratio:
    """`per_finding` readings make a finding."""
    findings = READINGS // per_finding
    chance = np.random.default_rng(11)
    low = chance.uniform(-5, 0, findings)
    high = low + chance.uniform(0.5, 8, findings)
    limits = Limits(low, high, low - 1.0, high + 1.0)
    groups = np.repeat(np.arange(findings), per_finding)
    readings = np.repeat(chance.uniform(-9, 11, findings), per_finding) + chance.normal(0, 1, READINGS)
    prior = np.full(findings, 1.0)

    def floor() -> FloatArray:
        count = np.bincount(groups, minlength=findings)
        mean = np.bincount(groups, weights=readings, minlength=findings) / count
        squares = np.bincount(groups, weights=(readings - mean[groups]) ** 2, minlength=findings)
        u = np.sqrt((8.0 * prior**2 + squares) / (7 + count) / count)
        return stdtr(7.0 + count, (low - mean) / u)

    def work() -> None:
        measured = measure_findings(summarise_groups(readings, groups, findings), prior_sd=prior, u_between=0.3)
        judge(measured.mean, measured.u, measured.nu, limits)
        severity(measured.mean, limits)

    name = f"judge {READINGS:,} readings, {per_finding} a finding"
    return compare(name, floor=floor, work=work, goal=3.0)
