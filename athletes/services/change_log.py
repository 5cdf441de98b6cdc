"""The one way into the change log."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.utils import timezone

from athletes.models import ChangeLog, User
from athletes.reference import request_reference


def record_change(
    *,
    by: User | None,
    action: str,
    row: Any,
    athlete_uuid: UUID | None = None,
    before: dict | None = None,
    after: dict | None = None,
    reason: str = "",
) -> ChangeLog:
    """Writes one line in the transaction of the change itself.

    `row` is any row with a uuid; `by` None is the worker.
    """
    return ChangeLog.objects.create(
        when=timezone.now(),
        who=by.uuid if by else None,
        action=action,
        object_type=row._meta.model_name,
        object_uuid=row.uuid,
        athlete_uuid=athlete_uuid,
        before=before or {},
        after=after or {},
        reason=reason[:300],
        request_reference=request_reference.get(),
    )
