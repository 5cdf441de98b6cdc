"""What the library has for an athlete's flags, and what of it is left out for a reason."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

from metrics.catalogue.causes import NOTHING_IN_LIBRARY, Link
from plans.library.filters import reasons_against
from plans.library.model import Dose, End, Intervention
from plans.library.situation import Situation
from plans.library.words import PAIN

NO_CAUSES: Mapping[End, Sequence[End]] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Need:
    """A metric in a direction that work is wanted for: the starting point, or a recurring flag."""

    metric: str
    direction: str
    is_starting_point: bool = False

    @property
    def end(self) -> End:
        return self.metric, self.direction


class Answer(NamedTuple):
    """What it is suggested for. ``through``: the cause of the need that it addresses, None for the need itself."""

    need: Need
    through: End | None


@dataclass(frozen=True, slots=True)
class Suggestion:
    """An intervention that may be given today, with the dose for the athlete's age."""

    intervention: Intervention
    dose: Dose
    answers: tuple[Answer, ...]

    @property
    def key(self) -> str:
        return self.intervention.key

    @property
    def is_for_starting_point(self) -> bool:
        return any(answer.need.is_starting_point for answer in self.answers)

    @property
    def is_direct(self) -> bool:
        """Whether it addresses one of the needs itself, not only a cause of it."""
        return any(answer.through is None for answer in self.answers)


@dataclass(frozen=True, slots=True)
class LeftOut:
    """An intervention that answers a need and is not for this athlete today, and why, the gravest reason first."""

    intervention: Intervention
    answers: tuple[Answer, ...]
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Unmet:
    """A need without a suggestion, and why."""

    need: Need
    reason: str


@dataclass(frozen=True, slots=True)
class Suggestions:
    """In the library's order. Nothing here is applied: a coach decides."""

    offered: tuple[Suggestion, ...]
    left_out: tuple[LeftOut, ...]
    unmet: tuple[Unmet, ...]


def suggest(
    library: Sequence[Intervention],
    needs: Iterable[Need],
    now: Situation,
    *,
    causes: Mapping[End, Sequence[End]] = NO_CAUSES,
    ruled_out: Collection[End] = frozenset(),
) -> Suggestions:
    """What answers the needs or a direct cause of them, by what the athlete may do today.

    ``causes``: effect → its direct causes (``causes_by_effect``); ``ruled_out``: those measured and found in range,
    which nothing is suggested for. With open pain a referral is suggested whatever the needs are.
    """
    wanted = [*needs, *([Need(*PAIN)] if now.has_open_pain else [])]
    offered, left_out = [], []
    for one in library:
        answers = _answers(one, dict.fromkeys(wanted), causes, ruled_out)
        if not answers:
            continue
        reasons, dose = reasons_against(one, now), one.dose_at(now.age_years)
        if reasons or dose is None:
            left_out.append(LeftOut(one, answers, reasons))
        else:
            offered.append(Suggestion(one, dose, answers))
    unmet = [Unmet(need, why) for need in dict.fromkeys(wanted) if (why := _why_unmet(need, offered, left_out))]
    return Suggestions(tuple(offered), tuple(left_out), tuple(unmet))


def causes_by_effect(links: Iterable[Link]) -> dict[End, list[End]]:
    """Effect → its direct causes, in the order of the links."""
    found: dict[End, list[End]] = {}
    for link in links:
        found.setdefault(link.effect_end, []).append(link.cause_end)
    return found


def _answers(
    one: Intervention, needs: Iterable[Need], causes: Mapping[End, Sequence[End]], ruled_out: Collection[End]
) -> tuple[Answer, ...]:
    """The starting point first, then the order of the needs; a need that it addresses itself is not told by a cause."""
    found = []
    for need in needs:
        if need.end in one.answers:
            found.append(Answer(need, None))
            continue
        through = (end for end in causes.get(need.end, ()) if end in one.answers and end not in ruled_out)
        found.extend(Answer(need, end) for end in list(through)[:1])
    return tuple(sorted(found, key=lambda answer: not answer.need.is_starting_point))


def _why_unmet(need: Need, offered: Iterable[Suggestion], left_out: Iterable[LeftOut]) -> str:
    if any(answer.need == need for one in offered for answer in one.answers):
        return ""
    if any(answer.need == need for one in left_out for answer in one.answers):
        return "What the library has for this is not for the athlete today."
    return NOTHING_IN_LIBRARY
