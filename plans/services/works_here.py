"""Works out what works here and keeps it: reading every response of the roster is nothing to do while a page waits."""

from __future__ import annotations

import logging

from django.core.cache import cache
from django.utils import timezone
from redis.exceptions import RedisError

from plans.responding.works_here import works_here
from plans.selectors.outcomes import read_outcomes
from plans.selectors.worked import ASKED_AS, KEPT_AS, KeptTable

log = logging.getLogger(__name__)


def work_out_table() -> KeptTable:
    """Safe to run twice at once: both come to the same, and the later one stays."""
    at = timezone.now()
    kept = KeptTable(works_here(read_outcomes()), at)
    try:
        cache.set(KEPT_AS, kept, timeout=None)
        cache.delete(ASKED_AS)
    except RedisError as error:
        log.warning("What works here could not be kept: %s", error)
    return kept
