"""What range profiles and cause links have in common: versions that cannot be changed once published."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from athletes.models import Addressed

PUBLISHED_HAS_ITS_DATE = Q(status="draft") | Q(valid_from__isnull=False, published_at__isnull=False)


class PublishedVersion(Addressed):
    """A draft, or published with a date from which it holds and a reason; triggers keep what was published."""

    class Status(models.TextChoices):
        DRAFT = "draft", "draft"
        PUBLISHED = "published", "published"

    status = models.CharField(max_length=10, choices=Status.choices, default=Status.DRAFT)
    valid_from = models.DateField(null=True, blank=True)
    published_at = models.DateTimeField(null=True, blank=True, editable=False)
    published_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        editable=False,
        on_delete=models.PROTECT,
        related_name="+",
    )
    reason = models.CharField(max_length=300, blank=True)

    class Meta:
        abstract = True

    @property
    def is_published(self) -> bool:
        return self.status == self.Status.PUBLISHED
