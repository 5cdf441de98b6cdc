"""Nightly work of this room, and letters."""

from __future__ import annotations

import datetime as dt

from axes.models import AccessLog
from celery import shared_task
from django.conf import settings
from django.contrib.sessions.backends.db import SessionStore
from django.utils import timezone

from athletes.services.mail import send_letter, send_what_waits
from athletes.services.sign_ins import forget_sign_ins_before
from athletes.services.view_log import seal_day


@shared_task(name="athletes.seal_view_log")
def seal_view_log() -> str:
    """Seals yesterday (UTC); safe twice."""
    yesterday = timezone.now().astimezone(dt.UTC).date() - dt.timedelta(days=1)
    return seal_day(yesterday).digest


@shared_task(name="athletes.forget_old_sign_ins")
def forget_old_sign_ins() -> int:
    """Sign-ins, their sessions and the throttle's log of them, once they are older than they protect; safe twice."""
    before = timezone.now() - dt.timedelta(days=settings.SIGN_INS_KEPT_DAYS)
    SessionStore.clear_expired()
    AccessLog.objects.filter(attempt_time__lt=before).delete()
    return forget_sign_ins_before(before)


@shared_task(name="athletes.send_mail_row")
def send_mail_row(pk: int) -> bool:
    """Sends one letter if it waits and nobody else has claimed it; safe twice."""
    return send_letter(pk)


@shared_task(name="athletes.send_waiting_mail")
def send_waiting_mail() -> int:
    """The sweeper: what a lost broker or an unreachable mail server left waiting, and what a kill left claimed."""
    return send_what_waits()
