"""Uploads that wait for an answer, new flags, and athletes who were not seen for long."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from django.conf import settings
from django.db.models import Count, Q
from django.urls import reverse
from django.utils import timezone

from athletes.models import Athlete, User
from athletes.models.people import AthleteQuerySet
from desk.selectors.need import NOTHING, FlagWords, Kind, Need, Needs, person, several
from desk.selectors.now import with_standing, with_state
from desk.words import counted
from metrics.catalogue import load_catalogue
from metrics.models import Finding
from metrics.services.standing import THROWING_METHODS
from sessions.models import CaptureSession, Upload

NEW_FLAG_DAYS = 14
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


def uploads_needed(user: User, today: dt.date) -> Needs:
    """Files that wait for a person: the reader's own first, then the newest. Refused ones for two weeks."""
    since = timezone.now() - dt.timedelta(days=REFUSED_DAYS)
    waiting = Upload.objects.visible_to(user).needing_an_answer()
    refused = Upload.objects.visible_to(user).filter(state=Upload.State.REFUSED, uploaded_at__gte=since)
    found = (waiting | refused).select_related("uploaded_by")
    rows: list[Upload] = sorted(found, key=lambda row: row.uploaded_by_id != user.pk)
    units = dict(found.annotate(units=Count("draft__units")).values_list("pk", "units"))
    by_state = {state: [row for row in rows if row.state == state] for state in ASKING}
    lines = [_upload_line(state, group, units, user) for state, group in by_state.items() if group]
    return Needs(tuple(lines), len(rows))


def _upload_line(state: Upload.State, uploads: list[Upload], units_of: dict[int, int], user: User) -> Need:
    """One file by name and with its next step; several of one kind together."""
    title, ending, step = ASKING[state]
    kind: Kind = "refused" if state == Upload.State.REFUSED else "answer"
    if len(uploads) > 1:
        names = ", ".join(row.filename for row in uploads[:FILES_NAMED])
        more = f" and {len(uploads) - FILES_NAMED} more" if len(uploads) > FILES_NAMED else ""
        title = f"{len(uploads)} uploads: {title.removeprefix('Upload: ')}"
        return Need(kind, title, reason=f"{names}{more}", step="Uploads", url=reverse("sessions:uploads"))
    upload = uploads[0]
    by = f", from {upload.uploaded_by}" if upload.uploaded_by and upload.uploaded_by_id != user.pk else ""
    units = f", {counted(units_of[upload.pk], 'session')}" if units_of[upload.pk] else ""
    reason = f"{upload.filename}{units}{by}. {upload.error_sentence if kind == 'refused' else ending}".strip()
    return Need(kind, title, reason=reason, step=step, url=reverse("metrics:import", args=[upload.uuid]))


def flags_needed(watched: AthleteQuerySet, today: dt.date) -> Needs:
    """New flags of the last two weeks, an athlete a line, the heaviest first. Recurring ones are not new."""
    since = today - dt.timedelta(days=NEW_FLAG_DAYS)
    flagged = (
        watched.filter(Q(standing__flags_new__gt=0) | Q(standing__flags_confirmed__gt=0))
        .filter(standing__last_date__gte=since)
        .select_related("standing")
        .order_by("-standing__top_priority", "family_name", "pk")
    )
    athletes = list(flagged)
    sessions = _judged_sessions(athletes, since)
    lines = [_flag_line(row, sessions[row.pk]) for row in athletes if row.pk in sessions]
    return Needs(tuple(lines), len(lines))


def _judged_sessions(athletes: Iterable[Athlete], since: dt.date) -> dict[int, CaptureSession]:
    """The session that an athlete's standing was made of, when it is not older than `since`."""
    rows = CaptureSession.objects.filter(athlete__in=list(athletes), method__in=THROWING_METHODS, date__gte=since)
    return {row.athlete_id: row for row in rows.order_by("date", "pk").only("athlete_id", "uuid", "date")}


def _flag_line(athlete: Athlete, session: CaptureSession) -> Need:
    flags = [flag for flag in athlete.standing.flags if flag[3] in NEW]
    more = len(flags) - FLAGS_IN_A_LINE
    return Need(
        "flags",
        "New flag: " if len(flags) == 1 else "New flags: ",
        (person(athlete),),
        reason=f"and {more} more" if more > 0 else "",
        flags=tuple(_flag_words(*flag) for flag in flags[:FLAGS_IN_A_LINE]),
        step="Session",
        url=reverse("metrics:session", args=[session.uuid]),
    )


def _flag_words(metric: str, side: str, sure: str, confirmation: str) -> FlagWords:
    known = load_catalogue().metrics.get(metric)
    return FlagWords(side, sure, known.short_name if known else metric, KNOWN_WORDS.get(confirmation, ""))


def unseen_needed(watched: AthleteQuerySet, today: dt.date) -> Needs:
    """Athletes who were not measured for so many weeks, in one line; who is away is not missed."""
    rows = with_standing(with_state(watched, today), today).filter(is_unseen=1)
    athletes = sorted(rows, key=lambda row: _last_date(row) or dt.date.min, reverse=True)
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
        reason=_unseen_reason(athletes[0], today) if one else "Measure again, or set them away.",
        step="Record" if one else "Roster",
        url=people[0].url if one else f"{reverse('desk:roster')}?sort=last",
    )
    return Needs((line,), len(athletes))


def _last_date(athlete: Athlete) -> dt.date | None:
    standing = getattr(athlete, "standing", None)
    return standing.last_date if standing else None


def _unseen_reason(athlete: Athlete, today: dt.date) -> str:
    last = _last_date(athlete)
    if last is None:
        return "Never measured since they were entered."
    return f"Last measured {(today - last).days:,} days ago. Measure again, or set them away."
