"""What a person sets on a session is input of its findings: each change raises the session's input revision.

`INPUT_SERVICES` is the table of all services that do so; a test calls each and looks at the revision.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from django.db.models import F

from sessions.models import CaptureSession

INPUT_SERVICES: dict[str, Callable[..., object]] = {}
Service = TypeVar("Service", bound=Callable[..., object])


class ChangedMeanwhile(Exception):
    """Somebody else changed this session after the page was read."""

    sentence = "This session changed after you opened it. Look at it as it is now, and do it again if still needed."


def input_service(function: Service) -> Service:
    """Marks a service that changes an input of findings."""
    INPUT_SERVICES[function.__name__] = function
    return function


def raise_input_revision(capture: CaptureSession, *, read_at: int | None = None) -> int:
    """One more, in the transaction of the change; gives the new revision.

    `read_at` is the revision that the form was read at. Raises ChangedMeanwhile when it is no longer current.
    """
    rows = CaptureSession.objects.filter(pk=capture.pk)
    if read_at is not None:
        rows = rows.filter(input_revision=read_at)
    if not rows.update(input_revision=F("input_revision") + 1):
        raise ChangedMeanwhile
    capture.refresh_from_db(fields=["input_revision"])
    return capture.input_revision
