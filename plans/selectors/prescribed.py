"""What was given to an athlete, as the plan shows it: what for, how much, since when, how it stands."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Count, Prefetch
from django.urls import reverse
from django.utils import timezone

from athletes.models import Athlete
from athletes.words import counted
from metrics.models import Finding
from metrics.selectors.session_words import confirmation_words
from plans.library import hold
from plans.library.model import End
from plans.models import FollowUp, Prescription, PrescriptionReason, WorkTick
from plans.selectors.due_words import due_words
from plans.selectors.end_words import end_words
from plans.selectors.response_words import ResponseWords, response_of
from plans.selectors.situation import situation_of
from plans.selectors.work import OpenWork, with_open_follow_up, work_on
from sessions.models import Landing

TICKED_DAYS = 14
ENDINGS = {
    Prescription.Ending.CLOSED: "Closed after a follow-up",
    Prescription.Ending.CHANGED: "Changed for other work",
    Prescription.Ending.STOPPED: "Stopped early",
}


@dataclass(frozen=True, slots=True)
class Why:
    """One reason. `counted`: "recurring, 2 of 3", "" where nothing was counted; `date`: None for never measured."""

    label: str
    counted: str
    is_starting_point: bool
    date: dt.date | None


@dataclass(frozen=True, slots=True)
class PrescriptionView:
    """`due_words`: "in 6 weeks", "3 days late"; `ticked`: "ticked on 5 of the last 14 days", "" for none.

    `response`: what a re-measurement said, None for nothing yet; `response_decided_on`: on which day somebody decided
    on it, None while it is to be decided. `ended`: how it ended, "" while it is open.
    `follow_up_url`: where it is decided, "" where it has ended.
    """

    work: OpenWork
    why: tuple[Why, ...]
    due_words: str
    is_due: bool
    is_late: bool
    ticked: str
    response: ResponseWords | None
    response_decided_on: dt.date | None
    follow_up_url: str
    ended: str
    ended_on: dt.date | None
    note_of_end: str
    may_go_on: bool

    @property
    def row(self) -> Prescription:
        return self.work.prescription


def prescriptions_of(athlete: Athlete) -> list[Prescription]:
    """All that was ever given and not taken back, the newest first, with what the views of them ask. Four queries."""
    rows = with_open_follow_up(Prescription.objects.filter(athlete=athlete)).prefetch_related(
        Prefetch("reasons", PrescriptionReason.objects.order_by("place").select_related("session")),
        Prefetch("follow_ups", FollowUp.objects.select_related("response").order_by("due", "id")),
    )
    return list(rows.order_by("-start", "-id"))


def work_of(athlete: Athlete, rows: Iterable[Prescription], on: dt.date) -> list[OpenWork]:
    """The open ones of `prescriptions_of`, each held or not on that day."""
    now = situation_of(athlete, on)
    return [work_on(row, on, hold(row.version.value, now)) for row in rows if row.ended_on is None]


def views_of(
    rows: Sequence[Prescription], works: Iterable[OpenWork], on: dt.date, *, system: str, landing: str = Landing.UNKNOWN
) -> list[PrescriptionView]:
    """`rows` and `works`: of `prescriptions_of` and `work_of`; `system`: the reader's units. Two queries."""
    held = {one.prescription.pk: one for one in works}
    found, ticked = _findings(rows), _ticked(rows, on)
    return [
        _view(row, held.get(row.pk) or work_on(row, on), found, ticked, on=on, system=system, landing=landing)
        for row in rows
    ]


def response_told(row: Prescription, system: str) -> tuple[ResponseWords | None, dt.date | None]:
    """What the measurements say of it: as they stand, or of its last decision that rested on some, and its day."""
    for one in reversed(list(row.follow_ups.all())):
        told = response_of(one, system)
        if told.word:
            return told, timezone.localtime(one.decided_at).date() if one.decided_at else None
    return None, None


def _view(
    row: Prescription,
    work: OpenWork,
    found: Mapping[tuple[int, str], Finding],
    ticked: Mapping[int, int],
    *,
    on: dt.date,
    system: str,
    landing: str,
) -> PrescriptionView:
    due, follow_ups = work.follow_up_due, list(row.follow_ups.all())
    response, decided_on = response_told(row, system)
    days = min((on - row.start).days + 1, TICKED_DAYS)
    return PrescriptionView(
        work=work,
        why=tuple(_why(one, found, landing) for one in row.reasons.all()),
        due_words=due_words(due, on) if due else "",
        is_due=due is not None and due <= on,
        is_late=due is not None and due < on,
        ticked=f"ticked on {ticked[row.pk]} of the last {counted(days, 'day')}" if ticked.get(row.pk) else "",
        response=response,
        response_decided_on=decided_on,
        follow_up_url=_follow_up_url(row),
        ended=ENDINGS[Prescription.Ending(row.ending)] if row.ended_on else "",
        ended_on=row.ended_on,
        note_of_end=follow_ups[-1].note if row.ended_on and follow_ups else "",
        may_go_on=row.ending == Prescription.Ending.STOPPED,
    )


def _follow_up_url(row: Prescription) -> str:
    waiting = next((one for one in row.follow_ups.all() if not one.decision), None)
    return reverse("plans:follow-up", args=[waiting.uuid]) if waiting and row.ended_on is None else ""


def _why(one: PrescriptionReason, found: Mapping[tuple[int, str], Finding], landing: str) -> Why:
    end: End = (one.metric, one.direction)
    finding = found.get((one.session_id, one.metric)) if one.session_id else None
    is_that_flag = finding is not None and finding.side == one.direction
    return Why(
        label=end_words(end, landing),
        counted=confirmation_words(finding) if finding and is_that_flag else "",
        is_starting_point=one.is_starting_point,
        date=one.session.date if one.session else None,
    )


def _findings(rows: Iterable[Prescription]) -> dict[tuple[int, str], Finding]:
    reasons = [one for row in rows for one in row.reasons.all() if one.session_id]
    if not reasons:
        return {}
    asked = Finding.objects.filter(
        session__in={one.session_id for one in reasons}, metric__in={one.metric for one in reasons}
    )
    return {(one.session_id, one.metric): one for one in asked.order_by()}


def _ticked(rows: Iterable[Prescription], on: dt.date) -> dict[int, int]:
    """Days ticked of the last two weeks, by prescription; what ran none of them has none."""
    since = on - dt.timedelta(days=TICKED_DAYS - 1)
    open_rows = [row.pk for row in rows if row.ended_on is None]
    if not open_rows:
        return {}
    counted_rows = (
        WorkTick.objects.standing()
        .filter(prescription__in=open_rows, date__gte=since, date__lte=on)
        .order_by()
        .values_list("prescription")
        .annotate(days=Count("pk"))
    )
    return dict(counted_rows)
