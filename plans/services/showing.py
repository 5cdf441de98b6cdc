"""Whether the athlete and the family read a work as theirs."""

from __future__ import annotations

from django.db import transaction

from athletes.models import User
from athletes.services.change_log import record_change
from athletes.services.validation import save_valid
from plans.models import Prescription
from plans.services.prescribing import lock_open


@transaction.atomic
def show_work(*, prescription: Prescription, is_shown: bool, seen: int, by: User) -> Prescription:
    """`seen`: the revision that the page showed. Raises ValidationError when it ended or was changed meanwhile."""
    row = lock_open(prescription, seen)
    row.is_shown = is_shown
    row.revision += 1
    save_valid(row)
    action = "prescription.shown" if is_shown else "prescription.hidden"
    record_change(by=by, action=action, row=row, athlete_uuid=row.athlete.uuid, after={"shown": is_shown})
    return row
