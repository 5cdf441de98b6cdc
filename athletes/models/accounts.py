"""The facility and the accounts of the people who use it."""

from __future__ import annotations

from typing import Any
from zoneinfo import available_timezones

from django.contrib.auth.models import AbstractUser, UserManager
from django.core.exceptions import ValidationError
from django.db import models

from athletes.models.base import Addressed


class Units(models.TextChoices):
    US = "us", "miles per hour, feet, pounds"
    METRIC = "metric", "metric"


class Role(models.TextChoices):
    ADMIN = "admin", "admin"
    COACH = "coach", "coach"
    VISITING_COACH = "visiting_coach", "visiting coach"
    CLINICIAN = "clinician", "clinician"
    ATHLETE = "athlete", "athlete"
    GUARDIAN = "guardian", "guardian"


STAFF_ROLES = (Role.ADMIN, Role.COACH)


def validate_time_zone(value: str) -> None:
    if value not in available_timezones():
        raise ValidationError(f"“{value}” is no time zone. Write it like America/Chicago or Europe/Rome.")


class Facility(models.Model):
    """The one facility of this installation."""

    name = models.CharField(max_length=120)
    time_zone = models.CharField(max_length=60, default="UTC", validators=[validate_time_zone])
    units = models.CharField(max_length=8, choices=Units.choices, default=Units.US)
    local_pitch_rules = models.TextField(blank=True, help_text="Local rules win over published pitch counts.")
    retention_years = models.PositiveSmallIntegerField(default=7)
    age_of_consent = models.PositiveSmallIntegerField(
        default=18, help_text="Under this age a guardian's consent is needed before a session is accepted."
    )
    shows_session_score = models.BooleanField(
        default=False, help_text="Shows staff one number a session, with its uncertainty. Families never see it."
    )

    class Meta:
        verbose_name_plural = "facility"
        constraints = [models.CheckConstraint(condition=models.Q(id=1), name="one_facility")]

    def __str__(self) -> str:
        return self.name

    @classmethod
    def current(cls) -> Facility:
        return cls.objects.filter(id=1).first() or cls(id=1, name="Moundbook")


def account_name(first_name: str, last_name: str, username: str) -> str:
    """What an account is called on pages."""
    return f"{first_name} {last_name}".strip() or username


class AccountManager(UserManager):
    def create_superuser(self, username: str, email: str | None = None, password: str | None = None, **extra: Any):
        return super().create_superuser(username, email, password, **{**extra, "role": Role.ADMIN})


class User(Addressed, AbstractUser):
    """An account; its role says what the person does here."""

    role = models.CharField(max_length=20, choices=Role.choices, default=Role.ATHLETE)
    units = models.CharField(
        max_length=8, choices=Units.choices, blank=True, help_text="Empty: as the facility has chosen."
    )

    turn_pin = models.CharField(
        max_length=128, blank=True, editable=False, help_text="Hashed; ends the view that is turned to a visitor."
    )

    objects = AccountManager()  # type: ignore[misc]

    class Meta:
        verbose_name = "account"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(role="admin", is_staff=True) | (~models.Q(role="admin") & models.Q(is_staff=False)),
                name="only_admins_reach_the_admin_pages",
            ),
        ]

    def __str__(self) -> str:
        return account_name(self.first_name, self.last_name, self.username)

    def has_perm(self, perm: str, obj: Any = None) -> bool:
        """The administration pages ask this: an admin may, nobody else, whatever else stands in the row."""
        return self.is_active and self.role == Role.ADMIN

    def has_module_perms(self, app_label: str) -> bool:
        return self.has_perm(app_label)

    @property
    def is_coaching_staff(self) -> bool:
        return self.role in STAFF_ROLES
