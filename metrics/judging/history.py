"""What the past says of a flag: to confirm, confirmed, new, recurring.

Pure functions over findings that are comparable (same capture method, same conditions); who is
comparable is for the caller to say. Today's flag limits are held against, so that a range that moved
with the athlete's height does not hide or make a flag.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from metrics.judging.findings import effective_degrees
from metrics.judging.sides import chance_beyond
from metrics.judging.values import STARTING_THRESHOLDS, Limits, Thresholds


@dataclass(frozen=True, slots=True)
class PastFinding:
    """One metric of one session as history needs it. `zone`, `side`, `sure` as in `Verdict`.

    `u_constant` is the part of `u` that all comparable sessions share (it does not average out).
    """

    date: datetime.date
    mean: float
    u: float
    nu: float
    n: int
    zone: str
    side: str
    sure: str
    p_flag: float
    u_constant: float = 0.0

    @property
    def is_flag(self) -> bool:
        """A flag that was shown as one, not merely the likelier of two zones."""
        return self.zone == "flag" and self.sure != "cant_tell"

    @property
    def is_in_range(self) -> bool:
        """In range as a verdict, not as the likelier of two zones."""
        return self.zone == "in_range" and self.sure != "cant_tell"


@dataclass(frozen=True, slots=True)
class FlagStanding:
    """`confirmed_by`: "one_session", "two_sessions" or ""; `pair_p_flag`: of the last two, None without."""

    confirmed: bool
    confirmed_by: str
    new: bool
    recurring: bool
    flags_among_last: int
    pair_p_flag: float | None
    sentence: str


def stand_flag(
    current: PastFinding,
    past: Sequence[PastFinding],
    limits: Limits,
    thresholds: Thresholds = STARTING_THRESHOLDS,
) -> FlagStanding | None:
    """How a flag of this session stands against the earlier comparable ones; None when it is no flag.

    past: earlier comparable findings in any order, scored ones only; those dated after the current one
    are left out. limits: today's.
    """
    if not current.is_flag:
        return None
    earlier = sorted((one for one in past if one.date <= current.date), key=lambda one: one.date)
    previous = earlier[-1] if earlier else None
    pair = _pair_chance(previous, current, limits, thresholds)
    by = _confirmed_by(current, pair, thresholds)
    last = [*earlier, current][-thresholds.recurring_n :]
    count = _unbroken_flags(last, current.side)
    recurring = bool(by) and count >= thresholds.recurring_k
    return FlagStanding(
        confirmed=bool(by),
        confirmed_by=by,
        new=previous is None or not (previous.is_flag and previous.side == current.side),
        recurring=recurring,
        flags_among_last=count,
        pair_p_flag=pair,
        sentence=_sentence(by, recurring, count, len(last)),
    )


def pooled_mean(findings: Sequence[PastFinding]) -> tuple[float, float, float]:
    """Mean weighted by 1/u², its u and degrees of freedom; u_constant is shared and does not average out.

    Findings with u = 0 are exact and outweigh all others. Raises ValueError on an empty sequence.
    """
    if not findings:
        raise ValueError("expected at least one finding")
    exact = [one for one in findings if one.u == 0]
    if exact:
        return sum(one.mean for one in exact) / len(exact), 0.0, math.inf
    u, nu = np.array([one.u for one in findings]), np.array([one.nu for one in findings])
    constant = np.array([one.u_constant for one in findings])
    share = (1 / u**2) / np.sum(1 / u**2)
    own = np.sqrt(np.maximum(u**2 - constant**2, 0.0))
    pooled_u = math.sqrt(float(np.sum((share * own) ** 2) + np.sum(share * constant) ** 2))
    degrees = float(effective_degrees(pooled_u, share * u, nu))
    return float(np.sum(share * [one.mean for one in findings])), pooled_u, degrees


def _pair_chance(
    previous: PastFinding | None, current: PastFinding, limits: Limits, thresholds: Thresholds
) -> float | None:
    """p_flag of the mean of the last two sessions on today's side; None when they lie too far apart."""
    if previous is None or (current.date - previous.date).days > thresholds.comparable_days:
        return None
    mean, u, nu = pooled_mean([previous, current])
    beyond = limits.flag_low - mean if current.side == "low" else mean - limits.flag_high
    return float(chance_beyond(beyond, u, nu))


def _confirmed_by(current: PastFinding, pair: float | None, thresholds: Thresholds) -> str:
    if current.p_flag >= thresholds.confirm_p and current.n >= thresholds.confirm_n:
        return "one_session"
    return "two_sessions" if pair is not None and pair >= thresholds.confirm_pair_p else ""


def _unbroken_flags(last: Sequence[PastFinding], side: str) -> int:
    """Flags on one side up to the current one; an in range or a flag on the other side ends the run."""
    count = 0
    for one in reversed(last):
        if one.is_in_range or (one.is_flag and one.side != side):
            break
        count += one.is_flag
    return count


def _sentence(by: str, recurring: bool, count: int, sessions: int) -> str:
    if recurring:
        return f"Recurring: flagged in {count} of the last {sessions} comparable sessions."
    return {
        "one_session": "Confirmed: this session alone is sure enough.",
        "two_sessions": "Confirmed: the last two comparable sessions agree.",
        "": "To confirm: one more comparable session, or more throws, will tell.",
    }[by]
