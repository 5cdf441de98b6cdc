"""What pages read of uploads and of the sessions that came from them."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from athletes.models import Athlete, User
from sessions.models import CaptureSession, SessionExtract, Throw, Upload

PAGE_SIZE = 50

State = Upload.State
SHOWN: dict[str, tuple[str, tuple[str, ...]]] = {
    "all": ("All", tuple(State.values)),
    "waiting": ("Need an answer", (State.NEEDS_MATCH, State.NEEDS_ANSWER, State.READY)),
    "working": ("In work", Upload.WORKING),
    "accepted": ("Accepted", (State.ACCEPTED,)),
    "refused": ("Could not be read", (State.REFUSED,)),
}
"""Choice of the list → its word and the states that it shows."""


@dataclass(frozen=True, slots=True)
class Shown:
    """One choice above the list, with how many uploads it would show."""

    key: str
    label: str
    count: int


def uploads_in_list(user: User, shown: str = "all") -> QuerySet[Upload]:
    """Uploads, the newest first, with the numbers of sessions and throws that came from each."""
    states = SHOWN.get(shown, SHOWN["all"])[1]
    return with_counts(Upload.objects.visible_to(user).filter(state__in=states))


def with_counts(uploads: QuerySet[Upload]) -> QuerySet[Upload]:
    """Adds `session_count` and `throw_count`; sessions and throws that were withdrawn do not count."""
    sessions = SessionExtract.objects.filter(upload=OuterRef("pk"), session__withdrawn_at=None).order_by()
    throws = Throw.objects.filter(source_upload=OuterRef("pk"), session__withdrawn_at=None).order_by()
    return uploads.select_related("uploaded_by").annotate(
        session_count=Coalesce(
            Subquery(sessions.values("upload").annotate(n=Count("session", distinct=True)).values("n")), 0
        ),
        throw_count=Coalesce(Subquery(throws.values("source_upload").annotate(n=Count("pk")).values("n")), 0),
    )


def choices_of_list(user: User) -> list[Shown]:
    counts = dict(Upload.objects.visible_to(user).order_by().values_list("state").annotate(n=Count("pk")))
    return [Shown(key, label, sum(counts.get(s, 0) for s in states)) for key, (label, states) in SHOWN.items()]


def sessions_from(upload: Upload) -> QuerySet[CaptureSession]:
    """The sessions that hold throws of this upload, in the order of their dates."""
    found = CaptureSession.objects.filter(extracts__upload=upload).select_related("athlete")
    return found.order_by("date", "athlete__family_name", "ordinal").distinct()


def athletes_in(upload: Upload) -> QuerySet[Athlete]:
    """Everybody for whom a session was made from this upload, also when session or athlete was withdrawn since."""
    return Athlete.everything.filter(capture_sessions__extracts__upload=upload).distinct()


def open_sessions(user: User) -> QuerySet[CaptureSession]:
    """Sessions that take files as they come, the newest first."""
    found = CaptureSession.objects.visible_to(user).filter(state=CaptureSession.State.OPEN)
    return found.select_related("athlete").order_by("-date", "-pk")


@dataclass(frozen=True, slots=True)
class Awaited:
    """Files that were sent to an open session: how many are in, in work, and which ask for something."""

    accepted: int
    working: int
    asking: tuple[Upload, ...]


def awaited_by(capture: CaptureSession) -> Awaited:
    uploads = list(capture.awaited_uploads.filter(withdrawn_at=None).order_by("-uploaded_at"))
    asking = [one for one in uploads if not one.is_working and one.state != State.ACCEPTED]
    return Awaited(
        accepted=sum(one.state == State.ACCEPTED for one in uploads),
        working=sum(one.is_working for one in uploads),
        asking=tuple(asking),
    )
