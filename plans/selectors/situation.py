"""What is known of an athlete on a day when something is suggested, given or held."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection

from athletes.facts import age_on, availability_on, growing_fast_on, open_pain_reports, season_phase_on
from athletes.models import Athlete, Availability
from plans.library import Situation


def situation_of(
    athlete: Athlete, on: dt.date, *, is_provisional: bool = False, running: Collection[str] = ()
) -> Situation:
    """`athlete` best loaded `with_facts()`. `running`: keys of what is in the plan. What was never recorded is full."""
    return Situation(
        age_years=age_on(athlete.birth_date, on).years,
        availability=availability_on(athlete, on).state or Availability.State.FULL,
        has_open_pain=bool(open_pain_reports(athlete)),
        phases=tuple(dict.fromkeys(str(one.phase.value) for one in season_phase_on(athlete, on))),
        is_growing_fast=growing_fast_on(athlete, on) is not None,
        is_provisional=is_provisional,
        running=frozenset(running),
    )
