"""Who works on an upload: one worker at a time, and another when that one stops breathing."""

from __future__ import annotations

import time
import uuid
from dataclasses import dataclass
from datetime import timedelta

from django.conf import settings
from django.db.models import F, Q
from django.utils import timezone

from sessions.models import Upload

MAX_ATTEMPTS = 3
# A worker is silent for at most one reading of one file; the rest is room for a slow machine.
STALE_AFTER = timedelta(seconds=settings.READER_SECONDS + 15)
WRITE_EVERY_S = 0.5


class ClaimLost(Exception):
    """Another worker has taken this upload over; what this one still holds must not be written."""


@dataclass(slots=True)
class Claim:
    upload_id: int
    token: uuid.UUID
    _written_at: float

    def progress(self, stage: str, step: int = 0, steps: int = 0) -> None:
        """Says in words what is done now, at most twice a second, and keeps the claim alive."""
        now = time.monotonic()
        if now - self._written_at < WRITE_EVERY_S:
            return
        self._written_at = now
        self.write(stage=stage, step=step, steps=steps)

    def write(self, **fields: object) -> None:
        """Changes the upload's row if this claim still holds. Raises ClaimLost otherwise."""
        rows = Upload.objects.filter(pk=self.upload_id, claim=self.token).update(heartbeat_at=timezone.now(), **fields)
        if rows == 0:
            raise ClaimLost

    def finish(self, state: str, *, error_code: str = "", error_sentence: str = "") -> None:
        self.write(
            state=state,
            claim=None,
            attempts=0,
            stage="",
            finished_at=timezone.now(),
            error_code=error_code,
            error_sentence=error_sentence[:500],
        )


def claim_upload(
    upload_id: int, *, waiting: tuple[str, ...], working: str, stage: str, step: int = 0, steps: int = 0
) -> Claim | None:
    """Takes an upload that waits, or whose worker fell silent; None when there is nothing to take.

    `stage`: what is done first, in words; step by step like `Claim.progress`.
    """
    token = uuid.uuid4()
    rows = (
        Upload.objects.filter(pk=upload_id, attempts__lt=MAX_ATTEMPTS)
        .filter(Q(state__in=waiting, claim=None) | (Q(state=working) & _free()))
        .update(
            state=working,
            claim=token,
            heartbeat_at=timezone.now(),
            attempts=F("attempts") + 1,
            stage=stage,
            step=step,
            steps=steps,
            error_code="",
            error_sentence="",
        )
    )
    return Claim(upload_id, token, time.monotonic()) if rows else None


def _free() -> Q:
    return Q(claim=None) | Q(heartbeat_at__lt=timezone.now() - STALE_AFTER)


def silent_uploads() -> list[tuple[int, str]]:
    """(id, state) of uploads that nobody works on although somebody should."""
    waited = timezone.now() - timedelta(seconds=10)
    rows = Upload.objects.filter(
        Q(state=Upload.State.RECEIVED, claim=None, uploaded_at__lt=waited)
        | (Q(state__in=[Upload.State.READING, Upload.State.ACCEPTING]) & _free() & Q(heartbeat_at__lt=waited))
    )
    return list(rows.values_list("pk", "state"))
