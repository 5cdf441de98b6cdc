"""Nightly work of this room."""

from __future__ import annotations

import datetime as dt

from celery import shared_task
from django.utils import timezone

from athletes.services.view_log import seal_day


@shared_task(name="athletes.seal_view_log")
def seal_view_log() -> str:
    """Seals yesterday (UTC); safe twice."""
    yesterday = timezone.now().astimezone(dt.UTC).date() - dt.timedelta(days=1)
    return seal_day(yesterday).digest
