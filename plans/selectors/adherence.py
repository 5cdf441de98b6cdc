"""How often work was done, as it was ticked: beside a response, never part of it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from athletes.words import counted
from plans.library import Dose
from plans.models import FollowUp

DAYS_A_WEEK = 7


@dataclass(frozen=True, slots=True)
class Adherence:
    """Days with a standing tick, and how many the dose asks for at least; None where it names no days a week."""

    done: int
    asked: int | None

    @property
    def words(self) -> str:
        """ticked on 14 days of about 24 asked for"""
        if not self.done and not self.asked:
            return "not ticked"
        of = f" of about {self.asked} asked for" if self.asked else ""
        return f"ticked on {counted(self.done, 'day')}{of}"


def adherence_of(follow_up: FollowUp, dose: Dose, today: dt.date) -> Adherence:
    """From the day on which this stretch of work began to the follow-up, today at the latest. One query."""
    end = min(today, follow_up.due)
    ticks = follow_up.prescription.ticks.filter(taken_back_at=None, date__gte=follow_up.begins, date__lte=end)
    days = max(0, (end - follow_up.begins).days)
    asked = round(days * dose.days[0] / DAYS_A_WEEK) if dose.days and not dose.words else None
    return Adherence(ticks.count(), asked)
