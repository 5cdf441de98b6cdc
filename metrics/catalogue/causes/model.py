"""The values of the graph of causes: one link, one intervention, and the closed lists of their words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

DIRECTIONS = ("low", "high")
"""A time that comes early is low, one that comes late is high."""

LINK_KINDS = ("timing", "mechanics", "mobility", "strength", "context")
INTERVENTION_KINDS = ("mobility", "strength", "drill", "referral")
STATUSES = ("published", "common_practice", "from_memory")

STRENGTHS: Mapping[str, float] = MappingProxyType({"weak": 0.2, "moderate": 0.5, "strong": 0.8})
"""Chance that the cause alone, when it is there, produces the effect. House opinion, no published source."""

NOTHING_IN_LIBRARY = "Nothing in the library answers this."


@dataclass(frozen=True, slots=True)
class Link:
    """``cause``, off in its direction, can produce ``effect``, off in its own.

    Both are keys of the catalogue; directions and kinds are of the lists above, ``strength`` a key of ``STRENGTHS``.
    ``source`` is who says so and ``status`` how far to trust that: *published* only where the source ties these two
    together itself. ``both_ways`` says why these two metrics have more than one link; else empty.
    """

    effect: str
    effect_direction: str
    cause: str
    cause_direction: str
    kind: str
    strength: str
    reason: str
    source: str
    status: str
    both_ways: str = ""

    @property
    def effect_end(self) -> tuple[str, str]:
        return self.effect, self.effect_direction

    @property
    def cause_end(self) -> tuple[str, str]:
        return self.cause, self.cause_direction


@dataclass(frozen=True, slots=True)
class Intervention:
    """Something to do. ``answers``: (metric, direction) that it is meant for; ``recheck_weeks``: (first, last)."""

    key: str
    name: str
    kind: str
    answers: tuple[tuple[str, str], ...]
    dose: str
    recheck_weeks: tuple[int, int]
    caution: str
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class Unanswered:
    """A cause that may be a starting point and that no intervention answers, and why none does."""

    metric: str
    direction: str
    reason: str
