"""Giving work, changing it while it runs, stopping it early. Whether it may be given at all is asked here, once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from athletes.facts import age_on
from athletes.models import Athlete, User
from athletes.services.change_log import record_change
from athletes.services.validation import save_valid
from athletes.today import facility_today
from athletes.words import date_words
from metrics.catalogue import load_catalogue
from plans.library import Dose, Intervention, band_at, dose_from_fields, dose_to_fields, problems_of, stops
from plans.library.words import BANDS
from plans.models import FollowUp, InterventionVersion, Prescription, PrescriptionReason, Response
from plans.selectors.situation import situation_of
from plans.services.responses import rebuild_responses
from sessions.models import CaptureSession

LATEST = dt.timedelta(days=366)
"""Further ahead nobody plans; a year typed wrongly is caught. House opinion."""
CHANGED_MEANWHILE = "Somebody else changed this meanwhile. Look at it as it is now, then decide again."
WITHDRAWN = "“{name}” was withdrawn from the library. Choose another."
NO_CONSENT = "Consent is withdrawn: nothing new is given until somebody agrees again."
RUNNING = "“{name}” is in the plan already."


@dataclass(frozen=True, slots=True)
class Reason:
    """What work is given for. `session`: in which it was seen last, None for a suspicion that was never measured."""

    metric: str
    direction: str
    session: CaptureSession | None = None
    is_starting_point: bool = False


@dataclass(frozen=True, slots=True)
class Order:
    """What a coach decided on: the form of a prescription, whole. `due`: the follow-up date."""

    dose: Dose
    start: dt.date
    due: dt.date
    note: str = ""
    is_shown: bool = False


@transaction.atomic
def give_work(
    *,
    athlete: Athlete,
    version: InterventionVersion,
    order: Order,
    reasons: Sequence[Reason],
    by: User,
    replaces: Prescription | None = None,
) -> Prescription:
    """One prescription with its first follow-up. Raises ValidationError with every sentence that stands against it.

    Reasons that were measured come first: the first one decides the response.
    """
    athlete = Athlete.objects.select_for_update().get(pk=athlete.pk)
    _require_free(athlete, version, replaces)
    _require_good(athlete, version.value, order)
    row = Prescription(
        athlete=athlete,
        version=version,
        dose=dose_to_fields(order.dose),
        note=order.note.strip(),
        start=order.start,
        written_at=timezone.now(),
        written_by=by,
        is_shown=order.is_shown,
        replaces=replaces,
    )
    save_valid(row)
    _write_reasons(row, reasons)
    begin_follow_up(row, begins=order.start, due=order.due)
    _log(by, "prescription.given", row, order.due)
    rebuild_responses([athlete.pk])
    return row


@transaction.atomic
def change_order(*, prescription: Prescription, order: Order, seen: int, by: User) -> Prescription:
    """Another dose, note or date for work that runs. `seen`: the revision that the form showed."""
    row = lock_open(prescription, seen)
    _require_good(row.athlete, row.version.value, order, kept=dose_of(row), begun=row.start)
    row.dose, row.note, row.start = dose_to_fields(order.dose), order.note.strip(), order.start
    row.is_shown = order.is_shown
    row.revision += 1
    save_valid(row)
    follow_up = row.follow_ups.get(decision="")
    if follow_up.due != order.due or order.due <= follow_up.begins:
        first = not row.follow_ups.exclude(decision="").exists()
        follow_up.begins = order.start if first else follow_up.begins
        follow_up.due, follow_up.changed_at = order.due, timezone.now()
        follow_up.sequence += 1
        save_valid(follow_up)
    _log(by, "prescription.changed", row, order.due)
    rebuild_responses([row.athlete_id])
    return row


@transaction.atomic
def stop_work(*, prescription: Prescription, seen: int, by: User, note: str = "") -> Prescription:
    """Ends it before it was decided; the date leaves every calendar. What was measured by then is kept."""
    row = lock_open(prescription, seen)
    end(row, Prescription.Ending.STOPPED, by)
    decide(row.follow_ups.get(decision=""), FollowUp.Decision.STOPPED, by, note)
    _log(by, "prescription.stopped", row, None, reason=note)
    return row


def lock_open(prescription: Prescription, seen: int) -> Prescription:
    """The row as it is now, held until the transaction ends. Raises ValidationError when it is not what was seen."""
    row = Prescription.everything.select_for_update().select_related("athlete", "version").get(pk=prescription.pk)
    if row.withdrawn_at is not None or row.ended_on is not None or row.revision != seen:
        raise ValidationError(CHANGED_MEANWHILE)
    return row


def end(row: Prescription, ending: str, by: User) -> None:
    """Never before its start: what was stopped before it began lasted no day, and its start stays on record."""
    row.ended_on, row.ending, row.ended_by = max(facility_today(), row.start), ending, by
    row.revision += 1
    save_valid(row)


def decide(follow_up: FollowUp, decision: str, by: User, note: str) -> FollowUp:
    """The decision with the response as it stands. Raises ValidationError when somebody decided before."""
    row = FollowUp.objects.select_for_update().get(pk=follow_up.pk)
    if row.decision:
        raise ValidationError(CHANGED_MEANWHILE)
    now = timezone.now()
    response = Response.objects.filter(follow_up=row).first()
    row.decision, row.decided_at, row.decided_by = decision, now, by
    row.note = note.strip()[:300]
    row.decided_on = {"word": response.word, **response.told} if response else {}
    row.changed_at = now
    row.sequence += 1
    save_valid(row)
    return row


def dose_of(row: Prescription) -> Dose:
    """The dose as it was given, perhaps edited by the coach."""
    return dose_from_fields(row.dose, f"prescription {row.uuid}")


def _require_free(athlete: Athlete, version: InterventionVersion, replaces: Prescription | None) -> None:
    if athlete.consent_withdrawn_on is not None:
        raise ValidationError(NO_CONSENT)
    intervention = version.intervention
    if intervention.withdrawn_at is not None:
        raise ValidationError(WITHDRAWN.format(name=version.name))
    running = Prescription.objects.open().filter(athlete=athlete, version__intervention=intervention)
    if replaces is not None:
        running = running.exclude(pk=replaces.pk)
    if running.exists():
        raise ValidationError(RUNNING.format(name=version.name))


def _require_good(
    athlete: Athlete, value: Intervention, order: Order, *, kept: Dose | None = None, begun: dt.date | None = None
) -> None:
    """`kept`: the dose that runs already; what stops new work does not keep somebody from lowering a dose that runs."""
    today, due, start = facility_today(), date_words(order.due), date_words(order.start)
    sentences: dict[str, list[str]] = {}
    if kept is None and (against := stops(value, situation_of(athlete, today))):
        sentences["__all__"] = list(against)
    if wrong := dose_problems(value, order.dose, athlete, order.start):
        sentences["dose"] = wrong
    if order.due <= order.start:
        sentences["due"] = [f"The follow-up of {due} is not after the start of {start}. Choose a later day."]
    elif order.due > today + LATEST:
        sentences["due"] = [f"{due} is more than a year ahead. Check the year."]
    elif order.due <= today and kept is None:
        sentences["due"] = [f"{due} is past. A follow-up lies ahead of today."]
    if order.start != begun and not today - LATEST <= order.start <= today + LATEST:
        sentences["start"] = [f"{start} is more than a year away. Check the year."]
    if sentences:
        raise ValidationError(sentences)


def dose_problems(value: Intervention, dose: Dose, athlete: Athlete, start: dt.date) -> list[str]:
    """What the library would not take of this dose at the athlete's age: the same rules that hold its own doses.

    It is held against the doses of the older ones only: fewer than somebody younger is a coach's to give.
    """
    age = max(age_on(athlete.birth_date, start).years, 0) if start >= athlete.birth_date else 0
    band = band_at(age)
    older = {one: value.doses[one] for one in list(BANDS)[list(BANDS).index(band) + 1 :] if one in value.doses}
    edited = replace(value, doses=MappingProxyType({band: dose, **older}))
    before = set(problems_of(value))
    return [one for one in problems_of(edited) if one not in before]


def _write_reasons(row: Prescription, reasons: Sequence[Reason]) -> None:
    known = load_catalogue().metrics
    if not reasons:
        raise ValidationError({"reasons": ["Say what it is for: choose at least one finding or starting point."]})
    for one in reasons:
        if one.metric not in known:
            raise ValidationError({"reasons": [f"The catalogue has no “{one.metric}”. Choose another reason."]})
        if one.session is not None and one.session.athlete_id != row.athlete_id:
            raise ValidationError({"reasons": ["One of the findings is another athlete’s. Open the plan again."]})
    unique: dict[tuple[str, str], Reason] = {}
    for one in reasons:
        unique.setdefault((one.metric, one.direction), one)
    ordered = sorted(unique.values(), key=lambda one: one.session is None)
    PrescriptionReason.objects.bulk_create(
        PrescriptionReason(
            prescription=row,
            place=place,
            metric=one.metric,
            direction=one.direction,
            is_starting_point=one.is_starting_point,
            session=one.session,
        )
        for place, one in enumerate(ordered)
    )


def begin_follow_up(row: Prescription, *, begins: dt.date, due: dt.date) -> FollowUp:
    follow_up = FollowUp(prescription=row, begins=begins, due=due, changed_at=timezone.now())
    save_valid(follow_up)
    return follow_up


def _log(by: User, action: str, row: Prescription, due: dt.date | None, *, reason: str = "") -> None:
    after = {"intervention": row.version.intervention.key, "start": str(row.start), "shown": row.is_shown}
    after |= {"due": str(due)} if due else {}
    record_change(by=by, action=action, row=row, athlete_uuid=row.athlete.uuid, after=after, reason=reason)
