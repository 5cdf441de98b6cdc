"""One follow-up, to be decided or decided: what the measurements say, how often it was done, what was said before."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from django.urls import reverse
from django.utils import timezone

from athletes.words import day_words
from metrics.catalogue import load_catalogue
from plans.library import tell_dose, tell_supervision
from plans.models import FollowUp, Prescription
from plans.selectors.adherence import Adherence, adherence_of
from plans.selectors.follow_up_rows import FollowUpRow, row_of
from plans.selectors.needed import deciding_reason
from plans.selectors.response_words import ResponseWords, decided_words, metric_words
from plans.services.prescribing import dose_of


@dataclass(frozen=True, slots=True)
class Decided:
    """A decision on this work. `words`: "continued on 14 April by Ngaire Abaza"."""

    uuid: UUID
    words: str
    note: str
    response: ResponseWords


@dataclass(frozen=True, slots=True)
class Step:
    """Where the measurement is made that is still to come."""

    words: str
    url: str


@dataclass(frozen=True, slots=True)
class FollowUpPage:
    """`row`: as the list shows it; `reasons`: what the work was given for; `before`: earlier decisions, latest first.

    `decided`: the decision on this follow-up, None while it is open. `continue_on`: the date that *continue* offers.
    """

    row: FollowUpRow
    athlete_uuid: UUID
    dose: str
    supervision: str
    given: str
    reasons: tuple[str, ...]
    adherence: Adherence
    before: tuple[Decided, ...]
    decided: Decided | None
    step: Step | None
    continue_on: dt.date
    revision: int


def follow_up_facts(follow_up: FollowUp, today: dt.date, system: str) -> FollowUpPage:
    """`follow_up` is loaded as the list loads its rows."""
    prescription, dose = follow_up.prescription, dose_of(follow_up.prescription)
    row = row_of(follow_up, today, system)
    earlier = prescription.follow_ups.exclude(pk=follow_up.pk).exclude(decision="").select_related("decided_by")
    return FollowUpPage(
        row=row,
        athlete_uuid=prescription.athlete.uuid,
        dose=tell_dose(dose),
        supervision=tell_supervision(dose),
        given=f"since {day_words(prescription.start, today)}",
        reasons=tuple(_reason(one.metric, one.direction) for one in prescription.reasons.all()),
        adherence=adherence_of(follow_up, dose, today),
        before=tuple(_decided(one, today, system) for one in earlier.order_by("-decided_at")),
        decided=_decided(follow_up, today, system) if follow_up.decision else None,
        step=_step(prescription) if row.response.stays_due and not follow_up.decision else None,
        continue_on=next_date(prescription, today),
        revision=prescription.revision,
    )


def next_date(prescription: Prescription, today: dt.date) -> dt.date:
    """When the library would look at this work again, from today."""
    return today + dt.timedelta(weeks=prescription.version.value.recheck_weeks[1])


def _reason(metric: str, direction: str) -> str:
    """elbow flexion at foot plant (straight)"""
    known = load_catalogue().metrics.get(metric)
    word = {"low": known.low_word, "high": known.high_word}.get(direction, "") if known else direction
    return f"{metric_words(metric)} ({word})" if word else metric_words(metric)


def _decided(one: FollowUp, today: dt.date, system: str) -> Decided:
    on = day_words(timezone.localtime(one.decided_at).date(), today) if one.decided_at else ""
    by = f" by {one.decided_by}" if one.decided_by else ""
    return Decided(one.uuid, f"{one.get_decision_display()} on {on}{by}", one.note, decided_words(one, system))


def _step(prescription: Prescription) -> Step | None:
    """Screens are typed, everything else comes as a file."""
    reason = deciding_reason(prescription)
    known = load_catalogue().metrics.get(reason.metric) if reason else None
    if known is None:
        return None
    if known.is_screen:
        return Step("Enter the screen", reverse("metrics:screens", args=[prescription.athlete.uuid]))
    return Step("Upload the session", reverse("sessions:uploads"))
