"""The worker's side of plans: the daily letter of follow-ups, and what works here."""

from __future__ import annotations

from celery import shared_task

from plans.services.digests import write_digests
from plans.services.works_here import work_out_table


@shared_task(name="plans.write_digests")
def write_digests_of_today() -> int:
    """Asked every quarter of an hour; writes each letter once a day. Safe twice."""
    return write_digests()


@shared_task(name="plans.work_out_what_works")
def work_out_what_works() -> int:
    """The table of what works here, anew; safe to run twice. Gives how many cells it has."""
    return len(work_out_table().table.cells)
