"""Uploads that wait for an answer, new flags, and athletes who were not seen for long."""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple
from uuid import UUID

from django.conf import settings
from django.db.models import Count, QuerySet
from django.urls import reverse
from django.utils import timezone

from athletes.models import User
from athletes.models.accounts import account_name
from athletes.worded import Keys, worded_once
from athletes.words import counted
from desk.selectors.addresses import address_of
from desk.selectors.need import FIRST_NAMES, NOTHING, FlagWords, Kind, Need, Needs, person, several
from desk.selectors.watched import Watched, WatchedAthlete
from metrics.catalogue import load_catalogue
from metrics.models import Finding
from metrics.services.standing import THROWING_METHODS
from sessions.models import CaptureSession, Upload

MOST_WORDED = 13
"""Lines of new flags: as many as a page shows, and the names of those that it counts together."""
REFUSED_DAYS = 14
FLAGS_IN_A_LINE = 2
FILES_NAMED = 2
ASKING = {
    Upload.State.NEEDS_MATCH: ("Upload: columns to match", "Asked once, remembered.", "Match"),
    Upload.State.NEEDS_ANSWER: ("Upload: questions to answer", "The rest is read.", "Answer"),
    Upload.State.READY: ("Upload: ready to accept", "Nothing is a session before you accept.", "Accept"),
    Upload.State.REFUSED: ("Upload: could not be read", "", "Look"),
}
NEW = (Finding.Confirmation.TO_CONFIRM, Finding.Confirmation.CONFIRMED)
KNOWN_WORDS: dict[str, str] = {
    Finding.Confirmation.TO_CONFIRM: "to confirm",
    Finding.Confirmation.CONFIRMED: "confirmed",
}

Sessions = dict[int, UUID]
UPLOADED_BY = tuple(f"uploaded_by__{name}" for name in ("first_name", "last_name", "username"))
UPLOAD = ("pk", "uuid", "filename", "state", "error_sentence", "uploaded_by", *UPLOADED_BY)


class UploadRow(NamedTuple):
    """What is read of an upload, in the order of UPLOAD; the last three are None where nobody is named."""

    pk: int
    uuid: UUID
    filename: str
    state: str
    error_sentence: str
    uploaded_by: int | None
    first_name: str
    last_name: str
    username: str


def uploads_needed(user: User, today: dt.date) -> Needs:
    """Files that wait for a person: the reader's own first, then the newest. Refused ones for two weeks.

    One query, and one for each file that has a line of its own.
    """
    since = timezone.make_aware(dt.datetime.combine(today - dt.timedelta(days=REFUSED_DAYS), dt.time.min))
    found = map(UploadRow._make, _waiting(user, since))
    rows = sorted(found, key=lambda row: row.uploaded_by != user.pk)
    by_state = {state: [row for row in rows if row.state == state] for state in ASKING}
    lines = [_upload_line(state, group, user) for state, group in by_state.items() if group]
    return Needs(tuple(lines), len(rows))


@worded_once
def _waiting(user: User, since: dt.datetime) -> QuerySet:
    uploads = Upload.objects.visible_to(user)
    refused = uploads.filter(state=Upload.State.REFUSED, uploaded_at__gte=since)
    return (uploads.needing_an_answer() | refused).values_list(*UPLOAD)


def _upload_line(state: Upload.State, uploads: list[UploadRow], user: User) -> Need:
    """One file by name and with its next step; several of one kind together."""
    title, ending, step = ASKING[state]
    kind: Kind = "refused" if state == Upload.State.REFUSED else "answer"
    if len(uploads) > 1:
        names = ", ".join(row.filename for row in uploads[:FILES_NAMED])
        more = f" and {len(uploads) - FILES_NAMED} more" if len(uploads) > FILES_NAMED else ""
        title = f"{len(uploads)} uploads: {title.removeprefix('Upload: ')}"
        return Need(kind, title, reason=f"{names}{more}", step="Uploads", url=reverse("sessions:uploads"))
    upload = uploads[0]
    by = (
        f", from {account_name(upload.first_name, upload.last_name, upload.username)}"
        if upload.uploaded_by and upload.uploaded_by != user.pk
        else ""
    )
    units = Upload.objects.filter(pk=upload.pk).aggregate(units=Count("draft__units"))["units"]
    parts = f", {counted(units, 'session')}" if units else ""
    reason = f"{upload.filename}{parts}{by}. {upload.error_sentence if kind == 'refused' else ending}".strip()
    return Need(kind, title, reason=reason, step=step, url=address_of("metrics:import", upload.uuid))


def flags_needed(watched: Watched, sessions: Sessions) -> Needs:
    """New flags of the last two weeks, an athlete a line, the heaviest first. Recurring ones are not new."""
    athletes = watched.newly_flagged
    lines = [_flag_line(row, sessions[row.pk]) for row in athletes[:MOST_WORDED] if row.pk in sessions]
    return Needs(tuple(lines), len(athletes), unworded=max(0, len(athletes) - MOST_WORDED))


def judged_sessions(watched: Watched) -> Sessions:
    """Of those whom a line names: the session that their flags are of."""
    athletes = [*watched.newly_flagged[:MOST_WORDED], *watched.recurring[:FIRST_NAMES]]
    if not athletes:
        return {}
    wanted = {row.pk: row.thrown_last for row in athletes}
    found = _thrown(Keys.of(wanted), dt.date.fromisoformat(min(wanted.values())))
    return {athlete: uuid for athlete, date, uuid in found if str(date) == wanted[athlete]}


@worded_once
def _thrown(athletes: Keys, since: dt.date) -> QuerySet:
    thrown = CaptureSession.objects.filter(athlete__in=athletes.places, method__in=THROWING_METHODS, date__gte=since)
    return thrown.order_by("date", "pk").values_list("athlete_id", "date", "uuid")


def _flag_line(athlete: WatchedAthlete, session: UUID) -> Need:
    flags = [flag for flag in athlete.flags or () if flag[3] in NEW]
    more = len(flags) - FLAGS_IN_A_LINE
    return Need(
        "flags",
        "New flag: " if len(flags) == 1 else "New flags: ",
        (person(athlete),),
        reason=f"and {more} more" if more > 0 else "",
        flags=tuple(flag_words(*flag) for flag in flags[:FLAGS_IN_A_LINE]),
        step="Session",
        url=address_of("metrics:session", session),
    )


def flag_words(metric: str, side: str, sure: str, confirmation: str) -> FlagWords:
    known = load_catalogue().metrics.get(metric)
    return FlagWords(side, sure, known.short_name if known else metric, KNOWN_WORDS.get(confirmation, ""))


def unseen_needed(watched: Watched) -> Needs:
    """Athletes who were not measured for so many weeks, in one line; who is away is not missed."""
    athletes = sorted(watched.unseen, key=lambda row: row.last_date or dt.date.min, reverse=True)
    if not athletes:
        return NOTHING
    people, more = several(athletes)
    weeks = settings.UNSEEN_AFTER_WEEKS
    one = len(athletes) == 1
    line = Need(
        "unseen",
        "Not seen: " if one else f"Not seen for {counted(weeks, 'week')}: ",
        people,
        more,
        reason=_unseen_reason(athletes[0], watched.today) if one else "Measure again, or set them away.",
        step="Record" if one else "Roster",
        url=people[0].url if one else f"{reverse('desk:roster')}?sort=last",
    )
    return Needs((line,), len(athletes))


def _unseen_reason(athlete: WatchedAthlete, today: dt.date) -> str:
    if athlete.last_date is None:
        return "Never measured since they were entered."
    return f"Last measured {(today - athlete.last_date).days:,} days ago. Measure again, or set them away."
