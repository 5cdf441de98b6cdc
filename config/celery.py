"""The worker's application: tasks of every room, configured by Django's settings."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")

app = Celery("moundbook")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
