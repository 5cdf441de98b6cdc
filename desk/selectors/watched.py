"""The athletes of whom something may wait today, read once; each reason of `needs` picks its own from them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple
from uuid import UUID

from django.db.models import Q, QuerySet

from athletes.facts import AvailabilityOn, availability_of
from athletes.models import Availability, PainReport, User
from athletes.models.ties import adult_when_born_by
from athletes.worded import worded_once
from desk.selectors.now import AWAY, everyone_since, has_own, seen_limits, unseen_before
from metrics.models import Finding
from metrics.services.standing import THROWING_METHODS
from plans.models import Prescription, PrescriptionReason

NEW_FLAG_DAYS = 14


class WatchedAthlete(NamedTuple):
    """As plain values: athletes with their standings as models take twice as long. `held_…`: the availability in force.

    Flags are [metric, side, sure, confirmation], most important first. Without a standing all of it is None.
    """

    pk: int
    uuid: UUID
    given_name: str
    family_name: str
    birth_date: dt.date
    consent_withdrawn_on: dt.date | None
    coach_id: int | None
    state_now: str
    held_since: dt.date | None
    held_until: dt.date | None
    held_limits: str | None
    has_open_pain: bool
    is_stopped: int
    is_unseen: int
    flag_count: int
    last_date: dt.date | None
    last_by_method: dict[str, str] | None
    flags: list[list[str]] | None
    flags_new: int | None
    flags_confirmed: int | None
    flags_recurring: int | None
    top_priority: float | None

    @property
    def name(self) -> str:
        return f"{self.given_name} {self.family_name}"

    @property
    def held(self) -> AvailabilityOn:
        return availability_of(self.state_now, self.held_since, self.held_until, self.held_limits or "")

    @property
    def thrown_last(self) -> str:
        """The date of the session that the flags are of, as ISO text; "" where nothing was thrown."""
        dates = self.last_by_method or {}
        return max((dates[method] for method in THROWING_METHODS if method in dates), default="")

    @property
    def has_new_flags(self) -> bool:
        return bool(self.flags_new or self.flags_confirmed)


OWN = ("pk", "uuid", "given_name", "family_name", "birth_date", "consent_withdrawn_on", "responsible_coach")
NOW = ("state_now", "held__valid_from", "held__until", "held__limits", "has_open_pain", "is_stopped", "is_unseen")
COUNTS = ("flags_new", "flags_confirmed", "flags_recurring", "top_priority")
STANDING = tuple(f"standing__{name}" for name in ("last_date", "last_by_method", "flags", *COUNTS))
READ = (*OWN, *NOW, "flag_count", *STANDING)
"""The fields of WatchedAthlete, in their order, as they are asked for."""


@dataclass(frozen=True)
class Watched:
    """`rows`: athletes by name. A stop is everybody's; all else is of those whom the reader looks after.

    Whoever's consent is withdrawn is neither measured nor judged, so that nothing of it waits for anybody.
    """

    rows: tuple[WatchedAthlete, ...]
    today: dt.date
    reader: User
    has_own: bool

    @cached_property
    def stopped(self) -> list[WatchedAthlete]:
        """Open pain first."""
        return sorted((row for row in self.rows if row.is_stopped), key=lambda row: not row.has_open_pain)

    @cached_property
    def growing(self) -> list[WatchedAthlete]:
        """Minors who are not away: their ranges want a height and a mass."""
        of_age = adult_when_born_by()
        return [row for row in self._own if row.birth_date > of_age and row.state_now != AWAY]

    @cached_property
    def unseen(self) -> list[WatchedAthlete]:
        return [row for row in self._measured if row.is_unseen]

    @cached_property
    def newly_flagged(self) -> list[WatchedAthlete]:
        """With flags of the last days that are not known to recur, the heaviest first."""
        since = str(self.today - dt.timedelta(days=NEW_FLAG_DAYS))
        return [row for row in self._flagged if row.has_new_flags and row.thrown_last >= since]

    @cached_property
    def recurring(self) -> list[WatchedAthlete]:
        """With a flag in most of their last sessions that no work runs for, the heaviest first. Away ones can wait.

        Who was not seen for long stands in a line of its own.
        """
        since = str(unseen_before(self.today))
        found = [row for row in self._flagged if row.flags_recurring and row.state_now != AWAY]
        return [row for row in found if row.thrown_last >= since and self.recurring_flags(row)]

    def recurring_flags(self, row: WatchedAthlete) -> list[list[str]]:
        """Those of the athlete that no work runs for, as their standing has them."""
        flags = [flag for flag in row.flags or () if flag[3] == Finding.Confirmation.RECURRING]
        return [flag for flag in flags if (row.pk, flag[0], flag[1]) not in self._worked_on]

    @cached_property
    def _worked_on(self) -> set[tuple[int, str, str]]:
        """(athlete, metric, side) of flags that recur and have work. One query, none where nothing recurs."""
        return set(_worked_on(self.reader, self.has_own)) if any(row.flags_recurring for row in self._own) else set()

    @cached_property
    def _flagged(self) -> list[WatchedAthlete]:
        found = [row for row in self._measured if row.flag_count]
        return sorted(found, key=lambda row: -(row.top_priority or 0.0))

    @cached_property
    def _own(self) -> list[WatchedAthlete]:
        return [row for row in self.rows if not self.has_own or row.coach_id == self.reader.pk]

    @cached_property
    def _measured(self) -> list[WatchedAthlete]:
        return [row for row in self._own if row.consent_withdrawn_on is None]


def read_watched(user: User, today: dt.date) -> Watched:
    """Everybody who is stopped, and of those one looks after whoever may need something. Two queries.

    Who may be stopped is looked up by rows that say so: whether somebody is takes longer to ask of everybody.
    """
    own = has_own(user)
    rows = _watched(user, today, own, adult_when_born_by(), *seen_limits(today))
    return Watched(tuple(map(WatchedAthlete._make, rows)), today, user, own)


@worded_once
def _worked_on(user: User, own: bool) -> QuerySet:
    work = Prescription.objects.visible_to(user).open().filter(athlete__standing__flags_recurring__gt=0)
    running = work.filter(athlete__responsible_coach=user) if own else work
    found = PrescriptionReason.objects.filter(prescription__in=running.order_by())
    return found.order_by().values_list("prescription__athlete", "metric", "direction")


@worded_once
def _watched(
    user: User, today: dt.date, own: bool, of_age: dt.date, seen_before: dt.date, entered_before: dt.datetime
) -> QuerySet:
    pain = PainReport.objects.open().values("athlete")
    stops = Availability.objects.filter(state=Availability.State.STOPPED, valid_from__lte=today).values("athlete")
    mine = Q(responsible_coach=user) if own else Q()
    waits = Q(flag_count__gt=0) | Q(is_unseen=1) | Q(birth_date__gt=of_age)
    everyone = everyone_since(today, seen_before, entered_before).visible_to(user)
    found = everyone.filter(Q(pk__in=pain) | Q(pk__in=stops) | (mine & waits))
    return found.order_by("family_name", "given_name", "pk").values_list(*READ)
