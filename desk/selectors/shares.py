"""What was shared, as those who may read it see it: never more than the snapshot holds."""

from __future__ import annotations

import datetime as dt
import logging
from dataclasses import dataclass
from uuid import UUID

from django.db.models import QuerySet
from django.utils import timezone

from athletes.models import Athlete, User
from athletes.worded import Keys, worded_once
from metrics.models import Share
from metrics.sharing import BadContent, SharedContent, SharedPoint
from sessions.models import Method

ORDINALS = ("first", "then", "last")
SHARES_LISTED = 12

logger = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Told:
    """One share. `content` is None where the snapshot cannot be read: the words of the coach still stand."""

    uuid: UUID
    by: str
    is_by_coach: bool
    on: dt.date
    summary: str
    look_again_on: dt.date | None
    content: SharedContent | None

    @property
    def measured_on(self) -> dt.date | None:
        return self.content.measured_on if self.content else None

    @property
    def method(self) -> str:
        return Method(self.content.method).label if self.content and self.content.method in Method.values else ""

    @property
    def better(self) -> tuple[SharedPoint, ...]:
        return self.content.better if self.content else ()

    @property
    def work(self) -> tuple[tuple[str, SharedPoint], ...]:
        """Each with "first", "then" or "last"; one alone needs no such word."""
        points = self.content.points if self.content else ()
        words = ORDINALS if len(points) > 2 else ORDINALS[:2] if len(points) == 2 else ("",)
        return tuple(zip(words, points, strict=False))

    @property
    def has_pictures(self) -> bool:
        return bool(self.better or self.work)


def shares_told(athlete: Athlete, user: User) -> tuple[Told, ...]:
    """The newest first. Nothing while consent is withdrawn, not even for an admin: this is what the family reads."""
    if athlete.consent_withdrawn_on is not None:
        return ()
    return tuple(told_of(share, athlete) for share in _newest(user, Keys.of([athlete.pk])))


@worded_once
def _newest(user: User, athletes: Keys) -> QuerySet:
    found = Share.objects.visible_to(user).filter(athlete__in=athletes.places)
    return found.select_related("shared_by")[:SHARES_LISTED]


def told_of(share: Share, athlete: Athlete) -> Told:
    return Told(
        uuid=share.uuid,
        by=str(share.shared_by or ""),
        is_by_coach=share.shared_by_id is not None and share.shared_by_id == athlete.responsible_coach_id,
        on=timezone.localtime(share.shared_at).date(),
        summary=share.summary,
        look_again_on=share.look_again_on,
        content=_content(share),
    )


def _content(share: Share) -> SharedContent | None:
    """A snapshot that is damaged must not take the way to *report pain* from a family."""
    try:
        return SharedContent.from_json(share.content)
    except BadContent:
        logger.exception("Share %s cannot be read.", share.uuid)
        return None
