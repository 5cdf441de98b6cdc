"""Append-only logs. They name people by uuid, so that erasing a person leaves no name behind."""

from __future__ import annotations

from django.db import models


class ChangeLog(models.Model):
    """One act of a person (or of the worker): what it was, before and after. Undo reads it."""

    when = models.DateTimeField()
    who = models.UUIDField(null=True, help_text="The account; empty for the worker.")
    action = models.CharField(max_length=60)
    object_type = models.CharField(max_length=40)
    object_uuid = models.UUIDField()
    athlete_uuid = models.UUIDField(null=True)
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)
    reason = models.CharField(max_length=300, blank=True)
    request_reference = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering = ["-id"]
        indexes = [
            models.Index(fields=["object_type", "object_uuid", "-id"]),
            models.Index(fields=["athlete_uuid", "-id"]),
        ]

    def __str__(self) -> str:
        return f"{self.when:%Y-%m-%d %H:%M} {self.action}"


class ViewLog(models.Model):
    """Somebody looked at an athlete's record."""

    when = models.DateTimeField()
    who = models.UUIDField()
    role = models.CharField(max_length=20)
    athlete_uuid = models.UUIDField()
    what = models.CharField(max_length=60)
    request_reference = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(fields=["athlete_uuid", "-id"])]

    def __str__(self) -> str:
        return f"{self.when:%Y-%m-%d %H:%M} {self.what}"


class ViewLogSeal(models.Model):
    """The hash chain over the view log, one link a day: a changed or removed row breaks it."""

    day = models.DateField(unique=True)
    last_id = models.BigIntegerField()
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["day"]

    def __str__(self) -> str:
        return f"{self.day}"
