"""What a coach showed of an assessment: a dated snapshot that no later scoring changes."""

from __future__ import annotations

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import F

from athletes.models import (
    Addressed,
    Athlete,
    PresentManager,
    Role,
    User,
    Withdrawable,
    WithdrawableQuerySet,
    of_readable,
)
from sessions.models import CaptureSession
from sessions.quick_json import QuickJSONField


class ShareQuerySet(WithdrawableQuerySet):
    def visible_to(self, user: User) -> Self:
        """The athlete's tied people. Nothing while consent is withdrawn, and nothing of a session that was
        withdrawn or turned out to be somebody else's.
        """
        if not user.is_authenticated or user.role == Role.CLINICIAN:
            return self.none()  # who reads the session itself needs no share
        return self.filter(of_readable(user), session__withdrawn_at=None, session__athlete=F("athlete"))


class Share(Addressed, Withdrawable):
    """One act of sharing. `content` holds all that the family reads; see `metrics.sharing`."""

    session = models.ForeignKey(CaptureSession, on_delete=models.CASCADE, related_name="shares")
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="shares")
    shared_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    shared_at = models.DateTimeField()
    summary = models.TextField(max_length=2000, blank=True)
    look_again_on = models.DateField(null=True, blank=True)
    content = QuickJSONField(default=dict, help_text="points, what got better, and the words beside them")
    findings_digest = models.CharField(max_length=64, help_text="of the findings that were shown, to notice changes")
    change_seen_at = models.DateTimeField(null=True, blank=True, help_text="when a coach left it as it is")

    objects = PresentManager.from_queryset(ShareQuerySet)()
    everything = models.Manager.from_queryset(ShareQuerySet)()

    class Meta:
        base_manager_name = "everything"
        ordering = ["-shared_at", "-id"]
        indexes = [models.Index(fields=["athlete", "-shared_at"])]

    def __str__(self) -> str:
        return f"{self.athlete}, shared {self.shared_at:%Y-%m-%d}"
