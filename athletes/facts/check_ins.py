"""How an athlete said they feel on a day, and whether a growing one should be measured again."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from athletes.facts.ages import is_minor
from athletes.facts.sizes import body_size_on
from athletes.models import Athlete, CheckIn, Feeling

# House opinion, no published source: half of what `sizes.OLD_AFTER_DAYS` calls old, so that a height is taken
# while the athlete stands there anyway, and ranges by body size never wait for it.
HEIGHT_ASKED_AFTER_DAYS = 90


@dataclass(frozen=True, slots=True)
class CheckInOn:
    """The last answer of a day. `words` may be empty; `at` is an instant."""

    uuid: UUID
    feeling: Feeling
    words: str
    at: dt.datetime
    is_here: bool

    @property
    def said(self) -> str:
        """sore muscles: forearm"""
        return f"{self.feeling.label}: {self.words}" if self.words else str(self.feeling.label)


def check_in_on(athlete: Athlete, on: dt.date) -> CheckInOn | None:
    """The last answer given on that date; None when nobody asked or answered."""
    rows = _answers(athlete, on)
    if not rows:
        return None
    last = max(rows, key=lambda row: (row.at, row.pk))
    return CheckInOn(last.uuid, Feeling(last.feeling), last.words, last.at, last.is_here)


def came_at(athlete: Athlete, on: dt.date) -> dt.datetime | None:
    """When the athlete was first checked in at the facility on that date; None for somebody who was not."""
    return min((row.at for row in _answers(athlete, on) if row.is_here), default=None)


def needs_height_on(athlete: Athlete, on: dt.date) -> bool:
    """Under 18 and not measured within 90 days."""
    if on < athlete.birth_date or not is_minor(athlete.birth_date, on):
        return False
    height = body_size_on(athlete, on).height
    return height is None or height.days > HEIGHT_ASKED_AFTER_DAYS


def _answers(athlete: Athlete, on: dt.date) -> list[CheckIn]:
    known: list[CheckIn] | None = getattr(athlete, "known_check_ins", None)
    if known is None:
        return list(CheckIn.objects.filter(athlete=athlete, date=on))
    return [row for row in known if row.date == on]
