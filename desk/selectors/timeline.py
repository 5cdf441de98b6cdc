"""An athlete's time line: everything that happened, newest first, of one kind or of all."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from uuid import UUID

from django.urls import reverse
from django.utils import timezone

from athletes.models import Athlete, BodySize, ChangeLog, Facility, Note, User
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
    """One line. `kind` is a key of KINDS; `at` orders the entries of one day, the latest first.

    `place`: where `at` is the same, the higher one is later. What is kept with its day alone stands at its begin.
    """

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
    place: int = 0


def timeline(athlete: Athlete, user: User, today: dt.date, kind: str = "") -> list[Entry]:
    """Only what the person may read: notes and sessions pass `visible_to`; file names are for staff."""
    makers = {kind: MAKERS[kind]} if kind in MAKERS else MAKERS
    entries = [entry for maker in makers.values() for entry in maker(athlete, user, today)]
    return sorted(entries, key=lambda entry: (entry.on, entry.at, entry.place), reverse=True)


def _start_of(day: dt.date) -> dt.datetime:
    return timezone.make_aware(dt.datetime.combine(day, dt.time.min))


def _acts(athlete: Athlete, action: str) -> Iterator[ChangeLog]:
    """The oldest first. Rows that keep only their day have their instant here, if they were written by a person."""
    return ChangeLog.objects.filter(athlete_uuid=athlete.uuid, action=action).order_by("id").iterator()


def _within(day: dt.date, when: dt.datetime | None, else_at: dt.datetime) -> dt.datetime:
    """The instant, if the act was on the day it speaks of and not entered later."""
    at = timezone.localtime(when) if when else None
    return at if at and at.date() == day else else_at


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
    cleared = {act.object_uuid: act.when for act in _acts(athlete, "pain.cleared")}
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
            on = clearance.cleared_on
            # Of the same day and without a line in the log: right after the pain that it clears, never before.
            at = _within(on, cleared.get(report.uuid), max(at, _start_of(on)))
            yield Entry("pain", on, at, title, limits, clearance.cleared_by_name, place=1)


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
        given, back, place = row.given_on, row.withdrawn_on, 2 * row.pk  # between them: its own withdrawal
        yield Entry("consent", given, _start_of(given), "Consent", f"text {row.text.version}", by, place=place)
        if back:
            yield Entry("consent", back, _start_of(back), "Consent withdrawn", "", by, place=place + 1)


def _availability(athlete: Athlete, user: User, today: dt.date) -> Iterator[Entry]:
    set_at = {act.after.get("valid_from"): act.when for act in _acts(athlete, "availability.set")}
    for row in athlete.availabilities.select_related("set_by"):
        until = f"until {row.until.day} {row.until:%B %Y}" if row.until else ""
        detail = ", ".join(part for part in (row.limits, until) if part)
        title = f"Availability: {row.get_state_display()}"
        on = row.valid_from
        at = _within(on, set_at.get(on.isoformat()), _start_of(on))
        # A clearance with limits sets both in one act: what followed from it stands above it.
        yield Entry("availability", on, at, title, detail, str(row.set_by or ""), place=2)


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
