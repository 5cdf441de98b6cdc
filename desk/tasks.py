"""The demo's files flow in through the worker, oldest day first."""

import datetime as dt

from celery import Task, shared_task

from desk.demo.cast import load_cast
from desk.demo.loading import is_unfinished, load, record_visit
from desk.demo.planning import plan_for_athletes
from desk.demo.recordings import recorded_visits
from desk.demo.sharing import files_are_loading, share_with_families
from sessions.models import CaptureSession, Upload


@shared_task(name="desk.load_demo_file", bind=True, max_retries=30)
def load_demo_file(self: Task, upload_id: int, room: str) -> None:
    """Loads one file; when another worker reads it at this moment, comes back to it."""
    upload = load(Upload.objects.get(pk=upload_id), room)
    if is_unfinished(upload):
        raise self.retry(countdown=2)


@shared_task(name="desk.record_demo_visit")
def record_demo_visit(number: int, date: str, today: str) -> None:
    """Makes and loads the recordings of one athlete's visit; safe to run again, since the bytes are the same."""
    visits = recorded_visits(load_cast("full").athletes, dt.date.fromisoformat(today))
    for visit in visits:
        if (visit.number, visit.date.isoformat()) == (number, date):
            record_visit(visit, dt.date.fromisoformat(today))


@shared_task(name="desk.share_demo_sessions", bind=True, max_retries=60)
def share_demo_sessions(self: Task, today: str) -> None:
    """The coach's shares, once the files are in."""
    if files_are_loading():
        raise self.retry(countdown=5)
    share_with_families(dt.date.fromisoformat(today))


@shared_task(name="desk.plan_demo_work", bind=True, max_retries=120)
def plan_demo_work(self: Task, today: str, uploads: int) -> None:
    """What the coach gave months ago, once every file is in and judged: it rests on the oldest, which come last."""
    is_judged = not CaptureSession.objects.filter(scoring=None).exists()
    if Upload.objects.count() < uploads or files_are_loading() or not is_judged:
        raise self.retry(countdown=5)
    plan_for_athletes(dt.date.fromisoformat(today))
