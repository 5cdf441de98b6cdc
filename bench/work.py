"""A day in a benchmark's facility: work for every athlete, with ticks, throws and follow-ups, and some who came."""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Sequence

from django.utils import timezone

from athletes.models import Athlete, Feeling, User
from athletes.services.check_ins import check_in
from plans.library import dose_to_fields
from plans.models import FollowUp, InterventionVersion, Prescription, PrescriptionReason, ThrowCount, WorkTick
from plans.services.library import install_starting_library

GIVEN = ("hip_turns_seated", "stride_pause_throw")
WEEKS, TICKED_DAYS, THROWN_DAYS = 5, 4, 6
ONE_DUE_IN = 12


def give_everyone_work(athletes: Sequence[Athlete], by: User, today: dt.date) -> None:
    """Two works each that began five weeks ago; the follow-up is next week, of one athlete in twelve today."""
    install_starting_library()
    versions = InterventionVersion.objects.filter(intervention__key__in=GIVEN)
    start, now = today - dt.timedelta(weeks=WEEKS), timezone.now()
    works = Prescription.objects.bulk_create(
        Prescription(
            athlete=athlete,
            version=version,
            dose=dose_to_fields(version.value.dose_at(20)),
            start=start,
            written_at=now,
            written_by=by,
            is_shown=True,
        )
        for athlete, version in itertools.product(athletes, versions)
    )
    PrescriptionReason.objects.bulk_create(
        PrescriptionReason(prescription=one, place=0, metric="hip_ir_front", direction="low") for one in works
    )
    FollowUp.objects.bulk_create(
        FollowUp(
            prescription=one,
            begins=start,
            due=today + dt.timedelta(days=0 if one.athlete_id % ONE_DUE_IN == 0 else 7),
            changed_at=now,
        )
        for one in works
    )
    back = [today - dt.timedelta(days=days) for days in range(1, THROWN_DAYS + 1)]
    WorkTick.objects.bulk_create(
        WorkTick(prescription=one, date=date, ticked_at=now, ticked_by=by)
        for one, date in itertools.product(works, back[:TICKED_DAYS])
    )
    ThrowCount.objects.bulk_create(
        ThrowCount(athlete=athlete, date=date, pitches=20, entered_at=now, entered_by=by)
        for athlete, date in itertools.product(athletes, back[::2])
    )


def check_in_some(athletes: Sequence[Athlete], by: User) -> None:
    """The last two have sore muscles, the others feel fine."""
    for place, athlete in enumerate(athletes):
        feeling = Feeling.SORE if place >= len(athletes) - 2 else Feeling.FINE
        check_in(athlete=athlete, feeling=feeling, by=by, is_here=True)
