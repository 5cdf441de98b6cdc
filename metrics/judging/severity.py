"""How much a finding matters: severity, priority, the leading member of a family, the session score."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr

from metrics.judging.sides import face, severity_unit, unit_on_side
from metrics.judging.values import STARTING_THRESHOLDS, BoolArray, FloatArray, Limits, Numbers, Thresholds

COUNTING_KINDS = frozenset({"mechanic", "screen"})
"""Kinds of metric that may lead a headline and enter the session score. Outcomes, styles, contexts: never."""


def severity(mean: Numbers, limits: Limits, thresholds: Thresholds = STARTING_THRESHOLDS) -> FloatArray:
    """How far a mean is off: 0 inside the target, 1 at the flag limit, capped (3 as shipped).

    Between target and flag limit it grows as distance / unit, the unit being the width between them.
    Without a watch zone it starts at 1 on the edge and grows by half the target's width (where that is
    open: by the unit that the rule states). A side without a flag limit stays under 1. Broadcasts; NaN
    for a NaN mean or a missing unit.
    """
    faced = face(mean, limits)
    with np.errstate(invalid="ignore"):
        grown = (faced.watch_width == 0) + faced.beyond_target / unit_on_side(faced, limits)
        cap = np.where(np.isinf(faced.watch_width), thresholds.open_side_cap, thresholds.severity_cap)
        return np.where(faced.beyond_target <= 0, 0.0, np.minimum(grown, cap))


def priority(weight: Numbers, severities: Numbers) -> FloatArray:
    """weight (0 to 10) × severity: the order of the list."""
    return np.asarray(weight, dtype=float) * severities


def family_winners(families: npt.ArrayLike, priorities: npt.ArrayLike, weights: npt.ArrayLike) -> BoolArray:
    """True for the member of each family that speaks for it: greatest priority, then weight, then order.

    families: whole numbers, shape (findings,), -1 for a metric that belongs to none (it speaks for
    itself); a caller with several sessions gives each its own numbers. A NaN priority never wins.
    """
    family, first = np.asarray(families, dtype=np.intp), np.asarray(priorities, dtype=float)
    second = np.asarray(weights, dtype=float)
    wins = (family < 0) & ~np.isnan(first)
    rows = np.flatnonzero((family >= 0) & ~np.isnan(first))
    order = rows[np.lexsort((rows, -second[rows], -first[rows], family[rows]))]
    leads = np.diff(family[order], prepend=-1) != 0
    wins[order[leads]] = True
    return wins


def shrink(mean: Numbers, u: Numbers, source_mean: Numbers, source_sd: Numbers) -> tuple[FloatArray, FloatArray]:
    """Mean and SD of the true value, given how such athletes vary: `m + r(x̄ - m)`, `u√r`.

    `r = SD²/(SD² + u²)`, m and SD from the rule's source (normal prior, normal error: Kelley's
    regression to the mean). NaN for m or SD (no source): the mean and u as they are.
    """
    x, u = np.asarray(mean, dtype=float), np.asarray(u, dtype=float)
    m, sd = np.asarray(source_mean, dtype=float), np.asarray(source_sd, dtype=float)
    known = np.isfinite(m) & np.isfinite(sd) & (sd > 0)
    with np.errstate(invalid="ignore", divide="ignore"):
        r = np.where(known, sd**2 / (sd**2 + u**2), 1.0)
        return np.where(known, m + r * (x - m), x), u * np.sqrt(r)


def expected_severity(
    mean: Numbers, sd: Numbers, limits: Limits, thresholds: Thresholds = STARTING_THRESHOLDS
) -> tuple[FloatArray, FloatArray]:
    """Mean and SD of min(severity, 1) when the true value is normal with this mean and SD.

    Exact: with D the depth over which severity rises, `E = (1/w)∫P(X beyond edge + t)dt` over 0..D,
    and likewise for the square. Arrays of one shape.
    """
    mu, sigma = np.asarray(mean, dtype=float), np.asarray(sd, dtype=float)
    low, high = np.asarray(limits.target_low, dtype=float), np.asarray(limits.target_high, dtype=float)
    with np.errstate(invalid="ignore"):  # inf - inf on an open side, which _rising leaves out
        under = _rising(low - mu, low - limits.flag_low, high - low, limits.unit_low, sigma, thresholds)
        over = _rising(mu - high, limits.flag_high - high, high - low, limits.unit_high, sigma, thresholds)
    expected = under[0] + over[0]
    return expected, np.sqrt(np.maximum(under[1] + over[1] - expected**2, 0.0))


def _area(z: FloatArray) -> FloatArray:
    """∫Φ from -inf to z: zΦ(z) + φ(z)."""
    return z * ndtr(z) + _density(z)


def _area_twice(z: FloatArray) -> FloatArray:
    """∫∫Φ from -inf to z: ((z² + 1)Φ(z) + zφ(z))/2."""
    return 0.5 * ((z**2 + 1.0) * ndtr(z) + z * _density(z))


def _density(z: FloatArray) -> FloatArray:
    return np.exp(-0.5 * z**2) / math.sqrt(2.0 * math.pi)


def _rising(
    beyond: Numbers, watch_width: Numbers, width: Numbers, stated: Numbers, sigma: FloatArray, thresholds: Thresholds
) -> tuple[FloatArray, FloatArray]:
    """E[c] and E[c²] of one side, c = min(severity, 1), the mean being `beyond` past the target's edge."""
    unit = severity_unit(watch_width, width, stated)
    gap = np.asarray(watch_width, dtype=float)
    is_step = gap == 0
    depth = np.where(np.isinf(gap), thresholds.open_side_cap * unit, unit)
    sigma = np.maximum(sigma, np.finfo(float).tiny ** 0.25)  # u = 0: the limit, without a second formula
    with np.errstate(invalid="ignore", over="ignore", under="ignore"):
        near, far = np.asarray(beyond) / sigma, (np.asarray(beyond) - depth) / sigma
        step = ndtr(near)
        slope = sigma * (_area(near) - _area(far)) / unit
        tail = sigma**2 * (_area_twice(near) - _area_twice(far)) - depth * sigma * _area(far)
    is_open = np.isneginf(np.asarray(beyond, dtype=float))
    first = np.where(is_open, 0.0, np.where(is_step, step, slope))
    second = np.where(is_open, 0.0, np.where(is_step, step, 2.0 * tail / unit**2))
    return first, second


@dataclass(frozen=True, slots=True)
class SessionScore:
    """100 = nothing off. `score` and `half_width` (1.96 SD) are None when `not_shown` says why."""

    score: float | None
    half_width: float | None
    coverage: float
    not_shown: str = ""


AVERAGE_OF_SOURCE = 85
"""Expected score of an average member of the source under limits at ± 1 and ± 2 SD (tested)."""


def session_score(
    *,
    weights: npt.ArrayLike,
    families: npt.ArrayLike,
    expected: npt.ArrayLike,
    expected_sd: npt.ArrayLike,
    priorities: npt.ArrayLike,
    thresholds: Thresholds = STARTING_THRESHOLDS,
) -> SessionScore:
    """`100·(1 - Σ w·e / Σ w)` over one member a family, with ± 1.96 SD and coverage.

    One row for each metric of a counting kind that the profile could judge, shape (metrics,);
    `expected`, `expected_sd` from `expected_severity`, NaN where not scored. Coverage: the scored
    families' share of the weight. Not shown under the threshold (40% as shipped). The metrics' errors
    count as independent. Scores compare only within one method and version, on shared metrics.
    """
    w, family = np.asarray(weights, dtype=float), np.asarray(families, dtype=np.intp)
    e, sd = np.asarray(expected, dtype=float), np.asarray(expected_sd, dtype=float)
    scored = np.isfinite(e)
    counted = family_winners(family, np.where(scored, np.asarray(priorities, dtype=float), np.nan), w)
    silent = ~scored & ~np.isin(family, family[counted & (family >= 0)])
    lost = family_winners(family, np.where(silent, 0.0, np.nan), w)
    total, missing = float(w[counted].sum()), float(w[lost].sum())
    coverage = total / (total + missing) if total + missing > 0 else 0.0
    if total == 0 or coverage < thresholds.coverage_min:
        return SessionScore(
            None, None, coverage, f"Only {coverage:.0%} of what counts was measured: too little for a score."
        )
    score = 100.0 * (1.0 - float(np.sum(w[counted] * e[counted])) / total)
    score_sd = 100.0 * math.sqrt(float(np.sum((w[counted] * sd[counted]) ** 2))) / total
    return SessionScore(score, 1.96 * score_sd, coverage)
