"""What a coach said of a session's starting point: a person's input, kept and shown next time."""

from __future__ import annotations

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q

from athletes.models import Addressed
from sessions.models import CaptureSession
from sessions.quick_json import QuickJSONField


class StartingPointAnswerQuerySet(models.QuerySet):
    def standing(self) -> Self:
        """Not taken back."""
        return self.filter(taken_back_at=None)


class StartingPointAnswer(Addressed):
    """One answer: the starting point is taken, put aside for a reason, or another is put first."""

    class Kind(models.TextChoices):
        ACCEPTED = "accepted", "accepted"
        REJECTED = "rejected", "put aside"
        OWN = "own", "put first"

    session = models.ForeignKey(CaptureSession, on_delete=models.CASCADE, related_name="starting_point_answers")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    metric = models.CharField(max_length=80)
    direction = models.CharField(max_length=4, choices=[("low", "low"), ("high", "high")])
    reason = models.CharField(max_length=300, blank=True)
    given_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    given_at = models.DateTimeField()
    traced = QuickJSONField(default=dict, help_text="the trace that was answered: versions, flags and their causes")
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )

    objects = StartingPointAnswerQuerySet.as_manager()

    class Meta:
        ordering = ["session", "given_at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["session"],
                condition=Q(kind__in=["accepted", "own"], taken_back_at=None),
                name="one_starting_point_taken_a_session",
            ),
            models.UniqueConstraint(
                fields=["session", "metric", "direction"],
                condition=Q(taken_back_at=None),
                name="one_answer_a_starting_point",
            ),
            models.CheckConstraint(
                condition=~Q(kind="rejected") | Q(reason__gt=""), name="a_starting_point_is_put_aside_for_a_reason"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.metric} {self.direction}: {self.get_kind_display()}"
