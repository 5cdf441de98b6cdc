"""What an athlete was given to do, why, how much of it, and what they did."""

from __future__ import annotations

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from athletes.models import Addressed, Athlete, PresentManager, User, Withdrawable, WithdrawableQuerySet, of_readable
from athletes.policy import Action, role_may
from metrics.models import Direction
from plans.models.library import InterventionVersion
from sessions.models import CaptureSession
from sessions.quick_json import QuickJSONField


class PrescriptionQuerySet(WithdrawableQuerySet):
    def visible_to(self, user: User) -> Self:
        """Of athletes whose measurements the person may read: staff and clinicians all, others what is shown."""
        seen = self.filter(of_readable(user))
        if role_may(user, Action.SEE_PLAN):
            return seen
        return seen.filter(is_shown=True) if role_may(user, Action.SEE_WORK) else self.none()

    def open(self) -> Self:
        return self.filter(ended_on=None)


class Prescription(Addressed, Withdrawable):
    """One intervention given to one athlete. Open until it has an end; a changed one ends and the next replaces it."""

    class Ending(models.TextChoices):
        CLOSED = "closed", "closed after a follow-up"
        CHANGED = "changed", "changed for another"
        STOPPED = "stopped", "stopped early"

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="prescriptions")
    version = models.ForeignKey(InterventionVersion, on_delete=models.PROTECT, related_name="prescriptions")
    dose = QuickJSONField(help_text="as a dose of plans.library.to_fields, perhaps edited by the coach")
    note = models.CharField(max_length=300, blank=True, help_text="for the athlete, beside the instructions")
    start = models.DateField()
    written_at = models.DateTimeField()
    written_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    is_shown = models.BooleanField(default=False, help_text="The athlete and the family read it as their work.")
    replaces = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.SET_NULL, related_name="replaced_by"
    )
    ended_on = models.DateField(null=True, blank=True)
    ending = models.CharField(max_length=8, choices=Ending.choices, blank=True)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    revision = models.PositiveIntegerField(
        default=0, help_text="rises with every change; a form carries the one it saw"
    )

    objects = PresentManager.from_queryset(PrescriptionQuerySet)()
    everything = models.Manager.from_queryset(PrescriptionQuerySet)()

    class Meta:
        base_manager_name = "everything"
        ordering = ["athlete", "start", "id"]
        indexes = [models.Index(fields=["athlete", "ended_on"])]
        constraints = [
            models.CheckConstraint(
                condition=Q(ended_on=None, ending="") | Q(ended_on__isnull=False) & ~Q(ending=""),
                name="a_prescription_ends_in_some_way",
            ),
            models.UniqueConstraint(
                fields=["athlete", "version"],
                condition=Q(ended_on=None, withdrawn_at=None),
                name="one_open_prescription_of_a_version",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.athlete}: {self.version}"


class PrescriptionReason(models.Model):
    """A flag or starting point that a prescription answers: named, since findings are made again and again."""

    prescription = models.ForeignKey(Prescription, on_delete=models.CASCADE, related_name="reasons")
    place = models.PositiveSmallIntegerField(help_text="0: the one that decides the response")
    metric = models.CharField(max_length=80)
    direction = models.CharField(max_length=4, choices=Direction.choices)
    is_starting_point = models.BooleanField(default=False)
    session = models.ForeignKey(
        CaptureSession, null=True, on_delete=models.SET_NULL, related_name="+", help_text="in which it was seen last"
    )

    class Meta:
        ordering = ["prescription", "place"]
        constraints = [
            models.UniqueConstraint(fields=["prescription", "place"], name="one_reason_a_place"),
            models.UniqueConstraint(fields=["prescription", "metric", "direction"], name="a_reason_once"),
        ]

    def __str__(self) -> str:
        return f"{self.metric} {self.direction}"


class FollowUpQuerySet(models.QuerySet):
    def visible_to(self, user: User) -> Self:
        if role_may(user, Action.SEE_PLAN):  # as prescriptions are, without a list of all of them
            return self.filter(of_readable(user, "prescription__athlete"), prescription__withdrawn_at=None)
        return self.filter(prescription__in=Prescription.objects.visible_to(user))

    def open(self) -> Self:
        """Undecided, of work that still runs."""
        return self.filter(decision="", prescription__withdrawn_at=None, prescription__ended_on=None)


class FollowUp(Addressed):
    """A date on which a prescription is looked at again, and what was decided then. *Continue* makes the next one."""

    class Decision(models.TextChoices):
        CLOSED = "closed", "closed"
        CONTINUED = "continued", "continued"
        CHANGED = "changed", "changed"
        STOPPED = "stopped", "stopped before"

    prescription = models.ForeignKey(Prescription, on_delete=models.CASCADE, related_name="follow_ups")
    due = models.DateField()
    begins = models.DateField(help_text="the day from which this stretch of work counts")
    decision = models.CharField(max_length=10, choices=Decision.choices, blank=True)
    decided_at = models.DateTimeField(null=True, blank=True)
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    note = models.CharField(max_length=300, blank=True)
    decided_on = QuickJSONField(default=dict, help_text="the response as it stood when it was decided")
    changed_at = models.DateTimeField(help_text="date or decision, for calendars")
    sequence = models.PositiveIntegerField(default=0)

    objects = FollowUpQuerySet.as_manager()

    class Meta:
        ordering = ["due", "id"]
        indexes = [models.Index(fields=["decision", "due"])]
        constraints = [
            models.CheckConstraint(condition=Q(due__gt=F("begins")), name="a_follow_up_comes_after_its_start"),
            models.UniqueConstraint(
                fields=["prescription"], condition=Q(decision=""), name="one_open_follow_up_a_prescription"
            ),
            models.CheckConstraint(
                condition=Q(decision="", decided_at=None) | ~Q(decision="") & Q(decided_at__isnull=False),
                name="a_decision_has_its_moment",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.prescription}, due {self.due}"


class Response(models.Model):
    """What the measurements say of one follow-up as they stand; rebuilt with the athlete's standing, never edited."""

    follow_up = models.OneToOneField(FollowUp, on_delete=models.CASCADE, related_name="response")
    word = models.CharField(max_length=16, blank=True, help_text="empty: nothing was measured yet")
    told = QuickJSONField(
        default=dict, help_text="each finding with its numbers, as plans.services.responses writes it"
    )
    measured_on = models.DateField(null=True)
    rebuilt_at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["word"])]

    def __str__(self) -> str:
        return self.word or "not measured yet"


class WorkTickQuerySet(models.QuerySet):
    def standing(self) -> Self:
        return self.filter(taken_back_at=None)


class WorkTick(Addressed):
    """Work done on a day, as somebody ticked it. Its uuid is the browser's: sent twice is once."""

    prescription = models.ForeignKey(Prescription, on_delete=models.CASCADE, related_name="ticks")
    date = models.DateField()
    throws = models.PositiveSmallIntegerField(null=True, blank=True, help_text="of a drill that is throws")
    ticked_at = models.DateTimeField()
    ticked_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    taken_back_at = models.DateTimeField(null=True, blank=True)

    objects = WorkTickQuerySet.as_manager()

    class Meta:
        ordering = ["prescription", "date"]
        constraints = [
            models.UniqueConstraint(
                fields=["prescription", "date"], condition=Q(taken_back_at=None), name="one_tick_a_day"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.prescription}, {self.date}"
