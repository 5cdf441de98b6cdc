"""What rows share: an address, and being withdrawn instead of deleted."""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import TYPE_CHECKING, Self

from django.conf import settings
from django.db import models
from django.utils import timezone

if TYPE_CHECKING:
    from athletes.models.accounts import User


class Addressed(models.Model):
    """A row that has a public address; the primary key never leaves the server."""

    uuid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)

    class Meta:
        abstract = True


class WithdrawableQuerySet(models.QuerySet):
    def present(self) -> Self:
        return self.filter(withdrawn_at=None)


class PresentManager(models.Manager):
    """Hides withdrawn rows; `everything` shows them."""

    def get_queryset(self) -> models.QuerySet:
        return super().get_queryset().filter(withdrawn_at=None)


class Withdrawable(models.Model):
    """Withdrawn rows stay and can come back; erasure is the only hard delete.

    A subclass declares `objects` from its queryset through `PresentManager` and `everything` without it.
    """

    withdrawn_at = models.DateTimeField(null=True, blank=True, editable=False)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        editable=False,
        on_delete=models.SET_NULL,
        related_name="+",
    )
    withdrawn_reason = models.CharField(max_length=300, blank=True, editable=False)

    class Meta:
        abstract = True

    def mark_withdrawn(self, by: User | None, reason: str, at: datetime | None = None) -> None:
        self.withdrawn_at = at or timezone.now()
        self.withdrawn_by = by
        self.withdrawn_reason = reason

    def clear_withdrawn(self) -> None:
        self.withdrawn_at, self.withdrawn_by, self.withdrawn_reason = None, None, ""
