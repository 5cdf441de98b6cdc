"""Everything thrown on the days of an athlete: entered, counted in sessions, and ticked drills that are throws."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator

from django.db.models import Count as CountOf
from django.db.models import QuerySet

from athletes.models import Athlete, Role, User
from athletes.policy import CARE, FAMILY
from athletes.worded import Keys, worded_once
from plans.models import ThrowCount, WorkTick
from plans.throwing_load import MOST_PITCHES, Count, Day, Source, days_between
from sessions.models import Method, Throw


def counts_are_hidden(athlete: Athlete, reader: User) -> bool:
    """While consent is withdrawn only admins read what sessions and work hold; what was entered stays to be read."""
    return athlete.consent_withdrawn_on is not None and reader.role != Role.ADMIN


def thrown_days(athlete: Athlete, reader: User, first: dt.date, last: dt.date) -> tuple[Day, ...]:
    """Every day from `first` to `last`, never before the birth. Three queries; one while counts are hidden."""
    first = max(first, athlete.birth_date)
    asked = (Keys.of([athlete.pk]), first, last)
    counts = [Count(date, pitches, is_game=game, ended_on=ended) for date, pitches, game, ended in _entered(*asked)]
    if not counts_are_hidden(athlete, reader):
        counts += _counted(_in_sessions(*asked))
        counts += [Count(date, throws, Source.DRILL) for date, throws in _drills(*asked)]
    return days_between(counts, first, last)


def may_change(count: ThrowCount, reader: User) -> bool:
    """Staff and clinicians change any entry of theirs; the family its own; a visiting coach what they entered."""
    by = count.entered_by
    if reader.role in CARE or (by is not None and by.pk == reader.pk):
        return True
    return by is not None and reader.role in FAMILY and by.role in FAMILY


def _counted(days: Iterable[tuple[dt.date, int]]) -> Iterator[Count]:
    for date, thrown in days:
        for begun in range(0, thrown, MOST_PITCHES):  # a file may hold more throws than one count takes
            yield Count(date, min(thrown - begun, MOST_PITCHES), Source.SESSION)


@worded_once
def _entered(athletes: Keys, first: dt.date, last: dt.date) -> QuerySet:
    rows = ThrowCount.objects.filter(athlete__in=athletes.places, date__range=(first, last))
    return rows.values_list("date", "pitches", "is_game", "ended_on")


@worded_once
def _in_sessions(athletes: Keys, first: dt.date, last: dt.date) -> QuerySet:
    """All throws of all methods, the excluded ones too: the arm threw them."""
    held = Throw.objects.filter(
        session__athlete__in=athletes.places, session__date__range=(first, last), session__withdrawn_at=None
    ).exclude(session__method=Method.HANDS_ON)
    rows = held.order_by().values("session", "session__date").annotate(thrown=CountOf("pk"))
    return rows.values_list("session__date", "thrown")


@worded_once
def _drills(athletes: Keys, first: dt.date, last: dt.date) -> QuerySet:
    """Also of work that has ended since."""
    rows = WorkTick.objects.standing().filter(
        prescription__athlete__in=athletes.places,
        date__range=(first, last),
        prescription__version__fields__has_throws=True,
    )
    return rows.order_by().values_list("date", "throws")
