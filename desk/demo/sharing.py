"""What the demo's coach has shared: the newest thrown session of everybody who has an account in the family."""

from __future__ import annotations

import datetime as dt

from athletes.models import Athlete, User
from metrics.models import Share
from metrics.selectors.session_rows import RELATED, read_session
from metrics.selectors.sharing import content_of, findings_digest, offer_of
from metrics.services.sharing import share_assessment
from sessions.models import CaptureSession, Upload

LOOK_AGAIN_DAYS = 21
THROWN = ("motion_capture", "video")


def files_are_loading() -> bool:
    return Upload.objects.filter(state__in=Upload.WORKING).exists()


def share_with_families(today: dt.date) -> None:
    """Safe to run again: a session that was shared is left alone."""
    coach = User.objects.get(username="coach")
    for athlete in Athlete.objects.exclude(account=None):
        sessions = CaptureSession.objects.filter(athlete=athlete, method__in=THROWN, scoring__isnull=False)
        newest = sessions.select_related("athlete", *RELATED).order_by("-date", "-ordinal").first()
        if newest is None or Share.everything.filter(session=newest).exists():
            continue
        share_session(newest, coach, today)


def share_session(capture: CaptureSession, coach: User, today: dt.date) -> Share:
    """The first two points that are offered, what got better, and the words that stand there already."""
    rows = read_session(capture)
    offer = offer_of(rows, "us")
    points, better = [one.point for one in offer.work[:2]], [one.point for one in offer.better[:1]]
    content = content_of(points, better, rows)
    return share_assessment(
        session=capture,
        content=content,
        summary=offer.summary,
        look_again_on=today + dt.timedelta(days=LOOK_AGAIN_DAYS),
        findings_digest=findings_digest(rows.findings, content.metrics),
        by=coach,
    )
