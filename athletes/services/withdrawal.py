"""Withdrawing a row instead of deleting it, and bringing it back; for the rows of every room."""

from __future__ import annotations

from typing import TypeVar

from django.db import transaction

from athletes.models import Athlete, User, Withdrawable
from athletes.services.change_log import record_change

Row = TypeVar("Row", bound=Withdrawable)
FIELDS = ["withdrawn_at", "withdrawn_by", "withdrawn_reason"]


@transaction.atomic
def withdraw(*, row: Row, athlete: Athlete, by: User | None, reason: str = "") -> Row:
    """Hides the row; a row that is withdrawn already stays as it is."""
    current = type(row)._base_manager.select_for_update().get(pk=row.pk)
    if current.withdrawn_at is None:
        current.mark_withdrawn(by, reason[:300])
        current.save(update_fields=FIELDS)
        record_change(by=by, action=f"{_name(row)}.withdrawn", row=row, athlete_uuid=athlete.uuid, reason=reason)
    return current


@transaction.atomic
def restore(*, row: Row, athlete: Athlete, by: User | None) -> Row:
    """Brings it back; a row that is present stays as it is."""
    current = type(row)._base_manager.select_for_update().get(pk=row.pk)
    if current.withdrawn_at is not None:
        before = {"reason": current.withdrawn_reason}
        current.clear_withdrawn()
        current.save(update_fields=FIELDS)
        record_change(by=by, action=f"{_name(row)}.restored", row=row, athlete_uuid=athlete.uuid, before=before)
    return current


def withdraw_athlete(*, athlete: Athlete, by: User, reason: str) -> Athlete:
    return withdraw(row=athlete, athlete=athlete, by=by, reason=reason)


def restore_athlete(*, athlete: Athlete, by: User) -> Athlete:
    return restore(row=athlete, athlete=athlete, by=by)


def _name(row: Withdrawable) -> str:
    return str(row._meta.model_name)
