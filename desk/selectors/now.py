"""What the database must know of an athlete today in order to sort and filter: stopped, level, seen or not.

Pages show what `athletes.facts` says; a test holds both against each other.
"""

from __future__ import annotations

import datetime as dt
from functools import lru_cache

from django.conf import settings
from django.db.models import (
    Case,
    Exists,
    F,
    FilteredRelation,
    IntegerField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import Coalesce
from django.utils import timezone

from athletes.models import Availability, LevelPeriod, PainReport, User
from athletes.models.people import Athlete, AthleteQuerySet
from athletes.worded import worded_once

SeenLimits = tuple[dt.date, dt.datetime]
STOPPED, AWAY = Availability.State.STOPPED, Availability.State.AWAY


def unseen_before(today: dt.date) -> dt.date:
    """Whoever was last measured before this date was not seen for too long."""
    return today - dt.timedelta(weeks=settings.UNSEEN_AFTER_WEEKS)


def has_own(user: User) -> bool:
    """Whether the user looks after some athletes; whoever has none of their own looks after everyone."""
    return bool(_one_of(user))


@worded_once
def _one_of(user: User) -> QuerySet:
    return Athlete.objects.visible_to(user).filter(responsible_coach=user).order_by().values_list("pk")[:1]


def with_state(athletes: AthleteQuerySet, today: dt.date) -> AthleteQuerySet:
    """Adds what `with_held` and `with_level` add, has_open_pain, and is_stopped (0 or 1)."""
    return (
        with_level(with_held(athletes, today), today)
        .annotate(has_open_pain=Exists(PainReport.objects.open().filter(athlete=OuterRef("pk"))))
        .annotate(is_stopped=_one_when(Q(has_open_pain=True) | Q(state_now=STOPPED)))
    )


def with_held(athletes: AthleteQuerySet, today: dt.date) -> AthleteQuerySet:
    """Adds `held`, the availability in force, joined once for all its fields, and state_now, "" without one."""
    rows = Availability.objects.filter(athlete=OuterRef("pk"), valid_from__lte=today)
    latest = rows.filter(Q(until__isnull=True) | Q(until__gte=today)).order_by("-valid_from").values("pk")[:1]
    held = FilteredRelation("availabilities", condition=Q(availabilities__pk=Subquery(latest)))
    return athletes.annotate(held=held, state_now=Coalesce(F("held__state"), Value("")))


def with_level(athletes: AthleteQuerySet, today: dt.date) -> AthleteQuerySet:
    """Adds level_now, "" before the first level."""
    levels = LevelPeriod.objects.filter(athlete=OuterRef("pk"), valid_from__lte=today).order_by("-valid_from")
    return athletes.annotate(level_now=Coalesce(Subquery(levels.values("level")[:1]), Value("")))


def with_standing(athletes: AthleteQuerySet, today: dt.date) -> AthleteQuerySet:
    """Adds flag_count, urgency (priority of the first flag, 0 without one) and is_unseen; needs `with_state`.

    Somebody who was never measured counts from the day on which they were entered. Away is not unseen.
    """
    return _with_standing(athletes, *seen_limits(today))


def everyone_now(today: dt.date) -> AthleteQuerySet:
    """All athletes with state and standing, to be narrowed by `visible_to` and sorted: the roster's beginning."""
    return everyone_since(today, *seen_limits(today))


@lru_cache(maxsize=2)
def everyone_since(today: dt.date, seen_before: dt.date, entered_before: dt.datetime) -> AthleteQuerySet:
    """`everyone_now` by the limits of `seen_limits`. Kept, since wording it takes longer than asking it; never
    evaluated itself.
    """
    return _with_standing(with_state(Athlete.objects.all(), today), seen_before, entered_before)


def seen_limits(today: dt.date) -> SeenLimits:
    """Before which date somebody was last measured, or entered without being measured, who is unseen."""
    limit = unseen_before(today)
    return limit, timezone.make_aware(dt.datetime.combine(limit, dt.time.min))


def _with_standing(athletes: AthleteQuerySet, seen_before: dt.date, entered_before: dt.datetime) -> AthleteQuerySet:
    long_ago = Q(standing__last_date__lt=seen_before) | Q(standing__last_date=None, created_at__lt=entered_before)
    count = F("standing__flags_new") + F("standing__flags_confirmed") + F("standing__flags_recurring")
    return (
        athletes.select_related("standing")
        .annotate(flag_count=Coalesce(count, Value(0), output_field=IntegerField()))
        .annotate(
            urgency=Case(When(flag_count__gt=0, then=F("standing__top_priority")), default=Value(0.0)),
            is_unseen=_one_when(long_ago & ~Q(state_now=AWAY)),
        )
    )


def _one_when(condition: Q) -> Case:
    return Case(When(condition, then=Value(1)), default=Value(0), output_field=IntegerField())
