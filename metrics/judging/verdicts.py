"""Where a finding stands, and how sure that is.

X is the mean + u·t with nu degrees of freedom. On the side of the mean: `p_flag`, beyond the flag
limit; `p_out`, beyond the target's edge, flag included; and `p_in`, inside the target. Source of the
probabilities (not of the thresholds, which are settings): JCGM 106:2012.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from metrics.judging.sides import Faced, chance_beyond, face
from metrics.judging.values import (
    STARTING_THRESHOLDS,
    BoolArray,
    FloatArray,
    Limits,
    NotScored,
    Numbers,
    Thresholds,
)

ZONES = ("in_range", "watch", "flag")
SURENESS = ("cant_tell", "likely", "sure")
IN_RANGE, WATCH, FLAG = range(3)
CANT_TELL, LIKELY, SURE = range(3)
NONE = -1

NOT_SCORED = (
    NotScored("no_reading", "No throw of this session gives this metric."),
    NotScored("no_uncertainty", "How far this mean can be trusted is not known: enter more than one throw."),
    NotScored("no_range", "The rule has no target range on either side."),
    NotScored("too_narrow", "The target range is too narrow for this capture method."),
)
"""Reasons that judging itself can give, in the order in which they are tried."""

CodeArray = npt.NDArray[np.int8]


@dataclass(frozen=True, slots=True)
class Verdict:
    """One verdict in words and numbers.

    `zone` is the zone that holds or, when `sure` is "cant_tell", the likelier one (the hollow mark),
    with `other_zone` the second. `side` is the side on which the mean is off, "" when in range;
    `near_side` the side that p_out and p_flag speak of. `probability` is the chance of the statement
    made: nested (p_flag, p_in, p_out) for a zone that holds, of that zone alone for a can't tell.
    `not_scored` says why when there is no verdict; zone is then "" and the chances NaN.
    """

    zone: str
    side: str
    sure: str
    other_zone: str
    probability: float
    p_in: float
    p_out: float
    p_flag: float
    perhaps_flag: bool
    near_side: str
    not_scored: NotScored | None = None


@dataclass(frozen=True, slots=True)
class Verdicts:
    """Many verdicts as arrays of one shape: codes are positions in ZONES, SURENESS, NOT_SCORED; -1 none."""

    zone: CodeArray
    sure: CodeArray
    other_zone: CodeArray
    probability: FloatArray
    p_in: FloatArray
    p_out: FloatArray
    p_flag: FloatArray
    perhaps_flag: BoolArray
    low_side: BoolArray
    not_scored: CodeArray

    def row(self, index: int) -> Verdict:
        """One verdict of many, in words."""
        return _in_words(*(getattr(self, f.name)[index].item() for f in fields(self)))

    def rows(self) -> list[Verdict]:
        """All verdicts, in words."""
        return list(map(_in_words, *(getattr(self, f.name).tolist() for f in fields(self))))


def _in_words(
    zone: int,
    sure: int,
    other_zone: int,
    probability: float,
    p_in: float,
    p_out: float,
    p_flag: float,
    perhaps_flag: bool,
    low_side: bool,
    not_scored: int,
) -> Verdict:
    """Takes the fields of `Verdicts` in their order."""
    near = "low" if low_side else "high"
    if not_scored != NONE:
        nan = math.nan
        return Verdict("", "", "", "", nan, nan, nan, nan, False, "", NOT_SCORED[not_scored])
    return Verdict(
        zone=ZONES[zone],
        side=near if zone != IN_RANGE or sure == CANT_TELL else "",
        sure=SURENESS[sure],
        other_zone=ZONES[other_zone] if other_zone != NONE else "",
        probability=probability,
        p_in=p_in,
        p_out=p_out,
        p_flag=p_flag,
        perhaps_flag=perhaps_flag,
        near_side=near,
    )


def judge(
    mean: Numbers, u: Numbers, nu: Numbers, limits: Limits, thresholds: Thresholds = STARTING_THRESHOLDS
) -> Verdicts:
    """Hold many means against their limits at once.

    mean, u (standard uncertainty) in the metric's unit, nu degrees of freedom (inf allowed), limits:
    single numbers or arrays of one shape (findings,). Bad numbers raise nothing: they are not scored.
    Raises ValueError when the shapes do not fit each other.
    """
    faced, u, nu = _aligned(mean, u, nu, limits)
    p_out = chance_beyond(faced.beyond_target, u, nu)
    p_flag = _flag_chance(faced, u, nu, p_out)
    p_in = np.maximum(1.0 - p_out - chance_beyond(faced.beyond_far, u, nu), 0.0)
    not_scored = _reasons(mean, u, nu, faced, thresholds)
    scored = not_scored == NONE
    zone, probability = _zones(p_in, p_out, p_flag, scored, thresholds)
    sure = np.where(probability >= thresholds.sure, np.int8(SURE), np.int8(LIKELY))
    sure[~scored] = NONE
    other = np.full(zone.shape, NONE, dtype=np.int8)
    open_rows = np.flatnonzero(scored & (zone == NONE))
    if open_rows.size:
        first, second, chance = _two_likeliest(p_in[open_rows], p_out[open_rows], p_flag[open_rows])
        zone[open_rows], other[open_rows], probability[open_rows] = first, second, chance
        sure[open_rows] = CANT_TELL
    perhaps = (zone == WATCH) & (sure != CANT_TELL) & (p_flag >= thresholds.perhaps_flag)
    return Verdicts(zone, sure, other, probability, p_in, p_out, p_flag, perhaps, faced.low_side, not_scored)


def judge_one(
    mean: float, u: float, nu: float, limits: Limits, thresholds: Thresholds = STARTING_THRESHOLDS
) -> Verdict:
    """One verdict; the same arithmetic as `judge`."""
    return judge(np.array([mean], dtype=float), u, nu, limits, thresholds).row(0)


def supported_decimals(u: float, most: int = 6) -> int:
    """How many decimals a value deserves whose standard uncertainty is u: down to u's first digit.

    u = 2 gives 0, u = 0.3 gives 1, u = 25 gives 0 (pages do not round to tens). u is first rounded to
    one digit, so 0.96 counts as 1. u = 0, NaN or None-like gives `most`. Source: GUM 7.2.6, which lets
    the last digits of a result agree with its uncertainty.
    """
    if not (math.isfinite(u) and u > 0):
        return most
    first_digit = math.floor(math.log10(float(f"{u:.0e}")))
    return min(max(-first_digit, 0), most)


def _aligned(mean: Numbers, u: Numbers, nu: Numbers, limits: Limits) -> tuple[Faced, FloatArray, Numbers]:
    """Face the means, and give u the common shape (nu may stay one number: the normal case is cheaper)."""
    x = np.atleast_1d(np.asarray(mean, dtype=float))
    shape = np.broadcast_shapes(
        x.shape, np.shape(u), np.shape(nu), np.shape(limits.target_low), np.shape(limits.target_high)
    )
    faced = face(np.broadcast_to(x, shape), limits)
    return faced, np.broadcast_to(np.asarray(u, dtype=float), faced.beyond_target.shape), nu


def _flag_chance(faced: Faced, u: FloatArray, nu: Numbers, p_out: FloatArray) -> FloatArray:
    """p_flag; Student's t is the dear part, so it is only asked where flag limit and edge differ."""
    asked = (faced.watch_width != 0) & np.isfinite(faced.beyond_flag)
    if asked.all():
        return chance_beyond(faced.beyond_flag, u, nu)
    p_flag = np.where(faced.watch_width == 0, p_out, 0.0)
    p_flag[np.isnan(p_out)] = np.nan
    rows = np.flatnonzero(asked)
    nu_rows = nu if np.ndim(nu) == 0 else np.broadcast_to(nu, u.shape)[rows]
    p_flag[rows] = chance_beyond(faced.beyond_flag[rows], u[rows], nu_rows)
    return p_flag


def _reasons(mean: Numbers, u: FloatArray, nu: Numbers, faced: Faced, thresholds: Thresholds) -> CodeArray:
    """The first reason of NOT_SCORED that holds, as a code; -1 where the finding can be scored."""
    x = np.broadcast_to(np.asarray(mean, dtype=float), u.shape)
    no_uncertainty = ~np.isfinite(u) | (u < 0) | ~(np.broadcast_to(nu, u.shape) > 0)
    no_range = np.isnan(faced.width) | (np.isinf(faced.beyond_target) & np.isinf(faced.beyond_far))
    with np.errstate(invalid="ignore"):
        too_narrow = faced.width < thresholds.too_narrow * u
    reasons = np.full(u.shape, NONE, dtype=np.int8)
    for code, holds in reversed(list(enumerate((~np.isfinite(x), no_uncertainty, no_range, too_narrow)))):
        reasons[holds] = code
    return reasons


def _zones(
    p_in: FloatArray, p_out: FloatArray, p_flag: FloatArray, scored: BoolArray, thresholds: Thresholds
) -> tuple[CodeArray, FloatArray]:
    """The first zone that holds, and the chance behind it; -1 and NaN where none does."""
    zone = np.full(p_in.shape, NONE, dtype=np.int8)
    probability = np.full(p_in.shape, np.nan)
    tried = (
        (WATCH, p_out, thresholds.watch),
        (IN_RANGE, p_in, thresholds.in_range),
        (FLAG, p_flag, thresholds.flag),
    )
    for code, chance, least in tried:  # the last written wins, so flag comes last
        holds = scored & (chance >= least)
        np.copyto(zone, code, where=holds)
        np.copyto(probability, chance, where=holds)
    return zone, probability


def _two_likeliest(
    p_in: FloatArray, p_out: FloatArray, p_flag: FloatArray
) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp], FloatArray]:
    """The two likeliest zones, each taken alone (watch without flag); a tie goes to the milder zone."""
    alone = np.stack([p_in, p_out - p_flag, p_flag])
    first, chance = np.argmax(alone, axis=0), np.max(alone, axis=0)
    np.put_along_axis(alone, first[np.newaxis], -np.inf, axis=0)
    return first, np.argmax(alone, axis=0), chance
