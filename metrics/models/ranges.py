"""Range profiles: versions that cannot be changed once published, and their rules."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from athletes.models import Addressed, Level
from metrics.models.versions import PUBLISHED_HAS_ITS_DATE, PublishedVersion
from sessions.models import Ball, Intent, Method, PitchType, Surface


class RangeProfile(Addressed):
    name = models.CharField(max_length=80, unique=True)
    description = models.TextField(blank=True)
    in_use = models.BooleanField(default=False, help_text="The profile that new scorings take.")

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["in_use"], condition=Q(in_use=True), name="one_range_profile_in_use")
        ]

    def __str__(self) -> str:
        return self.name


class RangeProfileVersion(PublishedVersion):
    profile = models.ForeignKey(RangeProfile, on_delete=models.PROTECT, related_name="versions")
    number = models.PositiveIntegerField()
    thresholds = models.JSONField(default=dict, blank=True, help_text="numbers.md sections 3 to 7")
    weights = models.JSONField(
        default=dict, blank=True, help_text="metric → weight, where it differs from the catalogue's"
    )
    conditions = models.JSONField(default=dict, blank=True, help_text="what a scored throw is")

    class Meta:
        ordering = ["profile", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["profile", "number"], name="profile_version_number_once"),
            models.CheckConstraint(condition=PUBLISHED_HAS_ITS_DATE, name="published_version_has_its_date"),
        ]

    def __str__(self) -> str:
        return f"{self.profile.name} {self.number}"


class RuleStatus(models.TextChoices):
    PUBLISHED = "published", "published"
    FROM_MEMORY = "from_memory", "from memory"
    COMMON_PRACTICE = "common_practice", "common practice"
    HOUSE_OPINION = "house_opinion", "house opinion"


class SizeBasis(models.TextChoices):
    NONE = "none", "none"
    HEIGHT = "height", "height (cm)"
    MASS = "mass", "mass (kg)"
    ARM_SPAN = "arm_span", "arm span (cm)"


class RangeRule(models.Model):
    """Target and flag limits of one metric, for whom, and what they were written for. Empty means any or open."""

    version = models.ForeignKey(RangeProfileVersion, on_delete=models.PROTECT, related_name="rules")
    metric = models.CharField(max_length=80)
    method = models.CharField(max_length=16, choices=Method.choices, blank=True)
    level = models.CharField(max_length=16, choices=Level.choices, blank=True)
    pitch_type = models.CharField(max_length=16, choices=PitchType.choices, blank=True)
    intent = models.CharField(max_length=16, choices=Intent.choices, blank=True)
    surface = models.CharField(max_length=16, choices=Surface.choices, blank=True)
    ball = models.CharField(max_length=16, choices=Ball.choices, blank=True)
    size_basis = models.CharField(max_length=10, choices=SizeBasis.choices, default=SizeBasis.NONE)
    size_ref = models.FloatField(null=True, blank=True)
    size_low = models.FloatField(null=True, blank=True)
    size_high = models.FloatField(null=True, blank=True)
    target_low = models.FloatField(null=True, blank=True)
    target_high = models.FloatField(null=True, blank=True)
    flag_low = models.FloatField(null=True, blank=True)
    flag_high = models.FloatField(null=True, blank=True)
    slope_target_low = models.FloatField(default=0)
    slope_target_high = models.FloatField(default=0)
    slope_flag_low = models.FloatField(default=0)
    slope_flag_high = models.FloatField(default=0)
    unit_low = models.FloatField(null=True, blank=True, help_text="severity unit where the limits give none")
    unit_high = models.FloatField(null=True, blank=True, help_text="severity unit where the limits give none")
    landing = models.CharField(
        max_length=2,
        blank=True,
        choices=[("fc", "foot contact"), ("fp", "foot plant")],
        help_text="written for",
    )
    definition = models.CharField(max_length=60, blank=True, help_text="written for")
    filter_hz = models.FloatField(null=True, blank=True, help_text="written for")
    source = models.CharField(max_length=300)
    status = models.CharField(max_length=20, choices=RuleStatus.choices)
    source_mean = models.FloatField(null=True, blank=True)
    source_sd = models.FloatField(null=True, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["version", "metric", "method", "level", "id"]
        indexes = [models.Index(fields=["version", "metric"])]
        constraints = [
            models.CheckConstraint(
                condition=Q(target_low__isnull=True) | Q(target_high__isnull=True) | Q(target_low__lt=F("target_high")),
                name="target_low_below_target_high",
            ),
            models.CheckConstraint(
                condition=Q(flag_low__isnull=True) | Q(target_low__isnull=True) | Q(flag_low__lte=F("target_low")),
                name="flag_low_not_inside_target",
            ),
            models.CheckConstraint(
                condition=Q(flag_high__isnull=True) | Q(target_high__isnull=True) | Q(flag_high__gte=F("target_high")),
                name="flag_high_not_inside_target",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.metric}, {self.get_method_display() or 'any method'}, {self.get_level_display() or 'any level'}"
