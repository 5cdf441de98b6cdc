"""What chance alone would give: two counts that are never mixed.

Ordinary variety: an average member of the source is outside some flag limits too. Measuring error:
some of this session's flags are probably not beyond the limit.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from metrics.judging.severity import shrink
from metrics.judging.sides import chance_beyond, face
from metrics.judging.values import BoolArray, FloatArray, Limits, Numbers


@dataclass(frozen=True, slots=True)
class Count:
    """An expected count, over how many findings it was taken, and how many had no source SD."""

    expected: float
    counted: int
    without_source: int


@dataclass(frozen=True, slots=True)
class ByChance:
    """`ordinary_variety`: flags of an average member of the source; `measuring_error`: of this session's."""

    ordinary_variety: Count
    measuring_error: Count


def chance_outside(limits: Limits, source_mean: Numbers, source_sd: Numbers) -> FloatArray:
    """Chance that a member of the rule's source lies beyond either flag limit; NaN without mean or SD.

    The source taken as normal. Limits and mean after body size; all in the metric's unit.
    """
    m, sd = np.asarray(source_mean, dtype=float), np.asarray(source_sd, dtype=float)
    sd = np.where(sd > 0, sd, np.nan)
    below = chance_beyond(np.asarray(limits.flag_low, dtype=float) - m, sd)
    above = chance_beyond(m - np.asarray(limits.flag_high, dtype=float), sd)
    return below + above


def true_flag_chance(mean: Numbers, u: Numbers, limits: Limits, source_mean: Numbers, source_sd: Numbers) -> FloatArray:
    """p': chance beyond the flag limit on the side of the mean, after shrinking toward the source.

    NaN for a rule without source mean and SD: it is not counted.
    """
    faced = face(mean, limits)
    centre, spread = shrink(mean, u, source_mean, source_sd)
    moved = np.where(faced.low_side, np.asarray(mean) - centre, centre - np.asarray(mean))
    known = np.isfinite(source_mean) & np.isfinite(source_sd) & (np.asarray(source_sd) > 0)
    return np.where(known, chance_beyond(faced.beyond_flag + moved, spread), np.nan)


def by_chance(
    *,
    mean: Numbers,
    u: Numbers,
    limits: Limits,
    is_flag: BoolArray,
    source_mean: Numbers,
    source_sd: Numbers,
) -> ByChance:
    """Both counts for the scored findings of one session; arrays of shape (findings,).

    `Σ P(outside)` over all of them, `Σ (1 - p')` over the flags. A NaN source mean or SD: not counted,
    and `without_source` says how often.
    """
    outside = np.atleast_1d(chance_outside(limits, source_mean, source_sd))
    doubt = 1.0 - np.atleast_1d(true_flag_chance(mean, u, limits, source_mean, source_sd))
    return ByChance(_count(outside), _count(doubt[np.atleast_1d(is_flag)]))


def _count(chances: FloatArray) -> Count:
    known = np.isfinite(chances)
    return Count(float(chances[known].sum()), int(known.sum()), int((~known).sum()))
