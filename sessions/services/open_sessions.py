"""Sessions that are open while their files still come."""

from __future__ import annotations

import datetime as dt

from django.db import transaction
from django.db.models import Max

from athletes.models import Athlete, Throws, User
from athletes.services.change_log import record_change
from athletes.services.validation import require_not_future
from athletes.today import facility_today
from sessions.models import CaptureSession, CaptureSetup, Method


@transaction.atomic
def open_session(*, athlete: Athlete, date: dt.date, setup: CaptureSetup | None, by: User) -> CaptureSession:
    """A motion capture session that takes files as they come; the one that is open for this day and room already.

    Raises ValidationError for a day in the future.
    """
    require_not_future(date, facility_today(), "date", "A session")
    list(Athlete.everything.select_for_update().filter(pk=athlete.pk).values_list("pk"))
    name = setup.name if setup else ""
    same_day = CaptureSession.objects.filter(athlete=athlete, date=date, method=Method.MOTION_CAPTURE, setup=name)
    there = same_day.filter(state=CaptureSession.State.OPEN).first()
    if there:
        return there
    capture = CaptureSession.objects.create(
        athlete=athlete,
        date=date,
        ordinal=(same_day.aggregate(last=Max("ordinal"))["last"] or 0) + 1,
        method=Method.MOTION_CAPTURE,
        setup=name,
        capture_setup=setup,
        throwing_side="left" if athlete.throws == Throws.LEFT else "right",
        state=CaptureSession.State.OPEN,
    )
    record_change(by=by, action="session opened", row=capture, athlete_uuid=athlete.uuid)
    return capture


def close_session(*, capture: CaptureSession, by: User) -> None:
    """No more files are taken as they come; those that were sent for it still are."""
    _set(capture, CaptureSession.State.CLOSED, "session closed", by)


def reopen_session(*, capture: CaptureSession, by: User) -> None:
    _set(capture, CaptureSession.State.OPEN, "session opened again", by)


@transaction.atomic
def _set(capture: CaptureSession, state: str, action: str, by: User) -> None:
    if capture.state == state:
        return
    capture.state = state
    capture.save(update_fields=["state"])
    record_change(by=by, action=action, row=capture, athlete_uuid=capture.athlete.uuid)
