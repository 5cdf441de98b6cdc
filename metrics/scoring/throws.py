"""Which throws findings are made of."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from metrics.judging.values import CONDITION_FIELDS
from metrics.scoring.values import ThrowFacts

PLAIN_CONDITIONS = {"pitch_type": "fastball", "intent": "full_effort", "surface": "mound", "ball": "regulation"}
EVERY_THROW = "hands_on"


@dataclass(frozen=True, slots=True)
class ScoredThrows:
    """The throws used and what they share. `for_orientation`: none met the profile's conditions."""

    throws: tuple[ThrowFacts, ...]
    conditions: Mapping[str, str]
    for_orientation: bool

    @property
    def condition_set(self) -> str:
        """One text for all conditions, by which comparable sessions are found."""
        return " · ".join(self.conditions[name] for name in CONDITION_FIELDS) if self.conditions else EVERY_THROW


def choose_scored_throws(throws: Iterable[ThrowFacts], wanted: Mapping[str, str], method: str) -> ScoredThrows:
    """The throws under the wanted conditions, none of them excluded.

    When there is none, the largest set thrown under one set of conditions is used for orientation, warm-up
    only when there is nothing else. Screens have no conditions: every one counts.
    """
    kept = tuple(throw for throw in throws if not throw.excluded)
    if method == "hands_on":
        return ScoredThrows(kept, {}, for_orientation=False)
    conditions = {**PLAIN_CONDITIONS, **wanted}
    fitting = tuple(
        throw for throw in kept if all(getattr(throw, name) == conditions[name] for name in CONDITION_FIELDS)
    )
    if fitting or not kept:
        return ScoredThrows(fitting, conditions, for_orientation=False)
    pool = [throw for throw in kept if throw.intent != "warm_up"] or list(kept)
    common, _ = Counter(_conditions_of(throw) for throw in pool).most_common(1)[0]
    used = tuple(throw for throw in pool if _conditions_of(throw) == common)
    return ScoredThrows(used, dict(zip(CONDITION_FIELDS, common, strict=True)), for_orientation=True)


def _conditions_of(throw: ThrowFacts) -> tuple[str, ...]:
    return tuple(getattr(throw, name) for name in CONDITION_FIELDS)
