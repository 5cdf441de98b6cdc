"""The work that an athlete and the family read as theirs: what, how much, with whom, and on which days it was done."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from django.db.models import QuerySet

from athletes.models import Athlete, User
from athletes.worded import Keys, worded_once
from plans.library import Dose, Intervention
from plans.models import InterventionMedia, Prescription, WorkTick
from plans.selectors.work import OpenWork, look_again, open_work

ONE_DAY = dt.timedelta(days=1)
DAYS_SHOWN = 7


@dataclass(frozen=True, slots=True)
class WorkDay:
    """One day of one work. `throws`: of a ticked drill that is throws; `is_open`: it may be ticked."""

    date: dt.date
    is_done: bool
    is_open: bool
    throws: int | None


@dataclass(frozen=True, slots=True)
class Work:
    """`days`: the last seven, today first. `planned` days a week as the dose says them, empty where it does not;
    `done_this_week` from Monday to today. `pictures`: the facility's own, of how it is done.
    """

    of: OpenWork
    days: tuple[WorkDay, ...]
    planned: str
    done_this_week: int
    pictures: tuple[InterventionMedia, ...]

    @property
    def uuid(self) -> UUID:
        return self.of.prescription.uuid

    @property
    def may_be_ticked(self) -> bool:
        return not self.of.held and not self.of.is_ahead

    @property
    def today(self) -> WorkDay:
        return self.days[0]

    @property
    def earlier(self) -> tuple[WorkDay, ...]:
        """The days before today that may be ticked."""
        return tuple(day for day in self.days[1:] if day.is_open)

    @property
    def throws_to_correct(self) -> tuple[WorkDay, ...]:
        """Ticked days of a drill that is throws."""
        return tuple(day for day in self.days if day.is_done) if self.of.has_throws else ()


@dataclass(frozen=True, slots=True)
class WeekDay:
    date: dt.date
    done: int
    is_today: bool
    is_ahead: bool

    @property
    def marks(self) -> range:
        return range(self.done)


@dataclass(frozen=True, slots=True)
class TodaysWork:
    """All open work that is shown, and how much of it was done on each day of this week, Monday first."""

    athlete: UUID
    today: dt.date
    works: tuple[Work, ...]
    week: tuple[WeekDay, ...]

    @property
    def look_days(self) -> tuple[dt.date, ...]:
        """Every day on which something of it is measured again, past ones too."""
        return tuple(one.of.follow_up_due for one in self.works if one.of.follow_up_due)


def todays_work(athlete: Athlete, reader: User, today: dt.date) -> TodaysWork:
    """What is shown to the family, also when staff read it. Nothing while the reader may not read what was measured.

    `athlete` best loaded with facts. Four queries besides those of its facts, one where nothing is open.
    """
    works = open_work(athlete, today, rows=look_again(_shown(reader, Keys.of([athlete.pk]))))
    ticks = _ticks([one.prescription.pk for one in works], today)
    pictures = _pictures(works)
    told = tuple(
        _work(one, today, ticks[one.prescription.pk], pictures[one.prescription.version.intervention_id])
        for one in works
    )
    return TodaysWork(athlete.uuid, today, told, _week(ticks.values(), today))


@worded_once
def _shown(reader: User, athletes: Keys) -> QuerySet:
    seen = Prescription.objects.visible_to(reader).open().filter(athlete__in=athletes.places, is_shown=True)
    return seen.select_related("version__intervention").order_by("start", "id")


def _ticks(keys: Collection[int], today: dt.date) -> defaultdict[int, dict[dt.date, WorkTick]]:
    """Standing ticks of the days shown, which hold the week up to today."""
    found: defaultdict[int, dict[dt.date, WorkTick]] = defaultdict(dict)
    if keys:
        first = today - (DAYS_SHOWN - 1) * ONE_DAY
        for tick in _standing(Keys.of(keys), first, today):
            found[tick.prescription_id][tick.date] = tick
    return found


@worded_once
def _standing(works: Keys, first: dt.date, last: dt.date) -> QuerySet:
    return WorkTick.objects.standing().filter(prescription__in=works.places, date__range=(first, last))


def _pictures(works: Collection[OpenWork]) -> defaultdict[int, list[InterventionMedia]]:
    """Pictures and videos by intervention."""
    found: defaultdict[int, list[InterventionMedia]] = defaultdict(list)
    if works:
        keys = {one.prescription.version.intervention_id for one in works}
        for media in _media(Keys.of(keys)):
            found[media.intervention_id].append(media)
    return found


@worded_once
def _media(interventions: Keys) -> QuerySet:
    return InterventionMedia.objects.filter(intervention__in=interventions.places).order_by("added_at", "pk")


def _work(
    one: OpenWork, today: dt.date, ticks: Mapping[dt.date, WorkTick], pictures: Iterable[InterventionMedia]
) -> Work:
    row, monday = one.prescription, today - today.weekday() * ONE_DAY
    return Work(
        of=one,
        days=tuple(_day(today - back * ONE_DAY, one, ticks) for back in range(DAYS_SHOWN)),
        planned=planned_days(row.version.value, one.dose),
        done_this_week=sum(monday <= date for date in ticks),
        pictures=tuple(pictures),
    )


def _day(date: dt.date, one: OpenWork, ticks: Mapping[dt.date, WorkTick]) -> WorkDay:
    tick = ticks.get(date)
    is_open = not one.held and date >= one.prescription.start
    return WorkDay(date, tick is not None, is_open, tick.throws if tick else None)


def planned_days(value: Intervention, dose: Dose) -> str:
    """ "3", "2 to 3"; empty where the dose names no days, and for what asks for less, which is done by not doing."""
    if dose.days is None or value.is_restraint:
        return ""
    low, high = dose.days
    return str(low) if low == high else f"{low} to {high}"


def _week(ticks: Iterable[Mapping[dt.date, WorkTick]], today: dt.date) -> tuple[WeekDay, ...]:
    monday = today - today.weekday() * ONE_DAY
    done: defaultdict[dt.date, int] = defaultdict(int)
    for of_work in ticks:
        for date in of_work:
            done[date] += 1
    dates = [monday + step * ONE_DAY for step in range(DAYS_SHOWN)]
    return tuple(WeekDay(date, done[date], date == today, date > today) for date in dates)
