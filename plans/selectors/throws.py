"""Everything thrown on the days of an athlete: entered, counted in sessions, and ticked drills that are throws."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from django.db.models import Count as CountOf

from athletes.models import Athlete, Role, User
from athletes.policy import CARE, FAMILY
from plans.models import ThrowCount, WorkTick
from plans.throwing_load import MOST_PITCHES, Count, Day, Source, days_between
from sessions.models import Method, Throw


def counts_are_hidden(athlete: Athlete, reader: User) -> bool:
    """While consent is withdrawn only admins read what sessions and work hold; what was entered stays to be read."""
    return athlete.consent_withdrawn_on is not None and reader.role != Role.ADMIN


def thrown_days(athlete: Athlete, reader: User, first: dt.date, last: dt.date) -> tuple[Day, ...]:
    """Every day from `first` to `last`, never before the birth. Three queries; one while counts are hidden."""
    first = max(first, athlete.birth_date)
    counts = list(_entered(athlete, first, last))
    if not counts_are_hidden(athlete, reader):
        counts += [*_in_sessions(athlete, first, last), *_drills(athlete, first, last)]
    return days_between(counts, first, last)


def may_change(count: ThrowCount, reader: User) -> bool:
    """Staff and clinicians change any entry of theirs; the family its own; a visiting coach what they entered."""
    by = count.entered_by
    if reader.role in CARE or (by is not None and by.pk == reader.pk):
        return True
    return by is not None and reader.role in FAMILY and by.role in FAMILY


def _entered(athlete: Athlete, first: dt.date, last: dt.date) -> Iterator[Count]:
    rows = ThrowCount.objects.filter(athlete=athlete, date__range=(first, last))
    for row in rows.only("date", "pitches", "is_game", "ended_on"):
        yield Count(row.date, row.pitches, is_game=row.is_game, ended_on=row.ended_on)


def _in_sessions(athlete: Athlete, first: dt.date, last: dt.date) -> Iterator[Count]:
    """All throws of all methods, the excluded ones too: the arm threw them."""
    held = Throw.objects.filter(
        session__athlete=athlete, session__date__range=(first, last), session__withdrawn_at=None
    ).exclude(session__method=Method.HANDS_ON)
    rows = held.order_by().values("session", "session__date").annotate(thrown=CountOf("pk"))
    for date, thrown in rows.values_list("session__date", "thrown"):
        for begun in range(0, thrown, MOST_PITCHES):  # a file may hold more throws than one count takes
            yield Count(date, min(thrown - begun, MOST_PITCHES), Source.SESSION)


def _drills(athlete: Athlete, first: dt.date, last: dt.date) -> Iterator[Count]:
    """Also of work that has ended since."""
    rows = WorkTick.objects.standing().filter(
        prescription__athlete=athlete, date__range=(first, last), prescription__version__fields__has_throws=True
    )
    for date, throws in rows.order_by().values_list("date", "throws"):
        yield Count(date, throws, Source.DRILL)
