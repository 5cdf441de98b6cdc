"""Then and now of one metric in words: whether two comparable findings differ beyond what measuring alone gives."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from metrics.change.many import benjamini_hochberg, expected_by_chance
from metrics.change.pair import Change, change_between
from metrics.change.values import Measurement, Word
from metrics.judging.values import Limits
from metrics.models import Finding
from metrics.selectors.session_words import list_words

LIMITS = ("target_low", "target_high", "flag_low", "flag_high")
CHANGED = "changed"
"""The word of a real difference where no range says which way is better."""
BY_CHANCE_SHARE = 0.10
"""Of the changes that are named, at most this share should be none (numbers.md section 6)."""
NAMED = 4


@dataclass(frozen=True, slots=True)
class Changed:
    """Now minus then, in the metric's unit. `detectable`: the least difference that is real; None: it is not known.

    `u`: standard uncertainty of the difference with `nu` degrees of freedom; `p`: how often measuring alone makes as
    much. All three None where it cannot be judged.
    """

    difference: float
    u: float | None
    nu: float | None
    detectable: float | None
    p: float | None
    is_real: bool
    word: str


def measurement_of(row: Finding, date: datetime.date) -> Measurement | None:
    """The finding as change takes it; None without a number, or without the spread that the catalogue expects."""
    prior_sd = row.decision.get("prior_sd")
    if row.mean is None or prior_sd is None or not row.n:
        return None
    return Measurement(
        date=date,
        mean=row.mean,
        n=row.n,
        sd=row.sd if row.n > 1 else None,
        prior_sd=prior_sd,
        u_between=row.u_between,
        limits=limits_of(row) if has_range(row) else None,
    )


def limits_of(row: Finding) -> Limits:
    """The range that applied to the finding; an open or missing side is infinite."""
    return Limits.from_stored({name: getattr(row, name) for name in LIMITS})


def changed(then: Finding, then_on: datetime.date, now: Finding, now_on: datetime.date) -> Changed | None:
    """Of two findings that are comparable (the caller's duty); None where one of them has no number."""
    if then.mean is None or now.mean is None:
        return None
    earlier, later = measurement_of(then, then_on), measurement_of(now, now_on)
    if earlier is None or later is None:
        return Changed(now.mean - then.mean, None, None, None, None, False, str(Word.CANNOT_BE_JUDGED))
    return _in_words(change_between(earlier, later), has_range=has_range(now))


def _in_words(change: Change, *, has_range: bool) -> Changed:
    word = CHANGED if change.is_real and not has_range else str(change.word)
    return Changed(
        difference=change.difference,
        u=_known(change.u),
        nu=_known(change.nu),
        detectable=_known(change.detectable),
        p=_known(change.p),
        is_real=change.is_real,
        word=word,
    )


def has_range(row: Finding) -> bool:
    return any(getattr(row, name) is not None for name in LIMITS)


def _known(number: float | None) -> float | None:
    return None if number is None or not math.isfinite(number) else float(number)


def changes_sentence(named: Sequence[tuple[str, Changed]], since: str) -> str:
    """How many of so many comparable metrics changed, what chance would give, and what stands all the same.

    named: name and change of each comparable metric; since: "15 March". Empty where none can be judged.
    """
    judged: list[tuple[str, Changed, Any]] = [(name, one, one.p) for name, one in named if one.p is not None]
    if not judged:
        return ""
    real = sum(one.is_real for _, one, _ in judged)
    by_chance = expected_by_chance([p for _, _, p in judged])
    told = (
        f"Since {since}, {real or 'none'} of {len(judged)} comparable metrics changed by more than measuring gives; "
        f"{'about ' if by_chance >= 0.05 else 'under '}{max(by_chance, 0.1):.1f} would by chance alone."
    )
    if not real:
        return told
    mask = benjamini_hochberg([p for _, _, p in judged], BY_CHANCE_SHARE)
    left = [name for (name, _, _), stands in zip(judged, mask, strict=True) if stands]
    if not left:
        return f"{told} Looked at all at once, none of them stands."
    return f"{told} Looked at all at once, these stand: {list_words(left, NAMED)}."
