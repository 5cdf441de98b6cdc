"""The follow-ups of a member of staff as a calendar."""

from __future__ import annotations

import datetime as dt

from django.db.models import Q
from django.urls import reverse

from athletes.models import User
from athletes.services.mail import public_link
from plans.calendar_feed.values import Entry, Feed
from plans.models import FollowUp
from plans.selectors.follow_up_rows import loaded
from plans.selectors.needed import needed_words
from plans.selectors.reminded import changed_since, reminded_of, short_name

CANCELLED_FOR = dt.timedelta(days=60)
"""So long a decided one stays in the calendar, marked, for programs that look seldom. House opinion."""
NAME = "Follow-ups · Moundbook"


def feed_of(owner: User, now: dt.datetime) -> Feed:
    """What is open, and what was decided or withdrawn in the last weeks, as cancelled. A fixed number of queries."""
    running = Q(decision="", prescription__withdrawn_at=None, prescription__ended_on=None)
    found = reminded_of(owner).filter(running | changed_since(now - CANCELLED_FOR))
    return Feed(NAME, tuple(_entry(one) for one in loaded(found.order_by("due", "pk"))))


def _entry(one: FollowUp) -> Entry:
    """A withdrawal changes the follow-up in a calendar's eyes, though its row stays as it was."""
    prescription, withdrawn = one.prescription, one.prescription.withdrawn_at
    is_cancelled = bool(one.decision) or withdrawn is not None or prescription.ended_on is not None
    return Entry(
        uuid=one.uuid,
        date=one.due,
        title=f"{short_name(prescription.athlete)}: {prescription.version.name}",
        changed_at=max(one.changed_at, withdrawn) if withdrawn else one.changed_at,
        sequence=one.sequence + (withdrawn is not None),
        text="" if is_cancelled else f"Needs {needed_words(prescription)}.",
        address=public_link(reverse("plans:follow-up", args=[one.uuid])),
        is_cancelled=is_cancelled,
    )
