"""Letters to go out: written in the transaction of what they tell, sent by the worker, never lost and never twice."""

from __future__ import annotations

from django.db import models

from athletes.models.base import Addressed


class OutgoingMail(Addressed):
    """One letter. Its body is emptied once it is sent: a link in it is a key."""

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        SENT = "sent", "sent"
        GIVEN_UP = "given_up", "given up"

    to = models.EmailField()
    subject = models.CharField(max_length=200)
    body = models.TextField(blank=True)
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    written_at = models.DateTimeField()
    next_try_at = models.DateTimeField()
    attempts = models.PositiveSmallIntegerField(default=0)
    claimed_at = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    error_sentence = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-written_at", "-id"]
        indexes = [models.Index(fields=["state", "next_try_at"])]

    def __str__(self) -> str:
        return f"{self.subject} ({self.get_state_display()})"
