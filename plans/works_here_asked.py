"""Asking the worker for the table of what works here, and whether somebody did."""

from __future__ import annotations

import logging

from django.core.cache import cache
from django.utils import timezone
from kombu.exceptions import OperationalError
from redis.exceptions import RedisError

from athletes.broker import broker_answers
from plans.selectors.worked import ASKED_AS
from plans.tasks import work_out_what_works

log = logging.getLogger(__name__)

ASKED_SECONDS = 600
"""After so long a worker that was killed over it is not waited for any more."""


def ask_for_table() -> bool:
    """Hands the work to the worker, once while it runs; False when nobody is there to do it."""
    try:
        if not broker_answers():
            return False
        if cache.add(ASKED_AS, timezone.now(), timeout=ASKED_SECONDS):
            work_out_what_works.delay()
    except (OperationalError, RedisError, OSError) as error:
        log.warning("What works here could not be handed to the worker: %s", error)
        return False
    return True


def is_asked_for() -> bool:
    try:
        return cache.get(ASKED_AS) is not None
    except RedisError:
        return False
