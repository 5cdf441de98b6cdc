"""The one way into the change log."""

from __future__ import annotations

from collections.abc import Iterable
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
    change = new_change(
        by=by, action=action, row=row, athlete_uuid=athlete_uuid, before=before, after=after, reason=reason
    )
    change.save(force_insert=True)
    return change


def new_change(
    *,
    by: User | None,
    action: str,
    row: Any,
    athlete_uuid: UUID | None = None,
    before: dict | None = None,
    after: dict | None = None,
    reason: str = "",
) -> ChangeLog:
    """The line, not written yet: for many of them in one statement of the same transaction (`record_changes`)."""
    return ChangeLog(
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


def record_changes(changes: Iterable[ChangeLog]) -> None:
    """Writes lines made by `new_change`, in the transaction of the changes themselves."""
    ChangeLog.objects.bulk_create(changes)
