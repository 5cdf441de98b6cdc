"""What is known of an athlete on the day on which something is suggested."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from plans.library.model import band_at
from plans.library.words import AVAILABILITIES, PHASES


@dataclass(frozen=True, slots=True)
class Situation:
    """``age_years``: whole years. ``phases``: the season phases of all of the athlete's groups, none where not known.

    ``has_open_pain``: a pain report without a clearance. ``is_provisional``: the starting point is. ``running``: keys
    of what is in the plan already. Raises ValueError for an age below 0 or a word of no list: nothing is let through
    because it was not understood.
    """

    age_years: int
    availability: str = "full"
    has_open_pain: bool = False
    phases: tuple[str, ...] = ()
    is_growing_fast: bool = False
    is_provisional: bool = False
    running: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        band_at(self.age_years)
        _refuse_unknown("availability", (self.availability,), AVAILABILITIES)
        _refuse_unknown("season phase", self.phases, PHASES)


def _refuse_unknown(what: str, words: Iterable[str], known: Iterable[str]) -> None:
    for word in words:
        if word not in known:
            raise ValueError(f"{what} is one of {', '.join(known)}, got {word!r}")
