"""Invitations: the way in for everybody whom no admin gave a password."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from athletes.models.accounts import Role
from athletes.models.base import Addressed
from athletes.models.people import Athlete, TrainingGroup

NEEDS_ATHLETE = (Role.ATHLETE, Role.GUARDIAN)


class Invitation(Addressed):
    """One link to one person, to be used once. Only a digest of the link's secret is kept."""

    email = models.EmailField()
    role = models.CharField(max_length=20, choices=Role.choices)
    first_name = models.CharField(max_length=150, blank=True)
    last_name = models.CharField(max_length=150, blank=True)
    athlete = models.ForeignKey(Athlete, null=True, blank=True, on_delete=models.CASCADE, related_name="invitations")
    relation = models.CharField(max_length=40, blank=True, help_text="Of a guardian: mother, father …")
    group = models.ForeignKey(TrainingGroup, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    secret_digest = models.CharField(max_length=64, unique=True, editable=False)
    invited_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    invited_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    accepted_at = models.DateTimeField(null=True, blank=True)
    accepted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-invited_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(role__in=NEEDS_ATHLETE, athlete__isnull=False)
                | (~models.Q(role__in=NEEDS_ATHLETE) & models.Q(athlete__isnull=True)),
                name="families_are_invited_to_an_athlete",
            ),
            models.CheckConstraint(
                condition=models.Q(accepted_at__isnull=True) | models.Q(revoked_at__isnull=True),
                name="accepted_or_revoked",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_role_display()}, {self.email}"
