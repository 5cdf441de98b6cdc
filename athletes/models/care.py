"""Availability, pain and clearance, consent, and notes."""

from __future__ import annotations

import datetime as dt
from typing import Self

from django.conf import settings
from django.core.validators import MaxValueValidator
from django.db import models
from django.utils import timezone

from athletes.models.accounts import User
from athletes.models.base import Addressed, PresentManager, Withdrawable, WithdrawableQuerySet
from athletes.models.people import Athlete, of_visible


class Availability(models.Model):
    """What the athlete may do from a date on. Pain stops throwing whatever this says."""

    class State(models.TextChoices):
        FULL = "full", "full"
        LIMITED = "limited", "limited"
        RETURN_TO_THROW = "return_to_throw", "return to throw"
        STOPPED = "stopped", "stopped"
        AWAY = "away", "away"

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="availabilities")
    valid_from = models.DateField()
    until = models.DateField(null=True, blank=True)
    state = models.CharField(max_length=20, choices=State.choices)
    limits = models.CharField(max_length=200, blank=True, help_text="For example 60 throws, or stage 3 of 6.")
    set_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        verbose_name_plural = "availabilities"
        ordering = ["athlete", "valid_from"]
        constraints = [
            models.UniqueConstraint(fields=["athlete", "valid_from"], name="one_availability_a_day"),
            models.CheckConstraint(
                condition=models.Q(until__isnull=True) | models.Q(until__gte=models.F("valid_from")),
                name="availability_ends_after_it_begins",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.athlete}: {self.get_state_display()} from {self.valid_from}"


class PainReportQuerySet(models.QuerySet):
    def open(self) -> Self:
        """No clearance has been recorded."""
        return self.filter(clearance=None)


class PainReport(Addressed):
    """Pain stops throwing and loaded work until a clearance is recorded."""

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="pain_reports")
    where = models.CharField(max_length=80)
    how_much = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MaxValueValidator(10)], help_text="0 none, 10 worst"
    )
    since = models.DateField(null=True, blank=True)
    reported_at = models.DateTimeField()
    reported_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")

    objects = PainReportQuerySet.as_manager()

    class Meta:
        ordering = ["-reported_at"]

    def __str__(self) -> str:
        return f"{self.athlete}: {self.where}"

    @property
    def reported_on(self) -> dt.date:
        """The date in the time zone at work, which in a request is the facility's."""
        return timezone.localdate(self.reported_at)


class Clearance(models.Model):
    """Ends the stop of one pain report."""

    report = models.OneToOneField(PainReport, on_delete=models.CASCADE, related_name="clearance")
    cleared_by_name = models.CharField(max_length=120, help_text="The clinician who cleared.")
    cleared_on = models.DateField()
    limits = models.CharField(max_length=200, blank=True)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")

    def __str__(self) -> str:
        return f"{self.report}, cleared {self.cleared_on}"


class ConsentText(models.Model):
    version = models.CharField(max_length=20, unique=True)
    body = models.TextField()
    valid_from = models.DateField()

    class Meta:
        ordering = ["-valid_from"]

    def __str__(self) -> str:
        return self.version


class Consent(models.Model):
    """Who agreed to which text for which athlete; withdrawn consent stops processing."""

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="consents")
    text = models.ForeignKey(ConsentText, on_delete=models.PROTECT, related_name="+")
    given_by_name = models.CharField(max_length=120)
    relation = models.CharField(max_length=40)
    given_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="+",
        help_text="The account that agreed by itself; empty for a consent on paper.",
    )
    given_on = models.DateField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    withdrawn_on = models.DateField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )

    class Meta:
        ordering = ["athlete", "-given_on"]

    def __str__(self) -> str:
        return f"{self.athlete}: {self.given_by_name}, {self.given_on}"


class NoteQuerySet(WithdrawableQuerySet):
    def visible_to(self, user: User) -> Self:
        """Staff read every note; everybody else only what was marked for the family."""
        seen = self.filter(of_visible(user))
        return seen if user.is_authenticated and user.is_coaching_staff else seen.filter(for_family=True)


class Note(Addressed, Withdrawable):
    """Words on an athlete; staff only unless marked for the family. A cue is a note that is used again."""

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="notes")
    text = models.TextField(max_length=4000)
    is_cue = models.BooleanField(default=False)
    for_family = models.BooleanField(default=False)
    author = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    written_at = models.DateTimeField()

    objects = PresentManager.from_queryset(NoteQuerySet)()
    everything = models.Manager.from_queryset(NoteQuerySet)()

    class Meta:
        base_manager_name = "everything"
        ordering = ["-written_at", "-id"]

    def __str__(self) -> str:
        return self.text[:60]
