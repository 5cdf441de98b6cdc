"""The facility's library of interventions: what is kept of each, in versions that are never changed."""

from __future__ import annotations

from typing import Self

from django.conf import settings
from django.db import models

from athletes.models import Addressed, PresentManager, User, Withdrawable, WithdrawableQuerySet
from athletes.policy import Action, role_may
from plans.library import Intervention as InterventionValue
from plans.library import from_fields
from sessions.quick_json import QuickJSONField


class InterventionQuerySet(WithdrawableQuerySet):
    def visible_to(self, user: User) -> Self:
        """The library belongs to the staff; families read what was given to them."""
        return self if role_may(user, Action.SEE_LIBRARY) else self.none()


class Intervention(Addressed, Withdrawable):
    """Something to do. Withdrawn, it is not suggested any more; what was prescribed of it goes on."""

    key = models.SlugField(max_length=60, unique=True)

    objects = PresentManager.from_queryset(InterventionQuerySet)()
    everything = models.Manager.from_queryset(InterventionQuerySet)()

    class Meta:
        base_manager_name = "everything"
        ordering = ["id"]

    def __str__(self) -> str:
        return self.key


class InterventionVersion(Addressed):
    """What the library said of it from one moment on. Triggers keep every version as it was written."""

    intervention = models.ForeignKey(Intervention, on_delete=models.PROTECT, related_name="versions")
    number = models.PositiveIntegerField()
    fields = QuickJSONField(help_text="plans.library.to_fields")
    shipped_version = models.CharField(max_length=64, blank=True, help_text="of the starting library it comes from")
    written_at = models.DateTimeField()
    written_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["intervention", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["intervention", "number"], name="intervention_version_number_once"),
        ]

    def __str__(self) -> str:
        return f"{self.name}, version {self.number}"

    @property
    def name(self) -> str:
        return str(self.fields.get("name", self.intervention_id))

    @property
    def value(self) -> InterventionValue:
        """As suggestions take it. Raises plans.library.BadLibrary for fields that an older release wrote."""
        return from_fields(self.fields, f"intervention {self.pk}, version {self.number}")


class InterventionMedia(Addressed, Withdrawable):
    """The facility's own picture or video of how it is done; its file lies by content under a private folder."""

    class Kind(models.TextChoices):
        PICTURE = "picture", "picture"
        VIDEO = "video", "video"

    intervention = models.ForeignKey(Intervention, on_delete=models.PROTECT, related_name="media")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    sha256 = models.CharField(max_length=64)
    content_type = models.CharField(max_length=40)
    size_bytes = models.PositiveBigIntegerField()
    told = models.CharField(max_length=300, help_text="What it shows, for whoever cannot see it.")
    added_at = models.DateTimeField()
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")

    objects = PresentManager.from_queryset(WithdrawableQuerySet)()
    everything = models.Manager.from_queryset(WithdrawableQuerySet)()

    class Meta:
        base_manager_name = "everything"
        ordering = ["intervention", "added_at", "id"]

    def __str__(self) -> str:
        return self.told
