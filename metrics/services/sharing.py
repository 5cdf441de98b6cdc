"""Sharing an assessment with the family, and taking it back. Nothing of a session reaches them any other way."""

from __future__ import annotations

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from athletes.facts import has_consent
from athletes.models import User
from athletes.services.change_log import record_change
from athletes.services.withdrawal import restore, withdraw
from athletes.today import facility_today
from metrics.models import Share
from metrics.sharing import MOST_POINTS, SharedContent
from sessions.models import CaptureSession

MOST_CHARACTERS = 2000
NOTHING = "There is nothing to share yet. Choose a point, or write a few words."
TOO_MANY = "{count} points are chosen. {most} at most: a family remembers no more."
NO_CONSENT = "Nothing of {athlete} may be shared before somebody consents. Record the consent first."
TOO_LONG = "The words are {count} characters long, {most} at most."
PAST = "{on:%-d %B %Y} is past. Choose a day to come, or leave it empty."


@transaction.atomic
def share_assessment(
    *,
    session: CaptureSession,
    content: SharedContent,
    summary: str,
    findings_digest: str,
    by: User,
    look_again_on: dt.date | None = None,
) -> Share:
    """A dated snapshot that the family reads from now on. The same again, at once, is the same share.

    Raises ValidationError: nothing chosen, too much chosen, no consent, a day that is past.
    """
    CaptureSession.objects.select_for_update().get(pk=session.pk)
    _check(session, content, summary.strip(), look_again_on)
    share = Share(
        session=session,
        athlete=session.athlete,
        shared_by=by,
        shared_at=timezone.now(),
        summary=summary.strip(),
        look_again_on=look_again_on,
        content=content.to_json(),
        findings_digest=findings_digest,
    )
    last = Share.objects.filter(session=session, athlete=session.athlete).first()
    if last and _told(last) == _told(share):
        return last
    share.save(force_insert=True)
    after = {"session": str(session.uuid), "points": [point.metric for point in content.points]}
    record_change(by=by, action="share.made", row=share, athlete_uuid=session.athlete.uuid, after=after)
    return share


def take_back_share(*, share: Share, by: User, reason: str = "") -> Share:
    """The family no longer reads it; it stays on record and can come back."""
    return withdraw(row=share, athlete=share.athlete, by=by, reason=reason)


def restore_share(*, share: Share, by: User) -> Share:
    return restore(row=share, athlete=share.athlete, by=by)


@transaction.atomic
def leave_share(*, share: Share, by: User) -> Share:
    """A coach saw that the findings changed since, and lets the family go on reading what was said then."""
    held = Share.objects.select_for_update().get(pk=share.pk)
    if held.change_seen_at is None:
        held.change_seen_at = timezone.now()
        held.save(update_fields=["change_seen_at"])
        record_change(by=by, action="share.left_as_it_is", row=held, athlete_uuid=held.athlete.uuid)
    return held


def _check(session: CaptureSession, content: SharedContent, summary: str, look_again_on: dt.date | None) -> None:
    today = facility_today()
    if not (content.points or content.better or summary):
        raise ValidationError(NOTHING)
    for chosen in (content.points, content.better):
        if len(chosen) > MOST_POINTS:
            raise ValidationError(TOO_MANY.format(count=len(chosen), most=MOST_POINTS))
    if len(summary) > MOST_CHARACTERS:
        raise ValidationError({"summary": TOO_LONG.format(count=len(summary), most=MOST_CHARACTERS)})
    if look_again_on is not None and look_again_on < today:
        raise ValidationError({"look_again_on": PAST.format(on=look_again_on)})
    if not has_consent(session.athlete, today):
        raise ValidationError(NO_CONSENT.format(athlete=session.athlete))


def _told(share: Share) -> tuple[object, ...]:
    return share.summary, share.look_again_on, share.content
