"""How a coach is reminded of follow-ups outside the application: a calendar address and a daily letter."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from athletes.models import Addressed, OutgoingMail


class CalendarAddress(Addressed):
    """A secret address at which a calendar reads somebody's follow-ups. Only a hash of the secret is kept."""

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="calendar_addresses")
    secret_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_read_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["owner", "-made_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["owner"], condition=models.Q(revoked_at=None), name="one_calendar_address_a_person"
            ),
        ]

    def __str__(self) -> str:
        return f"calendar of {self.owner}"


class DigestChoice(models.Model):
    """Whether somebody wants the daily letter; without a row they do."""

    owner = models.OneToOneField(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="digest_choice")
    wanted = models.BooleanField(default=True)
    changed_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.owner}: {'wanted' if self.wanted else 'not wanted'}"


class Digest(models.Model):
    """One daily letter; the constraint keeps it to one a day, however often the clock or the beat jumps."""

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="digests")
    date = models.DateField()
    letter = models.ForeignKey(OutgoingMail, null=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ["owner", "-date"]
        constraints = [models.UniqueConstraint(fields=["owner", "date"], name="one_digest_a_day")]

    def __str__(self) -> str:
        return f"{self.owner}, {self.date}"
