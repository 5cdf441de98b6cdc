"""Original files and uploads. An upload's row tells a person, and a restarted worker, how far it has come."""

from __future__ import annotations

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q

from athletes.models import Addressed, PresentManager, User, Withdrawable, WithdrawableQuerySet


class OriginalFile(models.Model):
    """The bytes as they came, named by their hash; never changed."""

    sha256 = models.CharField(max_length=64, unique=True)
    size = models.PositiveBigIntegerField()
    stored_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return self.sha256[:12]

    @property
    def stored_name(self) -> str:
        return self.sha256


class UploadQuerySet(WithdrawableQuerySet):
    def visible_to(self, user: User) -> Self:
        """Coaching staff see all uploads: an original may name any athlete."""
        return self if user.is_authenticated and user.is_active and user.is_coaching_staff else self.none()

    def needing_an_answer(self) -> Self:
        return self.filter(state__in=[Upload.State.NEEDS_MATCH, Upload.State.NEEDS_ANSWER, Upload.State.READY])


class Upload(Addressed, Withdrawable):
    class State(models.TextChoices):
        RECEIVED = "received", "received"
        READING = "reading", "being read"
        NEEDS_MATCH = "needs_match", "columns to match"
        NEEDS_ANSWER = "needs_answer", "questions to answer"
        READY = "ready", "ready to accept"
        ACCEPTING = "accepting", "being accepted"
        ACCEPTED = "accepted", "accepted"
        REFUSED = "refused", "could not be read"

    WORKING = (State.RECEIVED, State.READING, State.ACCEPTING)

    original = models.ForeignKey(OriginalFile, on_delete=models.PROTECT, related_name="uploads")
    filename = models.CharField(max_length=255)
    uploaded_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    uploaded_at = models.DateTimeField()
    accepted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    for_session = models.ForeignKey(
        "capture_sessions.CaptureSession",
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="awaited_uploads",
        help_text="the open session that it was sent to",
    )
    state = models.CharField(max_length=16, choices=State.choices, default=State.RECEIVED)
    read_options = models.JSONField(default=dict, blank=True, help_text="encoding, delimiter, decimal mark, as chosen")

    # The job: claimed by a conditional UPDATE, kept alive by its heartbeat, retaken when that stops.
    stage = models.CharField(max_length=80, blank=True, help_text="what is being done now, in words")
    step = models.PositiveIntegerField(default=0)
    steps = models.PositiveIntegerField(default=0)
    attempts = models.PositiveSmallIntegerField(default=0)
    claim = models.UUIDField(null=True, blank=True)
    heartbeat_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    error_code = models.CharField(max_length=60, blank=True)
    error_sentence = models.CharField(max_length=500, blank=True)

    objects = PresentManager.from_queryset(UploadQuerySet)()
    everything = models.Manager.from_queryset(UploadQuerySet)()

    class Meta:
        base_manager_name = "everything"
        ordering = ["-uploaded_at", "-id"]
        indexes = [models.Index(fields=["state", "heartbeat_at"])]
        constraints = [
            models.UniqueConstraint(
                fields=["original"], condition=Q(withdrawn_at__isnull=True), name="same_bytes_one_upload"
            ),
        ]

    def __str__(self) -> str:
        return self.filename

    @property
    def is_working(self) -> bool:
        return self.state in self.WORKING
