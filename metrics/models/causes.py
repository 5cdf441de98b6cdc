"""Cause links: what may lie upstream of what, in versions that cannot be changed once published."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from metrics.models.ranges import RuleStatus
from metrics.models.versions import PUBLISHED_HAS_ITS_DATE, PublishedVersion


class CauseGraphVersion(PublishedVersion):
    """All cause links of the facility as they hold from one date on."""

    number = models.PositiveIntegerField(unique=True)

    class Meta:
        ordering = ["-number"]
        verbose_name = "version of the cause links"
        verbose_name_plural = "cause links"
        constraints = [
            models.CheckConstraint(condition=PUBLISHED_HAS_ITS_DATE, name="published_cause_graph_has_its_date"),
        ]

    def __str__(self) -> str:
        return f"Cause links {self.number}"


class Direction(models.TextChoices):
    """The side on which a metric is off. Early is low, late is high."""

    LOW = "low", "low"
    HIGH = "high", "high"


class CauseKind(models.TextChoices):
    TIMING = "timing", "timing"
    MECHANICS = "mechanics", "mechanics"
    MOBILITY = "mobility", "mobility"
    STRENGTH = "strength", "strength"
    CONTEXT = "context", "context"


class LinkStrength(models.TextChoices):
    """How often the cause alone produces the effect; metrics.catalogue.causes holds the numbers."""

    WEAK = "weak", "weak"
    MODERATE = "moderate", "moderate"
    STRONG = "strong", "strong"


class CauseLink(models.Model):
    """A metric that is off in one direction, and another one, upstream of it, that may be why."""

    version = models.ForeignKey(CauseGraphVersion, on_delete=models.PROTECT, related_name="links")
    effect = models.CharField(max_length=80)
    effect_direction = models.CharField(max_length=4, choices=Direction.choices)
    cause = models.CharField(max_length=80)
    cause_direction = models.CharField(max_length=4, choices=Direction.choices)
    kind = models.CharField(max_length=12, choices=CauseKind.choices)
    strength = models.CharField(max_length=10, choices=LinkStrength.choices)
    reason = models.CharField(max_length=300)
    source = models.CharField(max_length=300)
    status = models.CharField(max_length=20, choices=RuleStatus.choices)
    both_ways = models.CharField(
        max_length=300, blank=True, help_text="Why both directions of this pair are linked, where they are."
    )

    class Meta:
        ordering = ["version", "effect", "effect_direction", "cause", "cause_direction"]
        constraints = [
            models.UniqueConstraint(
                fields=["version", "effect", "effect_direction", "cause", "cause_direction"],
                name="cause_link_once_a_version",
            ),
            models.CheckConstraint(condition=~Q(effect=F("cause")), name="no_metric_causes_itself"),
            models.CheckConstraint(
                condition=Q(effect_direction__in=["low", "high"], cause_direction__in=["low", "high"]),
                name="cause_link_directions_low_or_high",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.cause} {self.cause_direction} → {self.effect} {self.effect_direction}"
