"""Work ticked as done on a day, and the tick taken back. A tick has the uuid of the browser: sent twice is once."""

from __future__ import annotations

import datetime as dt
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from athletes.models import User
from athletes.services.change_log import record_change
from athletes.services.validation import save_valid
from athletes.today import facility_today
from plans.library import Dose, hold
from plans.models import Prescription, WorkTick
from plans.selectors.situation import situation_of
from plans.services.prescribing import dose_of
from plans.throwing_load import MOST_PITCHES

OLDEST = dt.timedelta(days=14)
"""Further back nobody remembers what was done. House opinion."""

NOT_COUNTED = "This tick was not kept."
ENTER_THROWS = " If you threw that day, enter your throws."


@transaction.atomic
def tick_work(*, prescription: Prescription, on: dt.date, uuid: UUID, by: User) -> WorkTick:
    """The tick of that day: a new one, the one that stands already, or the one of this uuid as it is now.

    So it may be sent again, also after it was taken back. Of a drill that is throws it counts the most of its dose.
    Raises ValidationError, and stores nothing, for a day ahead or older than 14 days, before the start, and for work
    that is held, has ended or was taken away.
    """
    row = _locked(prescription)
    known = WorkTick.objects.filter(uuid=uuid).first()
    if known is not None:
        if (known.prescription_id, known.date) != (row.pk, on):
            raise ValidationError(f"{NOT_COUNTED} It belongs to other work. Load the page and tap again.")
        return known
    standing = row.ticks.standing().filter(date=on).first()
    if standing is not None:
        return standing
    _require_day(row, on)
    _require_open(row)
    return _store(row, on, uuid, by)


@transaction.atomic
def take_back_tick(*, prescription: Prescription, on: dt.date, by: User) -> None:
    """The day counts as not done. Nothing happens where no tick stands."""
    row = _locked(prescription)
    tick = row.ticks.standing().filter(date=on).first()
    if tick is None:
        return
    tick.taken_back_at = timezone.now()
    save_valid(tick)
    _log(by, "work.tick_taken_back", tick)


@transaction.atomic
def correct_throws(*, prescription: Prescription, on: dt.date, throws: int, by: User) -> WorkTick:
    """How many throws the drill of that day was. Raises ValidationError; the work may have been held since."""
    row = _locked(prescription)
    tick = row.ticks.standing().filter(date=on).first()
    if not row.version.value.has_throws:
        raise ValidationError({"throws": "This work has no throws."})
    if tick is None:
        raise ValidationError({"throws": f"Nothing is ticked on {day_words(on)}. Tick it first."})
    if not 0 <= throws <= MOST_PITCHES:
        raise ValidationError({"throws": f"{throws} throws cannot be. Write a number from 0 to {MOST_PITCHES}."})
    before, tick.throws = tick.throws, throws
    save_valid(tick)
    _log(by, "work.throws_corrected", tick, before=before)
    return tick


def throws_of(dose: Dose) -> int | None:
    """The most throws of a dose; None where its words do not say a number."""
    return dose.throws[1] if dose.throws else None


def day_words(on: dt.date) -> str:
    """ "Tuesday 14 April"."""
    return f"{on:%A} {on.day} {on:%B}"


def _locked(prescription: Prescription) -> Prescription:
    """As it is now, held until the transaction ends, so that two taps come one after the other."""
    rows = Prescription.everything.select_for_update(of=("self",)).select_related("athlete", "version")
    return rows.get(pk=prescription.pk)


def _require_day(row: Prescription, on: dt.date) -> None:
    today = facility_today()
    if on > today:
        raise ValidationError(f"{NOT_COUNTED} {day_words(on)} lies ahead: today is {day_words(today)}.")
    if on < today - OLDEST:
        raise ValidationError(f"{NOT_COUNTED} {day_words(on)} is more than {OLDEST.days} days ago.")
    if on < row.start:
        raise ValidationError(f"{NOT_COUNTED} “{row.version.name}” starts on {day_words(row.start)}.")


def _require_open(row: Prescription) -> None:
    value = row.version.value
    throws = ENTER_THROWS if value.has_throws else ""
    if row.withdrawn_at is not None or row.ended_on is not None:
        raise ValidationError(f"{NOT_COUNTED} “{row.version.name}” has ended.{throws}")
    if why := hold(value, situation_of(row.athlete, facility_today())):
        raise ValidationError(f"{NOT_COUNTED} “{row.version.name}” is not for now. {why}{throws}")


def _store(row: Prescription, on: dt.date, uuid: UUID, by: User) -> WorkTick:
    throws = throws_of(dose_of(row)) if row.version.value.has_throws else None
    tick = WorkTick(prescription=row, date=on, uuid=uuid, throws=throws, ticked_at=timezone.now(), ticked_by=by)
    try:
        with transaction.atomic():
            save_valid(tick)
    except IntegrityError:  # a database without row locks, and somebody was first
        return row.ticks.standing().get(date=on)
    _log(by, "work.ticked", tick)
    return tick


def _log(by: User, action: str, tick: WorkTick, *, before: int | None = None) -> None:
    prescription = tick.prescription
    record_change(
        by=by,
        action=action,
        row=tick,
        athlete_uuid=prescription.athlete.uuid,
        before={} if before is None else {"throws": before},
        after={"prescription": str(prescription.uuid), "date": str(tick.date), "throws": tick.throws},
    )
