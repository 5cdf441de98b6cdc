"""What may be given to an athlete today, and what a first plan of it would be."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from athletes.models import Athlete
from plans.library import (
    MOST_MINUTES,
    Intervention,
    Proposal,
    Ranked,
    Situation,
    Suggestions,
    propose,
    rank,
    suggest,
)
from plans.library.model import End
from plans.library.words import BODY_KINDS
from plans.models import InterventionVersion
from plans.selectors.needs import AthleteNeeds
from plans.selectors.situation import situation_of
from plans.selectors.work import OpenWork
from plans.selectors.worked import tried_by, worked_here


@dataclass(frozen=True, slots=True)
class Suggested:
    """`ranked`: all that may be given, the first one first; `proposal`: what to begin with.

    `minutes_running`: the most that a day of what runs already takes.
    """

    now: Situation
    suggestions: Suggestions
    ranked: tuple[Ranked, ...]
    proposal: Proposal
    minutes_running: int


def suggest_for(
    athlete: Athlete,
    needs: AthleteNeeds,
    library: Mapping[str, InterventionVersion],
    running: Sequence[OpenWork],
    on: dt.date,
) -> Suggested:
    """`library`: of `library_now()`; `running`: what is in the plan. What has work already is not asked for again."""
    keys = {one.prescription.version.intervention.key for one in running}
    now = situation_of(athlete, on, is_provisional=needs.is_provisional, running=keys)
    answered = {end for one in running for end in reasons_of(one)}
    suggestions = suggest(
        [one.value for one in library.values()],
        needs.wanted(answered),
        now,
        causes=needs.causes,
        ruled_out=needs.ruled_out,
    )
    ranked = rank(suggestions.offered, worked=worked_here(), tried=tried_by(athlete))
    minutes = sum(one.minutes for one in running)
    taken = {slot for one in running if (slot := _slot(one.prescription.version.value))}
    free = [one for one in ranked if _slot(one.suggestion.intervention) not in taken]
    proposal = propose(free, now, start=on, follows=needs.follows, most=max(MOST_MINUTES - minutes, 0))
    return Suggested(now, suggestions, ranked, proposal, minutes)


def reasons_of(work: OpenWork) -> list[End]:
    """What the work is given for; its prescription loaded with its reasons."""
    return [(one.metric, one.direction) for one in work.prescription.reasons.all()]


def _slot(one: Intervention) -> str:
    """A plan holds one work of each: for the body, a drill, and one that asks for less; "" for a referral."""
    if one.is_restraint:
        return "less"
    return "body" if one.kind in BODY_KINDS else "drill" if one.kind == "drill" else ""
