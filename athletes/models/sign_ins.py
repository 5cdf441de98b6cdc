"""Where an account is signed in: the list that its owner reads, and ends."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from athletes.models.base import Addressed


class SignIn(Addressed):
    """One browser that signed in. `session_key` is the key of Django's own row; empty once that has ended."""

    account = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="sign_ins")
    session_key = models.CharField(max_length=40, blank=True, db_index=True)
    at = models.DateTimeField()
    last_seen_at = models.DateTimeField()
    address = models.GenericIPAddressField(null=True, blank=True)
    browser = models.CharField(max_length=120, blank=True)
    with_code = models.BooleanField(default=False)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-at", "-id"]

    def __str__(self) -> str:
        return f"{self.account}, {self.at:%Y-%m-%d %H:%M}"
