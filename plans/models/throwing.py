"""Throws of a day that somebody entered. What sessions and ticked drills hold is counted there, not copied here."""

from __future__ import annotations

from typing import Self

from django.conf import settings
from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import F, Q

from athletes.models import Addressed, Athlete, PresentManager, User, Withdrawable, WithdrawableQuerySet, of_visible
from plans.throwing_load import MOST_PITCHES


class ThrowCountQuerySet(WithdrawableQuerySet):
    def visible_to(self, user: User) -> Self:
        return self.filter(of_visible(user))


class ThrowCount(Addressed, Withdrawable):
    """One outing, or a day without throws (0). Empty: thrown, and nobody counted."""

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="throw_counts")
    date = models.DateField()
    ended_on = models.DateField(null=True, blank=True, help_text="the next day, when it ran past midnight")
    pitches = models.PositiveSmallIntegerField(null=True, blank=True, validators=[MaxValueValidator(MOST_PITCHES)])
    is_game = models.BooleanField(default=False)
    words = models.CharField(max_length=120, blank=True)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")

    objects = PresentManager.from_queryset(ThrowCountQuerySet)()
    everything = models.Manager.from_queryset(ThrowCountQuerySet)()

    class Meta:
        base_manager_name = "everything"
        ordering = ["athlete", "-date", "-id"]
        indexes = [models.Index(fields=["athlete", "date"])]
        constraints = [
            models.CheckConstraint(
                condition=Q(ended_on=None) | Q(ended_on__gte=F("date")), name="an_outing_ends_after_it_begins"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.athlete}, {self.date}: {self.pitches}"
