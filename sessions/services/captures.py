"""Sessions as wholes: withdraw and bring back."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from athletes.models import User
from athletes.services.change_log import record_change
from sessions.models import CaptureSession

WITHDRAWN_FIELDS = ["withdrawn_at", "withdrawn_by", "withdrawn_reason"]


@transaction.atomic
def withdraw_session(*, capture: CaptureSession, by: User, reason: str = "") -> None:
    capture.mark_withdrawn(by, reason)
    capture.save(update_fields=WITHDRAWN_FIELDS)
    record_change(by=by, action="session withdrawn", row=capture, athlete_uuid=capture.athlete.uuid, reason=reason)


def restore_session(*, capture: CaptureSession, by: User) -> None:
    """Undoes withdrawing. Raises ValidationError when another session has taken its place meanwhile."""
    try:
        with transaction.atomic():
            capture.clear_withdrawn()
            capture.save(update_fields=WITHDRAWN_FIELDS)
            record_change(by=by, action="session restored", row=capture, athlete_uuid=capture.athlete.uuid)
    except IntegrityError:
        raise ValidationError(
            "Another session of this day and method has taken its place. Withdraw that one first."
        ) from None
