"""The demo's files flow in through the worker, oldest day first."""

import datetime as dt

from celery import Task, shared_task

from desk.demo.cast import load_cast
from desk.demo.loading import load, record_visit
from desk.demo.recordings import recorded_visits
from sessions.models import Upload


@shared_task(name="desk.load_demo_file", bind=True, max_retries=30)
def load_demo_file(self: Task, upload_id: int, room: str) -> None:
    """Loads one file; when another worker reads it at this moment, comes back to it."""
    upload = load(Upload.objects.get(pk=upload_id), room)
    if upload.is_working:
        raise self.retry(countdown=2)


@shared_task(name="desk.record_demo_visit")
def record_demo_visit(number: int, date: str, today: str) -> None:
    """Makes and loads the recordings of one athlete's visit; safe to run again, since the bytes are the same."""
    visits = recorded_visits(load_cast("full").athletes, dt.date.fromisoformat(today))
    for visit in visits:
        if (visit.number, visit.date.isoformat()) == (number, date):
            record_visit(visit, dt.date.fromisoformat(today))
