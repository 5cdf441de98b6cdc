"""What merging two athletes asks of this room: sessions of one day take numbers that do not meet."""

from __future__ import annotations

from collections import defaultdict

from django.db.models import F

from athletes.models import Athlete
from athletes.services.merging import Follower, register_follower
from sessions.models import CaptureSession, Throw

Noted = dict[str, int]
Occasion = tuple[object, str, str]


def make_room(kept: Athlete, merged: Athlete) -> Noted:
    """Counts the sessions of `merged` on after those of `kept` that day; gives each one's old number by its uuid.

    Every session that changes hands is input of its findings: its revision rises.
    """
    last: defaultdict[Occasion, int] = defaultdict(int)
    for one in CaptureSession.everything.filter(athlete=kept):
        last[_occasion(one)] = max(last[_occasion(one)], one.ordinal)
    noted: Noted = {}
    # From the highest number down: none is taken by one that has not moved yet.
    for one in CaptureSession.everything.filter(athlete=merged).order_by("-ordinal", "-id"):
        noted[str(one.uuid)] = one.ordinal
        ordinal = one.ordinal + last[_occasion(one)]
        CaptureSession.everything.filter(pk=one.pk).update(ordinal=ordinal, input_revision=F("input_revision") + 1)
    return noted


def give_back(noted: Noted) -> None:
    """The old numbers, from the lowest up."""
    for uuid, ordinal in sorted(noted.items(), key=lambda item: item[1]):
        CaptureSession.everything.filter(uuid=uuid).update(ordinal=ordinal, input_revision=F("input_revision") + 1)


def tell(athlete: Athlete) -> list[tuple[str, int]]:
    sessions = CaptureSession.objects.filter(athlete=athlete)
    return [("sessions", sessions.count()), ("throws", Throw.objects.filter(session__in=sessions).count())]


def _occasion(capture: CaptureSession) -> Occasion:
    return capture.date, capture.method, capture.setup


register_follower("sessions", Follower(before=make_room, before_undo=give_back, tell=tell))
