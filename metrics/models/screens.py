"""Screens that a person enters: what was typed and is not saved yet, and each act of saving."""

from __future__ import annotations

from typing import Self

from django.conf import settings
from django.db import models

from athletes.models import Addressed, Athlete, User, of_visible
from sessions.models import CaptureSession


class ScreenDraftQuerySet(models.QuerySet):
    def visible_to(self, user: User) -> Self:
        """Only one's own, of athletes whom one may still see."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(of_visible(user), entered_by=user)


class ScreenDraft(Addressed):
    """What was typed beside the table and is not saved yet. Its uuid becomes that of the entry when it is saved."""

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="screen_drafts")
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    payload = models.JSONField(default=dict, help_text="field of the form → text, as typed")
    updated_at = models.DateTimeField()

    objects = ScreenDraftQuerySet.as_manager()

    class Meta:
        ordering = ["-updated_at", "-id"]
        indexes = [models.Index(fields=["updated_at"])]

    def __str__(self) -> str:
        return f"draft of {self.athlete}, {self.updated_at:%Y-%m-%d %H:%M}"


class ScreenEntryQuerySet(models.QuerySet):
    def visible_to(self, user: User) -> Self:
        """Also of sessions that were withdrawn: taking back twice is answered in words."""
        return self.filter(session__in=CaptureSession.everything.visible_to(user))


class ScreenEntry(Addressed):
    """One act of saving screens: who measured, and which readings it made. The same uuid is never stored twice."""

    session = models.ForeignKey(CaptureSession, on_delete=models.CASCADE, related_name="screen_entries")
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    entered_at = models.DateTimeField()
    payload = models.JSONField(default=dict, help_text="field of the form → text, as typed; goes back to a draft")
    placed = models.JSONField(
        default=list, help_text="[throw uuid, metric@moment, what stood there or null, what was put]"
    )
    undone_at = models.DateTimeField(null=True, blank=True)

    objects = ScreenEntryQuerySet.as_manager()

    class Meta:
        ordering = ["session", "entered_at", "id"]

    def __str__(self) -> str:
        return f"screens of {self.session}"
