"""The worker's application: tasks of every room, configured by Django's settings."""

import os

from celery import Celery
from celery.signals import worker_process_init

from desk.running.parent_death import die_with_parent

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")

app = Celery("moundbook")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()


@worker_process_init.connect
def _end_with_the_worker(**_: object) -> None:
    """A worker that is killed takes its processes along: none is left to work unseen."""
    die_with_parent()
