"""Availability, pain and clearance."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from athletes.folding import folded
from athletes.models import Athlete, Availability, Clearance, PainReport, User
from athletes.services.change_log import record_change
from athletes.services.validation import logged, require_not_future, require_text, save_valid
from athletes.today import facility_today
from athletes.words import date_words

AVAILABILITY_FIELDS = ("state", "valid_from", "until", "limits")
CLEARANCE_FIELDS = ("cleared_by_name", "cleared_on", "limits")
PAIN_FIELDS = ("where", "how_much", "since")
State = Availability.State
OWN_LIMITS = (State.STOPPED, State.LIMITED, State.RETURN_TO_THROW)
A_DAY = dt.timedelta(days=1)


@transaction.atomic
def set_availability(
    *,
    athlete: Athlete,
    state: str,
    valid_from: dt.date,
    by: User | None,
    until: dt.date | None = None,
    limits: str = "",
    reason: str = "",
) -> Availability:
    """What the athlete may do from a date on; a row of the same date is replaced and kept in the change log.

    An absence or a stop with an end only hides what it replaces: that holds again the day after, as an older row would.
    """
    lock_athletes([athlete.pk])
    row = Availability.objects.filter(athlete=athlete, valid_from=valid_from).first()
    before = logged(row, AVAILABILITY_FIELDS)
    replaced = Availability.objects.get(pk=row.pk) if row is not None else None
    row = row or Availability(athlete=athlete, valid_from=valid_from)
    if until is not None and until < valid_from:
        raise ValidationError({"until": "It ends before it begins."})
    if state == State.LIMITED and not limits.strip():
        raise ValidationError({"limits": "Say what the limits are, for example 60 throws."})
    row.state, row.until, row.limits, row.set_by = state, until, limits.strip(), by
    save_valid(row)
    record_change(
        by=by,
        action="availability.set",
        row=athlete,
        athlete_uuid=athlete.uuid,
        before=before,
        after=logged(row, AVAILABILITY_FIELDS),
        reason=reason,
    )
    if replaced is not None and until is not None and state in (State.AWAY, State.STOPPED):
        _hold_again(replaced, state, until, by)
    return row


def lock_athletes(keys: Iterable[int]) -> None:
    """Until the end of the transaction: two requests may come at once. In one order, so that none waits for another."""
    list(Athlete.everything.select_for_update().filter(pk__in=list(keys)).order_by("pk").values_list("pk"))


def _hold_again(replaced: Availability, state: str, until: dt.date, by: User | None) -> None:
    """What an absence or a stop took the place of begins again after it, on the first day that is no later row's."""
    last = replaced.until
    if last is not None and last <= until:
        return
    if replaced.state != state:
        row: Availability | None = Availability(
            athlete=replaced.athlete, state=replaced.state, limits=replaced.limits, until=last, set_by=replaced.set_by
        )
        before: dict[str, Any] = {}
    else:
        # The same with an earlier end is a correction: limits that waited for the old end come with the new one.
        row = _limits_from(replaced.athlete, last + A_DAY) if last is not None else None
        before = logged(row, AVAILABILITY_FIELDS)
    if row is None:
        return
    begins = _first_free_day(replaced, row, until + A_DAY)
    if begins is None or (last is not None and begins > last):
        return
    row.valid_from = begins
    save_valid(row)
    record_change(
        by=by,
        action="availability.set",
        row=row.athlete,
        athlete_uuid=row.athlete.uuid,
        before=before,
        after=logged(row, AVAILABILITY_FIELDS),
        reason="holds again afterwards",
    )


def _limits_from(athlete: Athlete, day: dt.date) -> Availability | None:
    return Availability.objects.filter(athlete=athlete, valid_from=day, state__in=OWN_LIMITS).first()


def _first_free_day(replaced: Availability, row: Availability, day: dt.date) -> dt.date | None:
    """From `day` on; None when a row that was to follow the replaced one holds for good."""
    later = Availability.objects.filter(athlete=replaced.athlete, valid_from__gt=replaced.valid_from)
    for one in later.exclude(pk=row.pk).order_by("valid_from"):
        if one.valid_from > day:
            break
        if one.until is None:
            return None
        day = max(day, one.until + A_DAY)
    return day


@transaction.atomic
def report_pain(
    *, athlete: Athlete, where: str, by: User, how_much: int | None = None, since: dt.date | None = None
) -> PainReport:
    """Stops throwing and loaded work until a clearance is recorded, whoever reports it.

    The same place told again on the same day is the same report, which then says the worse and the longer of the two:
    a form that is sent twice must not need two clearances.
    """
    if since is not None:
        require_not_future(since, facility_today(), "since", "Pain")
    place = require_text(where, "where", "The place of the pain")
    lock_athletes([athlete.pk])
    report = _told_today(athlete, place)
    before = logged(report, PAIN_FIELDS)
    if report is None:
        report = PainReport(athlete=athlete, where=place, reported_at=timezone.now(), reported_by=by)
    report.how_much = max((n for n in (report.how_much, how_much) if n is not None), default=None)
    report.since = min((day for day in (report.since, since) if day is not None), default=None)
    save_valid(report)
    after = logged(report, PAIN_FIELDS)
    told = logged(PainReport(where=place, how_much=how_much, since=since), PAIN_FIELDS)
    if told != before or report.reported_by_id != by.pk:
        after |= {} if told == after else {"told": told}
        record_change(by=by, action="pain.reported", row=report, athlete_uuid=athlete.uuid, before=before, after=after)
    return report


def _told_today(athlete: Athlete, place: str) -> PainReport | None:
    """The open report of the same place, however it is spaced and written."""
    today, same = facility_today(), _place_key(place)
    found = PainReport.objects.open().filter(athlete=athlete)
    return next((one for one in found if one.reported_on == today and _place_key(one.where) == same), None)


def _place_key(place: str) -> list[str]:
    return folded(place).split()


@transaction.atomic
def record_clearance(
    *, report: PainReport, cleared_by_name: str, cleared_on: dt.date, by: User, limits: str = ""
) -> Clearance:
    """Ends the stop of one report. Limits that came with it become the availability from that date on."""
    lock_athletes([report.athlete_id])  # two people may press at once
    if Clearance.objects.filter(report=report).exists():
        raise ValidationError("A clearance of this report is already recorded.")
    require_not_future(cleared_on, facility_today(), "cleared_on", "A clearance")
    if cleared_on < report.reported_on:
        raise ValidationError({"cleared_on": f"The pain was reported on {date_words(report.reported_on)}, after that."})
    clearance = Clearance(
        report=report,
        cleared_by_name=require_text(cleared_by_name, "cleared_by_name", "The clinician’s name"),
        cleared_on=cleared_on,
        limits=limits.strip(),
        recorded_by=by,
    )
    save_valid(clearance)
    record_change(
        by=by,
        action="pain.cleared",
        row=report,
        athlete_uuid=report.athlete.uuid,
        after=logged(clearance, CLEARANCE_FIELDS),
    )
    if clearance.limits:
        set_availability(
            athlete=report.athlete,
            state=State.LIMITED,
            valid_from=cleared_on,
            limits=clearance.limits,
            by=by,
            reason=reason_of(clearance),
        )
    return clearance


def reason_of(clearance: Clearance) -> str:
    """Why limits were set that came with it, as the change log says it."""
    return f"Clearance by {clearance.cleared_by_name}"
