"""The demo's files flow in through the worker, oldest day first."""

from celery import Task, shared_task

from desk.demo.loading import load
from sessions.models import Upload


@shared_task(name="desk.load_demo_file", bind=True, max_retries=30)
def load_demo_file(self: Task, upload_id: int, room: str) -> None:
    """Loads one file; when another worker reads it at this moment, comes back to it."""
    upload = load(Upload.objects.get(pk=upload_id), room)
    if upload.is_working:
        raise self.retry(countdown=2)
