"""A session that belongs to somebody else: moved whole, and moved back."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from athletes.models import Athlete, Throws, User
from athletes.services.change_log import record_change
from sessions.models import CaptureSession
from sessions.services.inputs import input_service, raise_input_revision


@input_service
@transaction.atomic
def move_session(*, capture: CaptureSession, to: Athlete, by: User) -> Athlete:
    """Gives the session with all its throws to another athlete; gives back whose it was.

    Raises ValidationError when it is theirs already, or when they throw with the other arm alone.
    """
    before = capture.athlete
    if to == before:
        raise ValidationError(f"This session is {to}’s already.")
    if to.throws not in (capture.throwing_side, Throws.BOTH):
        raise ValidationError(
            f"The {capture.throwing_side} arm throws in this session, and {to} throws with the {to.throws}. "
            "Check the athlete."
        )
    if capture.date <= to.birth_date:
        raise ValidationError(f"{to} was not born on {capture.date:%-d %B %Y}. Check the athlete.")
    people = sorted([before.pk, to.pk])
    list(Athlete.everything.select_for_update().filter(pk__in=people).order_by("pk").values_list("pk"))
    same_day = CaptureSession.objects.filter(athlete=to, date=capture.date, method=capture.method, setup=capture.setup)
    capture.athlete = to
    capture.ordinal = (same_day.aggregate(last=Max("ordinal"))["last"] or 0) + 1
    capture.save(update_fields=["athlete", "ordinal"])
    raise_input_revision(capture)
    for whose in (before, to):
        record_change(
            by=by,
            action="session moved",
            row=capture,
            athlete_uuid=whose.uuid,
            before={"athlete": str(before.uuid)},
            after={"athlete": str(to.uuid)},
        )
    return before
