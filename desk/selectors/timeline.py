"""An athlete's time line: everything that happened, newest first, of one kind or of all."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from uuid import UUID

from django.urls import reverse
from django.utils import timezone

from athletes.models import Athlete, BodySize, Facility, Note, User
from desk.selectors.sessions import SessionLine, session_lines
from metrics.models import Share
from plans.library import tell_dose
from plans.models import FollowUp, Prescription
from plans.selectors.response_words import decided_words
from plans.services.prescribing import dose_of
from sessions.models import CaptureSession

KINDS = {
    "session": "Sessions",
    "note": "Notes",
    "share": "Shared",
    "work": "Work",
    "pain": "Pain",
    "consent": "Consent",
    "availability": "Availability",
    "size": "Height and mass",
    "level": "Level",
}


@dataclass(frozen=True, slots=True)
class Entry:
    """One line. `kind` is a key of KINDS; `at` orders the entries of one day, the latest first."""

    kind: str
    on: dt.date
    at: dt.datetime
    title: str
    detail: str = ""
    by: str = ""
    is_stop: bool = False
    session: SessionLine | None = None
    size: BodySize | None = None
    note_uuid: UUID | None = None
    report_uuid: UUID | None = None
    for_family: bool = True
    url: str = ""


def timeline(athlete: Athlete, user: User, today: dt.date, kind: str = "") -> list[Entry]:
    """Only what the person may read: notes and sessions pass `visible_to`; file names are for staff."""
    makers = {kind: MAKERS[kind]} if kind in MAKERS else MAKERS
    entries = [entry for maker in makers.values() for entry in maker(athlete, user, today)]
    return sorted(entries, key=lambda entry: (entry.on, entry.at), reverse=True)


def _start_of(day: dt.date) -> dt.datetime:
    return timezone.make_aware(dt.datetime.combine(day, dt.time.min))


def _sessions(athlete: Athlete, user: User, today: dt.date) -> Iterator[Entry]:
    rows = CaptureSession.objects.visible_to(user).filter(athlete=athlete)
    for line in session_lines(rows, today, files=user.is_coaching_staff):
        yield Entry("session", line.date, _start_of(line.date), line.method, session=line)


def _notes(athlete: Athlete, user: User, today: dt.date) -> Iterator[Entry]:
    for note in Note.objects.visible_to(user).filter(athlete=athlete).select_related("author"):
        at = timezone.localtime(note.written_at)
        title = "Cue" if note.is_cue else "Note"
        yield Entry(
            "note",
            at.date(),
            at,
            title,
            note.text,
            str(note.author or ""),
            note_uuid=note.uuid,
            for_family=note.for_family,
        )


def _pain(athlete: Athlete, user: User, today: dt.date) -> Iterator[Entry]:
    for report in athlete.pain_reports.select_related("reported_by", "clearance"):
        at = timezone.localtime(report.reported_at)
        much = "" if report.how_much is None else f"{report.how_much} of 10"
        since = f"since {report.since.day} {report.since:%B %Y}" if report.since else ""
        clearance = getattr(report, "clearance", None)
        detail = ", ".join(part for part in (much, since) if part)
        title = f"Pain: {report.where}"
        by = str(report.reported_by or "")
        if clearance is None:
            yield Entry("pain", at.date(), at, title, detail, by, is_stop=True, report_uuid=report.uuid)
        else:
            yield Entry("pain", at.date(), at, title, detail, by)
            title = f"Cleared: {report.where}"
            limits = clearance.limits or "without limits"
            at = _start_of(clearance.cleared_on)
            yield Entry("pain", clearance.cleared_on, at, title, limits, clearance.cleared_by_name)


def _shares(athlete: Athlete, user: User, today: dt.date) -> Iterator[Entry]:
    for share in Share.objects.visible_to(user).filter(athlete=athlete).select_related("shared_by", "session"):
        at = timezone.localtime(share.shared_at)
        title = f"Shared: the session of {share.session.date.day} {share.session.date:%B %Y}"
        yield Entry("share", at.date(), at, title, share.summary, str(share.shared_by or ""))


def _work(athlete: Athlete, user: User, today: dt.date) -> Iterator[Entry]:
    """What was given, and what was decided on it, with what the measurements said then."""
    given = Prescription.objects.visible_to(user).filter(athlete=athlete)
    for row in given.select_related("version", "written_by"):
        at = timezone.localtime(row.written_at)
        detail = f"{tell_dose(dose_of(row))}, from {row.start.day} {row.start:%B %Y}"
        yield Entry("work", at.date(), at, f"Work given: {row.version.name}", detail, str(row.written_by or ""))
    decided = FollowUp.objects.filter(prescription__in=given).exclude(decision="").order_by()
    system = user.units or Facility.current().units
    for one in decided.select_related("prescription__version", "decided_by"):
        at = timezone.localtime(one.decided_at)
        title = f"Follow-up, {one.get_decision_display()}: {one.prescription.version.name}"
        said = decided_words(one, system)
        detail = " ".join(part for part in (said.sentence if said.decides else "", one.note) if part)
        url = reverse("plans:follow-up", args=[one.uuid])
        yield Entry("work", at.date(), at, title, detail, str(one.decided_by or ""), url=url)


def _consents(athlete: Athlete, user: User, today: dt.date) -> Iterator[Entry]:
    for row in athlete.consents.select_related("text"):
        by = f"{row.given_by_name}, {row.relation}"
        yield Entry("consent", row.given_on, _start_of(row.given_on), "Consent", f"text {row.text.version}", by)
        if row.withdrawn_on:
            yield Entry("consent", row.withdrawn_on, _start_of(row.withdrawn_on), "Consent withdrawn", "", by)


def _availability(athlete: Athlete, user: User, today: dt.date) -> Iterator[Entry]:
    for row in athlete.availabilities.select_related("set_by"):
        until = f"until {row.until.day} {row.until:%B %Y}" if row.until else ""
        detail = ", ".join(part for part in (row.limits, until) if part)
        title = f"Availability: {row.get_state_display()}"
        yield Entry("availability", row.valid_from, _start_of(row.valid_from), title, detail, str(row.set_by or ""))


def _sizes(athlete: Athlete, user: User, today: dt.date) -> Iterator[Entry]:
    for row in athlete.body_sizes.all():
        yield Entry("size", row.date, _start_of(row.date), "Measured", size=row)


def _levels(athlete: Athlete, user: User, today: dt.date) -> Iterator[Entry]:
    for row in athlete.levels.all():
        yield Entry("level", row.valid_from, _start_of(row.valid_from), f"Level: {row.get_level_display()}")


MAKERS: dict[str, Callable[[Athlete, User, dt.date], Iterator[Entry]]] = {
    "session": _sessions,
    "note": _notes,
    "share": _shares,
    "work": _work,
    "pain": _pain,
    "consent": _consents,
    "availability": _availability,
    "size": _sizes,
    "level": _levels,
}
