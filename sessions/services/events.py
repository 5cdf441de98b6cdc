"""A person's word on when an event was, in place of the time that was found."""

from __future__ import annotations

import math

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from athletes.models import User
from athletes.services.change_log import record_change
from sessions.models import EventTime, Throw
from sessions.models.recordings import EVENTS
from sessions.services.inputs import input_service, raise_input_revision

WORDS = dict(EVENTS)


@input_service
@transaction.atomic
def set_event_time(*, throw: Throw, event: str, time_s: float, by: User, read_at: int | None = None) -> EventTime:
    """Sets an event's time, s from the throw's first kept frame. Raises ValidationError for no event or no time."""
    if event not in WORDS:
        raise ValidationError("Choose an event of the list.")
    if not math.isfinite(time_s) or time_s < 0:
        raise ValidationError("An event’s time lies within its recording.")
    raise_input_revision(throw.session, read_at=read_at)
    before = throw.event_times.filter(event=event).values_list("time_s", flat=True).first()
    row, _ = EventTime.objects.update_or_create(
        throw=throw, event=event, defaults={"time_s": time_s, "set_by": by, "set_at": timezone.now()}
    )
    _log(by, "event moved", throw, event, before, time_s)
    return row


@input_service
@transaction.atomic
def clear_event_time(*, throw: Throw, event: str, by: User, read_at: int | None = None) -> bool:
    """Takes the time that was found again; False when none was set."""
    row = throw.event_times.filter(event=event).first()
    if row is None:
        return False
    raise_input_revision(throw.session, read_at=read_at)
    row.delete()
    _log(by, "event restored", throw, event, row.time_s, None)
    return True


def _log(by: User, action: str, throw: Throw, event: str, before: float | None, after: float | None) -> None:
    record_change(
        by=by,
        action=action,
        row=throw,
        athlete_uuid=throw.session.athlete.uuid,
        before={} if before is None else {event: round(before, 4)},
        after={} if after is None else {event: round(after, 4)},
    )
