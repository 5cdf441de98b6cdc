"""What changes from day to day: how an athlete feels, and where a group is in its year."""

from __future__ import annotations

from typing import Self

from django.conf import settings
from django.db import models

from athletes.models.accounts import User
from athletes.models.base import Addressed, PresentManager, Withdrawable, WithdrawableQuerySet
from athletes.models.care import PainReport
from athletes.models.people import Athlete, TrainingGroup, of_visible


class Feeling(models.TextChoices):
    FINE = "fine", "fine"
    SORE = "sore", "sore muscles"
    PAIN = "pain", "pain"


class CheckInQuerySet(WithdrawableQuerySet):
    def visible_to(self, user: User) -> Self:
        return self.filter(of_visible(user))


class CheckIn(Addressed, Withdrawable):
    """One answer to *how do you feel today?* The last of a day counts. *Pain* always comes with a pain report."""

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="check_ins")
    date = models.DateField()
    at = models.DateTimeField()
    feeling = models.CharField(max_length=8, choices=Feeling.choices)
    words = models.CharField(max_length=120, blank=True, help_text="For example forearm.")
    is_here = models.BooleanField(default=False, help_text="Given at the facility, not from home.")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    pain_report = models.ForeignKey(
        PainReport, null=True, blank=True, on_delete=models.SET_NULL, related_name="check_ins"
    )

    objects = PresentManager.from_queryset(CheckInQuerySet)()
    everything = models.Manager.from_queryset(CheckInQuerySet)()

    class Meta:
        base_manager_name = "everything"
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["date", "athlete"])]

    def __str__(self) -> str:
        return f"{self.athlete}, {self.date}: {self.get_feeling_display()}"


class SeasonPhase(models.Model):
    """Where a training group is in its year, from a date on."""

    class Phase(models.TextChoices):
        OFF_SEASON = "off_season", "off season"
        PRESEASON = "preseason", "preseason"
        IN_SEASON = "in_season", "in season"
        REST = "rest", "rest from throwing"

    group = models.ForeignKey(TrainingGroup, on_delete=models.CASCADE, related_name="season_phases")
    valid_from = models.DateField()
    until = models.DateField(null=True, blank=True)
    phase = models.CharField(max_length=12, choices=Phase.choices)
    set_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ["group", "valid_from"]
        constraints = [
            models.UniqueConstraint(fields=["group", "valid_from"], name="one_season_phase_a_day"),
            models.CheckConstraint(
                condition=models.Q(until__isnull=True) | models.Q(until__gte=models.F("valid_from")),
                name="season_phase_ends_after_it_begins",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.group}: {self.get_phase_display()} from {self.valid_from}"
