"""A first plan: at most one work for the body, one drill, and one thing to leave alone, in 15 minutes a day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from metrics.catalogue import load_catalogue
from plans.library.checks import MOST_MINUTES
from plans.library.filters import reasons_against
from plans.library.matching import Suggestion
from plans.library.model import End
from plans.library.ranking import Ranked
from plans.library.situation import Situation
from plans.library.words import BODY_KINDS, PAIN

DAYS_A_WEEK = 7


@dataclass(frozen=True, slots=True)
class LeaveAlone:
    """One thing that is not worked on now. ``suggestion``: where it is itself an intervention, as fewer throws are."""

    sentence: str
    flag: End | None = None
    suggestion: Suggestion | None = None


@dataclass(frozen=True, slots=True)
class Proposal:
    """At most two works, or a referral, and one thing to leave alone.

    ``minutes``: the most that a day of all of them takes. ``follow_up_on``: None where nothing is given.
    """

    works: tuple[Suggestion, ...]
    leave_alone: LeaveAlone | None
    minutes: int
    follow_up_on: dt.date | None

    @property
    def given(self) -> tuple[Suggestion, ...]:
        """Everything of the library that it gives: the works, and fewer throws where that is what is left alone."""
        restraint = self.leave_alone.suggestion if self.leave_alone else None
        return (*self.works, restraint) if restraint else self.works


def propose(
    ranked: Sequence[Ranked], now: Situation, *, start: dt.date, follows: Sequence[End] = (), most: int = MOST_MINUTES
) -> Proposal:
    """The first plan from ranked suggestions, to be edited and accepted by a coach.

    ``follows``: flags that the starting point explains, the most important first: the first of them that no chosen
    work addresses is left alone. With open pain it is a referral and nothing else; a referral is also the plan where
    there is no work to give. ``most`` minutes a day.
    """
    allowed = [one.suggestion for one in ranked if not reasons_against(one.suggestion.intervention, now)]
    if now.has_open_pain:
        return _proposal(tuple(one for one in allowed if PAIN in one.intervention.answers)[:1], None, start)
    works = _works(allowed, most) or _referral(allowed)
    return _proposal(works, _left_alone(allowed, works, follows), start)


def follow_up_on(given: Sequence[Suggestion], start: dt.date) -> dt.date | None:
    """The start and the longest time after which one of them is looked at again; None for nothing given."""
    if not given:
        return None
    weeks = max(one.intervention.recheck_weeks[1] for one in given)
    return start + dt.timedelta(days=DAYS_A_WEEK * weeks)


def _proposal(works: tuple[Suggestion, ...], leave: LeaveAlone | None, start: dt.date) -> Proposal:
    bare = Proposal(works, leave, sum(one.dose.minutes for one in works), None)
    return Proposal(works, leave, bare.minutes, follow_up_on(bare.given, start))


def _works(allowed: Sequence[Suggestion], most: int) -> tuple[Suggestion, ...]:
    """The first that fits the day, whichever kind it is, and the first of the other kind that fits beside it.

    The work for the body stands before the drill.
    """
    fitting = [one for one in allowed if _slot(one) and one.dose.minutes <= most]
    if not fitting:
        return ()
    first = fitting[0]
    left = most - first.dose.minutes
    beside = (one for one in fitting if _slot(one) != _slot(first) and one.dose.minutes <= left)
    second = next(beside, None)
    return tuple(sorted([first, *([second] if second else [])], key=_slot))


def _referral(allowed: Sequence[Suggestion]) -> tuple[Suggestion, ...]:
    return tuple(one for one in allowed if one.intervention.kind == "referral")[:1]


def _slot(one: Suggestion) -> str:
    """ "body" or "drill"; "" for a referral and for what asks for less."""
    if one.intervention.is_restraint:
        return ""
    kind = one.intervention.kind
    return "body" if kind in BODY_KINDS else "drill" if kind == "drill" else ""


def _left_alone(
    allowed: Sequence[Suggestion], works: Sequence[Suggestion], follows: Sequence[End]
) -> LeaveAlone | None:
    restraint = next((one for one in allowed if one.intervention.is_restraint), None)
    if restraint:
        return LeaveAlone(f"Leave alone: throws beyond the plan. {restraint.intervention.name}.", suggestion=restraint)
    worked_on = {end for one in works for end in one.intervention.answers}
    flag = next((end for end in follows if end not in worked_on), None)
    if flag is None or not works:
        return None
    metric, direction = load_catalogue().metric(flag[0]), flag[1]
    word = metric.low_word if direction == "low" else metric.high_word
    return LeaveAlone(f"Leave alone: {metric.name} ({word}). It follows from the starting point.", flag=flag)
