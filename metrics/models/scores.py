"""What judging made of a session: the scoring, its findings, and the athlete's standing. All can be rebuilt."""

from __future__ import annotations

from typing import Self

from django.db import models

from athletes.models import Athlete, User
from metrics.models.ranges import RangeProfileVersion, RangeRule
from sessions.models import CaptureSession
from sessions.quick_json import QuickJSONField


class Scoring(models.Model):
    """One scoring of one session: versions pinned, and which input revision it answers."""

    session = models.OneToOneField(CaptureSession, on_delete=models.CASCADE, related_name="scoring")
    profile_version = models.ForeignKey(
        RangeProfileVersion, null=True, on_delete=models.PROTECT, related_name="scorings"
    )
    scored_revision = models.PositiveIntegerField(default=0)
    scored_facts_revision = models.PositiveIntegerField(default=0)
    scored_at = models.DateTimeField(null=True)
    algorithm = models.CharField(max_length=60, blank=True)
    catalogue_version = models.CharField(max_length=64, blank=True)
    # Which throws were used.
    conditions_used = models.JSONField(default=dict)
    for_orientation = models.BooleanField(default=False)
    scored_throws = models.PositiveIntegerField(default=0)
    throws = models.PositiveIntegerField(default=0)
    # The session as a whole (numbers.md 3 and 4).
    coverage = models.FloatField(null=True)
    first_look_coverage = models.FloatField(null=True)
    score = models.FloatField(null=True)
    score_sd = models.FloatField(null=True)
    outside_by_variety = models.FloatField(null=True)
    outside_by_variety_of = models.PositiveIntegerField(default=0)
    flags_by_error = models.FloatField(null=True)
    flags_by_error_of = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"scoring of {self.session}"


class FindingQuerySet(models.QuerySet):
    def visible_to(self, user: User) -> Self:
        return self.filter(session__in=CaptureSession.objects.visible_to(user))

    def flags(self) -> Self:
        """Flags shown as such: not those of which it cannot be told whether they are watch or flag."""
        return self.filter(zone=Finding.Zone.FLAG).exclude(sure=Finding.Sure.CANT_TELL)


class Finding(models.Model):
    """One metric of one session: a complete record of its decision."""

    class Zone(models.TextChoices):
        IN_RANGE = "in_range", "in range"
        WATCH = "watch", "watch"
        FLAG = "flag", "flag"
        NOT_SCORED = "not_scored", "not scored"

    class Sure(models.TextChoices):
        SURE = "sure", "sure"
        LIKELY = "likely", "likely"
        CANT_TELL = "cant_tell", "can’t tell"

    class Confirmation(models.TextChoices):
        NONE = "", "—"
        TO_CONFIRM = "to_confirm", "new, to confirm"
        CONFIRMED = "confirmed", "confirmed"
        RECURRING = "recurring", "recurring"

    session = models.ForeignKey(CaptureSession, on_delete=models.CASCADE, related_name="findings")
    metric = models.CharField(max_length=80)
    condition_set = models.CharField(max_length=120)
    kind = models.CharField(max_length=10)
    family = models.CharField(max_length=60, blank=True)
    unit = models.CharField(max_length=30)
    # What was measured.
    moment = models.CharField(max_length=20, help_text="the moment judged")
    n = models.PositiveIntegerField()
    mean = models.FloatField(null=True)
    sd = models.FloatField(null=True)
    u = models.FloatField(null=True)
    u_throw = models.FloatField(null=True)
    u_between = models.FloatField(null=True)
    u_constant = models.FloatField(null=True)
    nu = models.FloatField(null=True)
    # What it was held against: the rule, and its limits after body size.
    rule = models.ForeignKey(RangeRule, null=True, on_delete=models.PROTECT, related_name="+")
    rule_status = models.CharField(max_length=20, blank=True)
    size_basis = models.CharField(max_length=10, blank=True)
    size_used = models.FloatField(null=True)
    size_date = models.DateField(null=True)
    target_low = models.FloatField(null=True)
    target_high = models.FloatField(null=True)
    flag_low = models.FloatField(null=True)
    flag_high = models.FloatField(null=True)
    # What was decided.
    zone = models.CharField(max_length=12, choices=Zone.choices)
    side = models.CharField(max_length=4, blank=True, choices=[("low", "low"), ("high", "high")])
    sure = models.CharField(max_length=10, blank=True, choices=Sure.choices)
    other_zone = models.CharField(max_length=12, blank=True, choices=Zone.choices, help_text="when it can’t be told")
    probability = models.FloatField(null=True, help_text="of the zone named")
    p_in = models.FloatField(null=True)
    p_out = models.FloatField(null=True)
    p_flag = models.FloatField(null=True)
    perhaps_flag = models.BooleanField(default=False)
    reason_code = models.CharField(max_length=60, blank=True)
    reason = models.CharField(max_length=300, blank=True)
    weight = models.FloatField(default=0)
    severity = models.FloatField(default=0)
    priority = models.FloatField(default=0)
    is_family_head = models.BooleanField(default=False, help_text="the member of its family that counts")
    confirmation = models.CharField(max_length=12, blank=True, choices=Confirmation.choices)
    decision = QuickJSONField(default=dict, help_text="the rest of the record: s_p, ν_s, s0, notes, versions")

    objects = FindingQuerySet.as_manager()

    class Meta:
        ordering = ["session", "-priority", "metric"]
        indexes = [models.Index(fields=["metric", "zone"])]
        constraints = [
            models.UniqueConstraint(
                fields=["session", "metric", "condition_set"], name="one_finding_a_metric_and_conditions"
            ),
            models.CheckConstraint(
                condition=~models.Q(zone="not_scored") | models.Q(reason_code__gt=""),
                name="not_scored_says_why",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.metric}: {self.get_zone_display()}"


class Standing(models.Model):
    """Where an athlete stands now, for roster and today; rebuilt from findings after each scoring."""

    athlete = models.OneToOneField(Athlete, on_delete=models.CASCADE, related_name="standing")
    last_session = models.ForeignKey(CaptureSession, null=True, on_delete=models.SET_NULL, related_name="+")
    last_date = models.DateField(null=True)
    last_method = models.CharField(max_length=16, blank=True)
    last_by_method = QuickJSONField(default=dict, help_text="method → date")
    session_dates = QuickJSONField(default=list, help_text="[date, method], newest first, of the last 120 days")
    flags_new = models.PositiveSmallIntegerField(default=0)
    flags_confirmed = models.PositiveSmallIntegerField(default=0)
    flags_recurring = models.PositiveSmallIntegerField(default=0)
    flags = QuickJSONField(default=list, help_text="[metric, side, sure, confirmation], most important first")
    top_metric = models.CharField(max_length=80, blank=True)
    top_side = models.CharField(max_length=4, blank=True)
    top_priority = models.FloatField(default=0)
    rebuilt_at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["-last_date"])]

    def __str__(self) -> str:
        return f"standing of {self.athlete}"
