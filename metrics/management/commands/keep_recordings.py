"""`manage.py keep_recordings`: makes array files of recorded throws again that are gone or damaged."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from metrics.services.motion.arrays import ArraysLost, arrays_of
from sessions.models import ThrowRecording


class Command(BaseCommand):
    help = "Makes array files of recorded throws again where they are gone; what is there stays."

    def handle(self, *args: Any, **options: Any) -> None:
        there, lost = 0, 0
        for recording in ThrowRecording.objects.select_related("original", "throw").iterator():
            try:
                arrays_of(recording)
                there += 1
            except ArraysLost as error:
                lost += 1
                self.stderr.write(f"{recording.filename}, throw {recording.throw.uuid}: {error.sentence}")
        self.stdout.write(f"{there} throws have their positions, {lost} have lost them.")
