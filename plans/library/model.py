"""The values of the library: one dose, one intervention, and which dose an age takes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from plans.library.words import BANDS

End = tuple[str, str]
"""A metric and its direction: ("stride_length", "low")."""
Span = tuple[int, int]
"""Least and most; both the same where one number is given."""

REPETITION_S = 3
REST_S = 20
THROW_S = 20
"""Seconds of a repetition, of the rest between sets, and from throw to throw. House opinion, no published source."""


@dataclass(frozen=True, slots=True)
class Dose:
    """How much of it, at one band of age.

    ``sets`` of ``reps``, of ``seconds``, or of both (so many holds of so many seconds); ``moves``: how many different
    movements each set is done for; ``throws`` with a ball; ``work_minutes`` where time is all there is; ``words`` where
    no number says it. ``days`` a week; ``load_kg`` in kg, None where nobody gives one. ``supervision`` and ``basis``
    are words of words.SUPERVISIONS and words.BASES.
    """

    supervision: str
    basis: str
    sets: Span | None = None
    reps: Span | None = None
    seconds: Span | None = None
    throws: Span | None = None
    work_minutes: Span | None = None
    days: Span | None = None
    load_kg: tuple[float, float] | None = None
    each_side: bool = False
    moves: int = 1
    words: str = ""

    @property
    def minutes(self) -> int:
        """The most that it takes in a day, whole minutes rounded up; 0 for what takes no time of its own."""
        return math.ceil((self._sets_s + (self.throws or (0, 0))[1] * THROW_S) / 60) + (self.work_minutes or (0, 0))[1]

    @property
    def _sets_s(self) -> int:
        if self.sets is None:
            return 0
        rounds = self.sets[1] * self.moves * (2 if self.each_side else 1)
        reps, seconds = (self.reps or (1, 1))[1], (self.seconds or (REPETITION_S, REPETITION_S))[1]
        return rounds * reps * seconds + (rounds - 1) * REST_S


@dataclass(frozen=True, slots=True)
class Intervention:
    """Something to do. ``answers``: what it is meant for; ``doses`` by band of age: a band without one may not do it.

    ``is_restraint``: it asks for less, not for more. ``is_return``: it is the throwing of a return to throw.
    ``has_impact``: hard landings. ``needs_pain``: only where something hurts. ``not_in``: season phase → why not then.
    ``recheck_weeks``: (first, last).
    """

    key: str
    name: str
    kind: str
    answers: tuple[End, ...]
    instructions: tuple[str, ...]
    cautions: tuple[str, ...]
    effort: str
    load: str
    has_throws: bool
    doses: Mapping[str, Dose]
    recheck_weeks: Span
    source: str
    status: str
    is_restraint: bool = False
    is_return: bool = False
    has_impact: bool = False
    needs_pain: bool = False
    not_in: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))

    def dose_at(self, age_years: int) -> Dose | None:
        """The dose for an age in whole years, None where it is not for that age. Raises ValueError below 0."""
        return self.doses.get(band_at(age_years))

    @property
    def is_loaded(self) -> bool:
        """Whether pain stops it besides throws: it carries a load, or lands hard."""
        return self.load != "none" or self.has_impact


def band_at(age_years: int) -> str:
    """The band of an age in whole years. Raises ValueError below 0."""
    for band, (first, last) in BANDS.items():
        if first <= age_years and (last is None or age_years <= last):
            return band
    raise ValueError(f"an age is 0 or more whole years, got {age_years}")
